"""`trussline calc`: one shape for all calculators, and how they refuse."""

import inspect
import json

import pytest
from click.testing import CliRunner, Result

from service.cli.calc import CALCULATORS
from service.cli.calculators.shape import NUMBER, Calculator
from service.cli.main import main

WATER = "water --lat -1 --elevation 2000 --date 2015-07-15 --tmin 12 --tmax 24"
STAND = "stand --bed 1 --path 0.5 --rows 2 --spacing 0.3"
YIELD = "yield --planted 2026-03-25 --plants 250"
RISK = "risk --date 2026-07-10"
MARGIN = "margin --currency TZS --kg 200 --price 12000"
COOLING = "cooling --kept-at 0"
GAPS = "gaps --planted 450 --standing 405 --age 14"
LEAST = {
    "water": WATER,
    "stand": STAND,
    "gaps": GAPS,
    "yield": YIELD,
    "risk": RISK,
    "margin": MARGIN,
    "cooling": COOLING,
}


def calc(line: str) -> Result:
    """Type a command of the calculators."""
    return CliRunner().invoke(main, ["calc", *line.split()])


@pytest.mark.parametrize("calculator", CALCULATORS, ids=lambda row: row.name)
def test_every_calculator_has_the_shape(calculator: Calculator) -> None:
    """Each number has its unit in the help, and the function takes what is asked for."""
    said = " ".join(calc(f"{calculator.name} --help").stdout.split())
    unitless = [row.flag for row in calculator.arguments if row.type is NUMBER and not row.unit]
    taken = inspect.signature(calculator.compute).parameters
    rest = any(parameter.kind is parameter.VAR_KEYWORD for parameter in taken.values())

    assert [] == [row.flag for row in calculator.arguments if f"--{row.flag} " not in said]
    # A long word may be broken at its hyphen, so that only the beginning is looked for.
    assert [] == [
        row.flag for row in calculator.arguments if row.unit.split(" ")[0].split("@")[0] not in said
    ]
    assert [] == unitless
    assert rest or {row.name for row in calculator.arguments} == set(taken)


@pytest.mark.parametrize("name", [row.name for row in CALCULATORS])
def test_the_least_that_is_asked_for_is_enough(name: str) -> None:
    """People get sentences, programs one object, and both what was assumed."""
    told, answer = calc(LEAST[name]), calc(f"{LEAST[name]} --json")

    assert (0, 0) == (told.exit_code, answer.exit_code)
    assert told.stdout.splitlines()[-1].startswith("Assumed: ")
    assert "assumed" in json.loads(answer.stdout)


def test_what_is_usual_is_told_as_assumed() -> None:
    """A figure that everybody leaves out is taken all the same, and said."""
    assert {"family_days": 0, "day_rate": 0, "months": 12} == json.loads(calc(f"{MARGIN} --json").stdout)[
        "assumed"
    ]
    assert {"family_days": 0, "day_rate": 0} == json.loads(calc(f"{MARGIN} --months 6 --json").stdout)[
        "assumed"
    ]


