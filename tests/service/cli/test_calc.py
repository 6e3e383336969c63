"""`trussline calc`: figures from the terminal."""

import json

import pytest
from click.testing import CliRunner, Result

from service.cli.main import main

HIGHLAND = ("--lat", "-1", "--elevation", "2000", "--date", "2015-07-15", "--tmin", "12", "--tmax", "24")
# FAO-56, example 18.
UCCLE = (
    "--lat", "50.8", "--elevation", "100", "--date", "2015-07-06", "--tmin", "12.3", "--tmax", "21.5",
    "--ea", "1.409", "--wind", "2.78", "--wind-height", "10", "--sunshine", "9.25",
)  # fmt: skip


def calc(*arguments: str) -> Result:
    """Type a command of the calculators."""
    return CliRunner().invoke(main, ["calc", *arguments])


def test_a_measured_day_is_computed_by_penman_monteith() -> None:
    """FAO-56, example 18: 3.88 mm a day; the method is named and nothing of the weather assumed."""
    answer = json.loads(calc("water", *UCCLE, "--json").stdout)

    assert (3.88, "penman-monteith") == (round(answer["eto"], 2), answer["method"])
    assert set() == {"ea_kpa", "wind_m_s", "radiation_mj_m2"} & answer["assumed"].keys()


def test_temperatures_alone_are_computed_by_hargreaves() -> None:
    """A highland day of 12 to 24 degrees, 1 degree south in July: 3.90 mm, computed by hand with Eq. 52."""
    answer = json.loads(calc("water", *HIGHLAND, "--json").stdout)

    assert (3.90, "hargreaves") == (round(answer["eto"], 2), answer["method"])


def test_the_farmers_own_plot_is_told_in_words() -> None:
    """Litres a plant, for the plot and in cans; what is least when water is short; salt; what was assumed."""
    said = calc(
        "water", *HIGHLAND, "--planted", "2014-07-15", "--plants", "250", "--spacing", "0.3", "--bed", "1",
        "--path", "0.5", "--rows", "2", "--mulch", "none", "--soil", "loam", "--can", "10", "--ec-water", "1",
    ).stdout.splitlines()  # fmt: skip

    assert [
        "Reference evapotranspiration, hargreaves: 3.90 mm a day.",
        "From temperatures alone: meant for the mean of a week, rough for one day.",
        "The plants take 3.31 mm (crop coefficient 0.85); of the rain 0.00 mm count.",
        "Give 0.99 litres a plant, 248.4 litres for the plot, 24.8 cans.",
        "When water is short, plants live on 0.50 litres a plant, 124.2 litres for the plot, 12.4 cans.",
        "Salt costs yield: 84 % of a full one are left at 1.50 dS/m in the soil, as such water makes it.",
        "Assumed: nothing.",
    ] == said


def test_clean_soil_and_what_was_assumed_are_told() -> None:
    """Nothing to warn of is told too, and each assumption with its value."""
    said = calc("water", *UCCLE, "--drip", "1.2", "--ec-soil", "0.8", "--rain", "12").stdout.splitlines()

    assert "Salt costs no yield: 100 % of a full one are left at 0.80 dS/m in the soil." in said
    assert "Give 0.00 litres a plant, 0.0 minutes of drip." in said
    assert "Assumed: age_days 365, mulch none, soil loam, bed_m 1, path_m 0.5, rows 2, spacing_m 0.3." in said


def test_salt_is_part_of_the_object() -> None:
    """Programs see the warning as a word of its own."""
    answer = json.loads(calc("water", *HIGHLAND, "--ec-soil", "2", "--json").stdout)

    assert {"soil_ds_m": 2.0, "yield_percent": 67.0, "from_water": False, "warn": True} == answer["salt"]


def test_the_fiercest_day_that_is_accepted_is_answered() -> None:
    """Hot, bone dry and stormy, at the ends of what weather may be: a figure, and no second refusal."""
    fierce = ("--lat", "0", "--elevation", "0", "--date", "2015-03-21", "--tmin", "60", "--tmax", "60")
    answer = calc("water", *fierce, "--ea", "0", "--wind", "50", "--radiation", "37", "--json")

    assert 80 < json.loads(answer.stdout)["eto"] <= 100


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        (
            ("--tmin", "25"),
            "The highest temperature, 24, lies below the lowest, 25: exchange or correct them.",
        ),
        (("--lat", "91"), "A latitude of 91 cannot be: give -66 to 66 degrees, south negative."),
        (("--wind", "-1"), "Wind of -1 cannot be: give 0 to 50 metres a second."),
        (("--planted", "2016-01-01"), "Nothing is planted on 2015-07-15 that is planted on 2016-01-01"),
    ],
    ids=["crossed", "latitude", "wind", "planted"],
)
def test_impossible_figures_end_with_a_sentence(change: tuple[str, str], sentence: str) -> None:
    """Exit code 1, one sentence, nothing on standard output."""
    answer = calc("water", *HIGHLAND, *change)

    assert (1, "") == (answer.exit_code, answer.stdout)
    assert answer.stderr.startswith(sentence)
