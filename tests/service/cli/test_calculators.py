"""What each calculator of `trussline calc` answers, held to figures that others published or that hands worked out."""

import json
from typing import Any

import pytest
from click.testing import CliRunner

from service.cli.main import main

HIGHLAND = "water --lat -1 --elevation 2000 --date 2015-07-15 --tmin 12 --tmax 24"
# FAO-56, example 18.
UCCLE = (
    "water --lat 50.8 --elevation 100 --date 2015-07-06 --tmin 12.3 --tmax 21.5 "
    "--ea 1.409 --wind 2.78 --wind-height 10 --sunshine 9.25"
)
BED = "stand --bed 1.0 --path 0.5 --rows 2 --spacing 0.30"


def said(line: str) -> list[str]:
    """Return the sentences of an answer."""
    result = CliRunner().invoke(main, ["calc", *line.split()])
    assert 0 == result.exit_code, result.stderr
    return result.stdout.splitlines()


def answer(line: str) -> dict[str, Any]:
    """Return an answer as programs read it."""
    found: dict[str, Any] = json.loads("".join(said(f"{line} --json")))
    return found


@pytest.mark.parametrize(
    ("line", "eto", "method"),
    [
        pytest.param(
            # Its answer is from memory; 0.14 MJ go into the soil, as April is a degree warmer than March.
            "--lat 13.7333 --elevation 2 --date 2015-04-15 --tmin 25.6 --tmax 34.8 --ea 2.85 --wind 2 --sunshine 8.5 "
            "--soil-heat 0.14",
            5.72,
            "penman-monteith",
            id="example 17, Bangkok",
        ),
        pytest.param(
            "--lat 45.7167 --elevation 200 --date 2015-07-15 --tmin 14.8 --tmax 26.6 --wind 2",
            4.56,
            "penman-monteith",
            id="example 20, Lyon with the wind of 2 m a second",
        ),
        pytest.param(
            "--lat 45.7167 --elevation 200 --date 2015-07-15 --tmin 14.8 --tmax 26.6",
            5.03,
            "hargreaves",
            id="example 20, Lyon by temperatures alone",
        ),
    ],
)
def test_what_fao_56_prints_comes_out_of_the_command(line: str, eto: float, method: str) -> None:
    """Examples 17 and 20 of FAO-56, and with its Eq. 52 what `pyet` 1.5.0 has for Lyon, 5.0307."""
    found = answer(f"water {line}")

    assert (eto, method) == (round(found["eto"], 2), found["method"])


def test_a_measured_day_is_computed_by_penman_monteith() -> None:
    """FAO-56, example 18: 3.88 mm a day; the method is named and nothing of the weather assumed but the rain."""
    found = answer(UCCLE)

    assert (3.88, "penman-monteith") == (round(found["eto"], 2), found["method"])
    assert set() == {"ea_kpa", "wind_m_s", "wind_height_m", "radiation_mj_m2"} & found["assumed"].keys()
    assert 0 == found["assumed"]["rain_mm"]


def test_temperatures_alone_are_computed_by_hargreaves() -> None:
    """A highland day of 12 to 24 degrees, 1 degree south in July: 3.90 mm, computed by hand with Eq. 52."""
    found = answer(HIGHLAND)

    assert (3.90, "hargreaves") == (round(found["eto"], 2), found["method"])


def test_the_farmers_own_plot_is_told_in_words() -> None:
    """Litres a plant, for the plot and in cans; what is least when water is short; salt; what was assumed."""
    assert [
        "Reference evapotranspiration, hargreaves: 3.90 mm a day.",
        "From temperatures alone: meant for the mean of a week, rough for one day.",
        "The plants take 3.31 mm (crop coefficient 0.85); of the rain 0.00 mm count.",
        "Give 0.99 litres a plant, 248.4 litres for the plot, 24.8 cans.",
        "When water is short, plants live on 0.50 litres a plant, 124.2 litres for the plot, 12.4 cans.",
        "Salt costs yield: 84 % of a full one are left at 1.50 dS/m in the soil, as such water makes it.",
        "Assumed: nothing.",
    ] == said(
        f"{HIGHLAND} --rain 0 --planted 2014-07-15 --plants 250 --spacing 0.3 --bed 1 --path 0.5 --rows 2 "
        "--mulch none --soil loam --can 10 --ec-water 1"
    )