@pytest.mark.parametrize(
    ("line", "sentence"),
    [
        pytest.param(
            "water --lat abc",
            "--lat (latitude, in degrees, south negative): 'abc' is no number, correct it.",
            id="no number",
        ),
        pytest.param(
            "cooling --kept-at nan",
            "--kept-at (temperature it is kept at from now on, in degrees Celsius): 'nan' is no number, correct it.",
            id="not a number by name",
        ),
        pytest.param(
            "water --lat 1 --elevation 1 --date 2026-01-01 --tmin 3",
            "--tmax (highest temperature, in degrees Celsius) is missing: give it.",
            id="missing",
        ),
        pytest.param(
            f"{STAND} --plants 2.5",
            "--plants (number of plants): '2.5' is no whole number, correct it.",
            id="half a plant",
        ),
        pytest.param(
            f"{WATER} --planted 2026-1-1",
            "--planted (planting date, like 2026-03-25): '2026-1-1' is no date: write it like 2026-03-25.",
            id="no date",
        ),
        pytest.param(
            f"{COOLING} --lain 2",
            "--lain (how long it lay how warm since picking, in order, like 2@25, in hours@degrees Celsius): "
            "'2' lacks one side of @: write it like 2@25.",
            id="half a pair",
        ),
        pytest.param(
            f"{RISK} --stage blossom",
            "--stage (what of buds, flowers and fruit stands in the plot): 'blossom' is not one of "
            "'tight_bud', 'popcorn', 'open', 'fruit', 'none'.",
            id="no such stage",
        ),
        pytest.param(
            "water --lat", "Option '--lat' requires an argument: see `trussline calc water --help`.", id="cut"
        ),
        pytest.param(
            "cooling --kept-at 2 more",
            "Got unexpected extra argument (more): see `trussline calc cooling --help`.",
            id="too much",
        ),
        pytest.param(
            f"{WATER} --tmin 25",
            "The highest temperature, 24, lies below the lowest, 25: exchange or correct them.",
            id="crossed",
        ),
        pytest.param(
            f"{WATER} --soil-heat 0.14",
            "Heat into the soil counts only by Penman-Monteith: give vapour pressure, wind, radiation or sunshine too, "
            "or leave it out.",
            id="soil heat by itself",
        ),
        pytest.param(
            f"{WATER} --rain -3",
            "The rain must lie between 0 and 1,000 mm on one day, not -3: correct it and ask again.",
            id="negative rain",
        ),
        pytest.param(
            f"{RISK} --looked 8 --found 9 --looked-before 8 --found-before 2",
            "9 of 8 farmers cannot have found something: correct one of the figures.",
            id="more found than looked",
        ),
        pytest.param(
            f"{RISK} --looked 8 --found 4",
            "A village is judged by two weeks: give --looked, --found, --looked-before and --found-before.",
            id="one week of looks",
        ),
        pytest.param(
            f"{WATER} --lat 91",
            "The latitude must lie between -66 and 66 degrees, south negative, not 91: correct it and ask again.",
            id="latitude",
        ),
        pytest.param(
            f"{WATER} --planted 2016-01-01",
            "Nothing is planted on 2015-07-15 that is planted on 2016-01-01: correct one of the dates.",
            id="planted later",
        ),
        pytest.param(
            f"{STAND} --spacing 30",
            "The spacing of plants in a row must lie between 0.05 and 5 metres, not 30: correct it and ask again.",
            id="centimetres",
        ),
        pytest.param(
            f"{STAND} --plants 10 --ground 20",
            "Plants are told in one way: give --plants, --ground, or --beds with --bed-length.",
            id="plants twice",
        ),
        pytest.param(
            f"{STAND} --beds 10",
            "Beds are counted with their length: give both --beds and --bed-length.",
            id="beds of no length",
        ),
        pytest.param(
            f"{RISK} --wet-hours 6",
            "Wet hours are told with their temperature: give both --wet-hours and --wet-temp.",
            id="wet at no warmth",
        ),
        pytest.param(
            f"{RISK} --wet-hours 169 --wet-temp 20",
            "The wet hours must lie between 0 and 168 hours, not 169: correct it and ask again.",
            id="wet for ever",
        ),
        pytest.param(
            f"{RISK} --days 0",
            "The days alike must lie between 1 and 60 days, not 0: correct it and ask again.",
            id="no day",
        ),
        pytest.param(
            f"{RISK} --stage none --stage open",
            "Either none stands in the plot or something: leave out one of the stages.",
            id="nothing and something",
        ),
        pytest.param(
            f"{YIELD} --from 2026-10-02 --to 2026-10-01",
            "The days of a yield must lie between 1 and 3,650 days, not 0: correct it and ask again.",
            id="days crossed",
        ),
        pytest.param(
            f"{MARGIN} --currency tzs",
            "A currency is a code of three capital letters, such as TZS, not 'tzs': name one.",
            id="currency",
        ),
    ],
)
def test_a_value_that_cannot_be_ends_with_a_sentence(line: str, sentence: str) -> None:
    """Exit code 2, nothing on standard output, and one sentence that says what to do."""
    answer = calc(line)

    assert (2, "", sentence) == (answer.exit_code, answer.stdout, answer.stderr.rstrip("\n"))


def test_an_unknown_option_is_told_with_the_way_to_the_known_ones() -> None:
    """Whoever guesses is sent to the help."""
    answer = calc("water --latitud 3")

    assert 2 == answer.exit_code
    assert answer.stderr.startswith("No such option")
    assert answer.stderr.endswith("see `trussline calc water --help`.\n")