def test_clean_soil_and_what_was_assumed_are_told() -> None:
    """Nothing to warn of is told too, and each assumption with its value."""
    lines = said(f"{UCCLE} --drip 1.2 --ec-soil 0.8 --rain 12")

    assert "Salt costs no yield: 100 % of a full one are left at 0.80 dS/m in the soil." in lines
    assert "Give 0.00 litres a plant, 0.0 minutes of drip." in lines
    assert (
        "Assumed: age_days 365, mulch none, soil loam, bed_m 1, path_m 0.5, rows 2, spacing_m 0.3." in lines
    )


def test_salt_is_part_of_the_object() -> None:
    """Programs see the warning as a word of its own: 67 % at 2 dS/m by Maas (1990)."""
    salt = answer(f"{HIGHLAND} --ec-soil 2")["salt"]

    assert {"soil_ds_m": 2.0, "yield_percent": 67.0, "from_water": False, "warn": True} == salt


def test_the_fiercest_day_that_is_accepted_is_answered() -> None:
    """Hot, bone dry and stormy, at the ends of what weather may be: a figure, and no second refusal."""
    fierce = "water --lat 0 --elevation 0 --date 2015-03-21 --tmin 60 --tmax 60"

    assert 80 < answer(f"{fierce} --ea 0 --wind 50 --radiation 37")["eto"] <= 100


@pytest.mark.parametrize(
    "told",
    [
        pytest.param("--ground 500", id="by ground"),
        pytest.param("--plants 2222", id="by plants"),
        pytest.param("--beds 11 --bed-length 30.3", id="by beds"),
    ],
)
def test_plants_are_told_in_three_ways(told: str) -> None:
    """500 square metres at 0.225 hold 2,222 plants, as do 11 beds of 30.3 m with 101 in each of two rows."""
    assert 2222 == answer(f"{BED} {told}")["plants"]


def test_density_needs_no_plants() -> None:
    """44,444 plants a hectare by hand, and 444 whole ones on 100 square metres; all taken as planted."""
    found = answer(BED)

    assert (44_444, 444, 0.225) == (
        int(found["plants_per_ha"]),
        found["plants_per_100_m2"],
        found["ground_m2_a_plant"],
    )
    assert {"headlands": "none"} == found["assumed"]


def test_a_stand_is_told_in_words() -> None:
    """What is bought for it, and what was taken for granted: nine seedlings in ten live."""
    density, *rest = said(f"{BED} --plants 900")

    assert density.endswith("44,444 plants on a hectare, 444 on 100 square metres.")
    assert [
        "900 plants take 135.0 m of bed on 202.5 square metres.",
        "They need 135.0 m of drip line, and 141.8 m of film at least 1.80 m wide.",
        "Order 1,000 seedlings, as 10 % may be lost.",
        "Assumed: headlands none, rows_a_drip_line 2, bed_height_m 0.25, loss_percent 10.",
    ] == rest


def test_what_of_a_stand_was_told_is_not_assumed() -> None:
    """Height of beds and losses are the farmer's own."""
    found = answer(f"{BED} --plants 900 --bed-height 0.3 --loss 0")

    assert {"headlands": "none", "rows_a_drip_line": 2} == found["assumed"]
    assert (900, 1.9) == (found["seedlings_to_order"], found["film_width_m"])


@pytest.mark.parametrize(
    ("told", "lines"),
    [
        pytest.param(
            "--standing 405 --age 14",
            [
                "45 of 450 plants are missing, 10.0 %.",
                "Fill the gaps: order 50 seedlings, as 10 % may be lost.",
                "Assumed: loss_percent 10.",
            ],
            id="young",
        ),
        pytest.param(
            "--standing 405 --age 30",
            [
                "45 of 450 plants are missing, 10.0 %.",
                "From day 30 on gaps wait for the renewal of the stand.",
                "Assumed: nothing.",
            ],
            id="too-old",
        ),
        pytest.param(
            "--standing 450 --age 14",
            ["0 of 450 plants are missing, 0.0 %.", "There is nothing to fill.", "Assumed: nothing."],
            id="none",
        ),
    ],
)
def test_gaps_are_told_with_what_to_do(told: str, lines: list[str]) -> None:
    """While the stand is young they are filled, with one seedling in ten lost; later they wait."""
    assert lines == said(f"gaps --planted 450 {told}")


def levels(line: str) -> dict[str, str]:
    """Return the risks of a day by their levels."""
    return {risk["hazard"]: risk["level"] for risk in answer(f"risk --date 2026-07-10 {line}")["risks"]}


@pytest.mark.parametrize(
    ("stage", "hurt", "unhurt"),
    # Perry and Poling (1985), figure 1 of an Ontario factsheet, second-hand: -5.5, -2.2, -1.1 and -2.2.
    [("tight_bud", -5.5, -5.4), ("popcorn", -2.2, -2.1), ("open", -1.1, -1.0), ("fruit", -2.2, -2.1)],
)
def test_frost_is_severe_where_a_stage_is_hurt(stage: str, hurt: float, unhurt: float) -> None:
    """At the published temperature, and not a tenth of a degree above it."""
    assert "severe" == levels(f"--tmin {hurt} --stage {stage}")["frost"]
    assert "high" == levels(f"--tmin {unhurt} --stage {stage}")["frost"]


def test_wet_hours_make_grey_mould() -> None:
    """100 % of flowers were infected after 24 wet hours at 20 degrees: Bulger, Ellis and Madden (1987)."""
    assert "severe" == levels("--wet-hours 24 --wet-temp 20 --stage open")["grey_mould"]
    assert "none" == levels("--wet-hours 0 --wet-temp 20 --stage open")["grey_mould"]
    assert "none" == levels("--wet-hours 24 --wet-temp 20 --stage none")["grey_mould"]


def test_days_alike_make_a_row_of_hot_ones() -> None:
    """One hot day is none, three are watched."""
    assert ["none", "watch"] == [levels(f"--tmax 31 --days {days}")["heat"] for days in (1, 3)]


def test_what_nobody_told_is_not_known() -> None:
    """A date alone judges nothing, and nothing is called harmless."""
    assert {"unknown"} == set(levels("").values())
    assert "hail: not known (no_data: needed hail)." in said("risk --date 2026-07-10")


@pytest.mark.parametrize(
    ("told", "level"),
    [("8 4 8 2", "high"), ("8 4 8 3", "none"), ("8 3 8 0", "watch"), ("4 4 8 0", "unknown")],
)
def test_a_village_is_judged_by_its_looks(told: str, level: str) -> None:
    """Those who looked and found now, and two weeks before: twice the share, three finds, five looks."""
    names = ("looked", "found", "looked-before", "found-before")
    line = " ".join(f"--{name} {value}" for name, value in zip(names, told.split(), strict=True))

    assert level == levels(line)["pests"]


def test_a_risk_is_told_with_its_reason() -> None:
    """The plot lies higher than the place of the forecast; who reads it is not sent spraying."""
    lines = said(
        "risk --date 2026-07-10 --tmin -1 --stage open --elevation 2100 --forecast-elevation 1800 --hail possible"
    )

    assert (
        "frost: act first (colder_than_critical: forecast_c -1.0, expected_c -3.6, limit_c -1.1, critical_c -1.1, "
        "stage open)."
    ) == lines[0]
    assert "A risk leads to clean plants and a look by an officer, never to a spray by itself." in lines


def test_a_yield_is_a_range_from_the_first_fruit_on() -> None:
    """Planted on 25 March, the calendar's day 144 is 16 August; 250 plants, worked out by hand for 30 full days."""
    year = answer("yield --planted 2026-03-25 --plants 250")
    # A full pace of 300 g a year is 300 / 365 a day; from day 60 after first fruit on it is full.
    month = answer("yield --planted 2026-03-25 --plants 250 --from 2026-10-20 --to 2026-11-18")

    assert ("2026-08-16", "2026-08-16", "2027-08-15") == (year["first_fruit_from"], year["from"], year["to"])
    assert round(300 / 365 * 30 * 250) == month["typical_g"]
    assert year["low_g"] < year["typical_g"] < year["high_g"]
    assert {"elevation_m": "low", "from": "2026-08-16", "to": "2027-08-15"} == year["assumed"]


def test_higher_up_fruit_comes_later() -> None:
    """From 2,000 m on the calendar takes a day later for the first fruit, and a wider range."""
    found = answer(
        "yield --planted 2026-03-25 --plants 250 --elevation 2100 --from 2026-10-01 --to 2026-10-31"
    )

    assert ("2026-08-17", "2026-09-21", {}) == (
        found["first_fruit_from"],
        found["first_fruit_to"],
        found["assumed"],
    )


def test_own_weights_are_held_against_the_range() -> None:
    """Nine weeks of half a kilo each lie below 150 / 365 x 57 x 250 g, which is 5,856; two weights say nothing."""
    plot = "yield --planted 2026-03-25 --plants 250 --from 2026-10-20 --to 2026-12-15"
    weeks = ("10-20", "10-27", "11-03", "11-10", "11-17", "11-24", "12-01", "12-08", "12-15")
    many = " ".join(f"--weight 2026-{day}=0.5" for day in weeks)
    pace = answer(f"{plot} {many}")["pace"]

    assert (4500, "below") == (pace["grams"], pace["against"])
    assert any(line.startswith("Since 2026-10-20 4.5 kg were picked, ") for line in said(f"{plot} {many}"))
    assert "These weights are too few, or span too few days, to say anything of a pace." in said(
        f"{plot} --weight 2026-10-20=1 --weight 2026-10-27=1"
    )


def test_a_margin_of_a_textbook() -> None:
    """Form Three Agriculture (Tanzania), p. 327: 200 trays at 12,000, costs 1,680,000, margin 720,000."""
    assert [
        "The fruit brings 2,400,000 TZS in 12 months.",
        "Costs 1,680,000, gross margin 720,000 TZS, 30.0 % of the income.",
        "Costs are covered from 8,400 TZS a kilo on.",
        "At this price they are covered from 140.00 kg on.",
        "Assumed: family_days 0, day_rate 0, months 12.",
    ] == said("margin --currency TZS --kg 200 --price 12000 --cost all=1680000")


# An invented plot, worked out by hand, in hundredths: income 2,666.40, costs 1,249.96 with work.
PLOT = (
    "margin --currency TZS --kg 666.6 --price 400 --cost compost=12000 --cost punnets=13332 --cost transport=8000 "
    "--cost sundries=5000 --lasting plants=66660/30 --lasting film=15000/30 "
    "--family-days 180 --day-rate 300 --ground 500"
)


def test_a_margin_worked_out_by_hand() -> None:
    """Margin 1,416.44, 53.1 %, 2.83 a square metre; break-even at 1.875 a kilo and 312.49 kg."""
    found = answer(PLOT)

    assert {
        "costs": 124_996,
        "gross_margin": 141_644,
        "percent_of_income": 53.1,
        "break_even_price_per_kg": 188,
        "break_even_kg": 312.49,
    } == found["work_paid"]
    assert (266_640, 1087, 283, ["plants", "film"]) == (
        found["income"],
        found["per_family_day"],
        found["per_m2"],
        found["spread"],
    )


def test_family_work_is_told_both_ways() -> None:
    """Unpaid and paid, what a day of it earned, and of which costs only a share was taken."""
    lines = said(PLOT)

    assert "Costs 70,996, gross margin 195,644 TZS, 73.4 % of the income, work of the family unpaid." in lines
    assert "Costs 124,996, gross margin 141,644 TZS, 53.1 % of the income, work of the family paid." in lines
    assert "A day of the family's work earns 1,087 TZS." in lines
    assert "Each square metre leaves 283 TZS." in lines
    assert "Only the share of these months was taken of plants, film." in lines


def test_nothing_sold_is_a_loss_without_shares() -> None:
    """What cannot be divided is left out."""
    assert ["The fruit brings 0 TZS in 12 months.", "Costs 5, gross margin -5 TZS."] == said(
        "margin --currency TZS --kg 0 --price 0 --cost compost=5"
    )[:2]


def test_fruit_cooled_at_once_lasts_as_published() -> None:
    """5 to 7 days at 0 °C if cooled at once: Rivera and Tong, Univ. Minnesota."""
    found = answer("cooling --kept-at 0")

    assert (5, 7, False) == (found["days_left_least"], found["days_left_most"], found["cooled_late"])
    assert {"lain": "cooled at once"} == found["assumed"]


def test_warm_hours_are_told() -> None:
    """Twelve hours at 20 °C use up the shortest life of half a day, and beyond 30 °C no figure is known."""
    lines = said("cooling --lain 12@20 --lain 1@35 --kept-at 20")

    assert [
        "Kept at 20 °C the fruit lasts 0.0 to 0.4 days more.",
        "It may not keep until tomorrow: sell it today.",
        "It lay warm for 13 hours; cool it within 1, to 10 °C or less.",
        "No figure is known above 30 °C: the last line was drawn on.",
        "Assumed: nothing.",
    ] == lines
