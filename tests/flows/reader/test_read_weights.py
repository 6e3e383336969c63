from collections.abc import Callable
from datetime import date
from decimal import Decimal

import pytest

from flows.inputs import Harvest, Input, Number, Unit, Words
from flows.reader import Reading

Says = Callable[[str], Reading]
KILO, GRAM = Unit.KILO, Unit.GRAM
TODAY = date(2026, 11, 25)
YESTERDAY = date(2026, 11, 24)
EIGHT_AND_SIX = Harvest(grams=8_000, on=TODAY, second=(6_000, YESTERDAY))


@pytest.mark.parametrize(
    ("text", "grams", "unit"),
    [
        ("HARVEST 12.5", 12_500, None),
        ("harvest 12,5", 12_500, None),
        ("harvest .5", 500, None),
        ("vuna.5", 5_000, None),
        ("vuna kilo 7", 7_000, KILO),
        ("vuna12kg", 12_000, KILO),
        ("vuna 1o", 10_000, None),
        ("vuna 1okg", 10_000, KILO),
        ("vuna o.5", 500, None),
        ("vuna １２", 12_000, None),
        ("vuna ١٢", 12_000, None),
        ("vuna 7 1/2", 7_500, None),
        ("vuna 7½", 7_500, None),
        ("vuna 1⁄2 kilo", 500, KILO),
        ("vuna 1/2 kilo", 500, KILO),
        ("vuna kilo 7 na robo", 7_250, KILO),
        ("vuna kilo 7 na robo tatu", 7_750, KILO),
        ("vuna robo tatu kilo", 750, KILO),
        ("vuna kilo nane kasorobo", 7_750, KILO),
        ("vuna kilo nane kasoro robo", 7_750, KILO),
        ("vuna kilo na nusu", 1_500, KILO),
        ("vuna kumi na mbili nukta tano", 12_500, None),
        ("harvest twelve point five kg", 12_500, KILO),
        ("harvest one and a half kilos", 1_500, KILO),
        ("harvest 2 kilos and a half", 2_500, KILO),
        ("harvest half a kilo", 500, KILO),
        ("harvest three quarters of a kilo", 750, KILO),
        ("vuna 500 g", 500, GRAM),
        ("vuna gramu 500", 500, GRAM),
        ("vuna elfu moja mia mbili gramu", 1_200, GRAM),
        ("vuna mia tano gramu", 500, GRAM),
        ("vuna kilo 12 na gramu 500", 12_500, KILO),
        ("harvest 12 kg 500 g", 12_500, KILO),
        ("harvest 0", 0, None),
        ("harvest 0.125", 125, None),
        ("harvest 1250.5", 1_250_500, None),
        ("harvest 1,250,000 g", 1_250_000, GRAM),
        ("harvest 1.250,5", 1_250_500, None),
        ("harvst 12", 12_000, None),
        ("hravest 12", 12_000, None),
        ("haverst 12", 12_000, None),
        ("nimevnua 12", 12_000, None),
        ("tayari nimevuna kilo 12", 12_000, KILO),
        ("kilo 12 nimevuna", 12_000, KILO),
        ("I have already picked 12 kg of strawberries", 12_000, KILO),
        ("habari, tumevuna kilo 12 asante", 12_000, KILO),
        ("anavuna 3", 3_000, None),
    ],
)
def test_weight_is_read(says: Says, text: str, grams: int, unit: Unit | None) -> None:
    """A weight is read from digits, fractions and words, in kilos unless grams are said."""
    assert Harvest(grams=grams, unit=unit) == says(text).input


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("leo nimevuna kilo 12", Harvest(grams=12_000, unit=KILO, on=TODAY)),
        ("harvest 12 yesterday", Harvest(grams=12_000, on=date(2026, 11, 24))),
        ("vuna 12 juzi", Harvest(grams=12_000, on=date(2026, 11, 23))),
        ("harvest 12 day before yesterday", Harvest(grams=12_000, on=date(2026, 11, 23))),
        ("vuna kumi na tano na robo jana", Harvest(grams=15_250, on=date(2026, 11, 24))),
        ("vuna 9 jumatatu", Harvest(grams=9_000, on=date(2026, 11, 23))),
        ("harvest 9 wednesday", Harvest(grams=9_000, on=TODAY)),
        ("harvest 9 last wednesday", Harvest(grams=9_000, on=date(2026, 11, 18))),
        ("vuna 9 jumatano iliyopita", Harvest(grams=9_000, on=date(2026, 11, 18))),
        ("vuna 9 tarehe 5 mwezi wa kumi na moja", Harvest(grams=9_000, on=date(2026, 11, 5))),
        ("vuna 9 tarehe 20", Harvest(grams=9_000, on=date(2026, 11, 20))),
        ("vuna 9 tarehe 28", Harvest(grams=9_000, on=date(2026, 10, 28))),
        ("harvest 9 on the 20th", Harvest(grams=9_000, on=date(2026, 11, 20))),
        ("harvest 9 20/11", Harvest(grams=9_000, on=date(2026, 11, 20))),
        ("harvest 9 30/12", Harvest(grams=9_000, on=date(2025, 12, 30))),
        ("harvest 9 12 nov", Harvest(grams=9_000, on=date(2026, 11, 12))),
        ("harvest 12 nov 9 kg", Harvest(grams=9_000, unit=KILO, on=date(2026, 11, 12))),
        ("vuna 9 siku 2 zilizopita", Harvest(grams=9_000, on=date(2026, 11, 23))),
        ("vuna 5/11", Harvest(on=date(2026, 11, 5))),
        ("vuna jana", Harvest(on=date(2026, 11, 24))),
        ("vuna", Harvest()),
        ("vuna 9 jtano iliyopita", Harvest(grams=9_000, on=date(2026, 11, 18))),
        ("harvest 9 on ijm", Harvest(grams=9_000, on=date(2026, 11, 20))),
        # No single day: it is asked, and today is not taken for it.
        ("harvest 9 last week", Harvest(grams=9_000, vague=True)),
        ("vuna 9 wiki iliyopita", Harvest(vague=True)),
        ("vuna 9 mwaka jana", Harvest(grams=9_000, vague=True)),
        ("harvest 9 31/11", Harvest(grams=9_000, vague=True)),
        # Two weights of two days.
        ("8 leo na 6 jana", EIGHT_AND_SIX),
        ("vuna 8 leo na 6 jana", EIGHT_AND_SIX),
        ("harvest today 8 kg and yesterday 6 kg", EIGHT_AND_SIX),
        ("vuna jana 6, leo 8", Harvest(grams=6_000, on=YESTERDAY, second=(8_000, TODAY))),
        # Nothing was picked.
        ("sijavuna", Harvest(grams=0)),
        ("sikuvuna leo", Harvest(grams=0, on=TODAY)),
        ("hatujavuna bado", Harvest(grams=0)),
        ("I did not pick yesterday", Harvest(grams=0, on=YESTERDAY)),
        ("nothing was ripe", Harvest(grams=0)),
        ("leo kilo 12", Harvest(grams=12_000, unit=KILO, on=TODAY)),
        ("12 kg jana", Harvest(grams=12_000, unit=KILO, on=date(2026, 11, 24))),
    ],
)
def test_day_is_cut_out_before_the_weight(says: Says, text: str, expected: Harvest) -> None:
    """The day of a picking is the latest past one that fits, and its figures are no weight."""
    assert expected == says(text).input


@pytest.mark.parametrize(
    ("text", "expected", "reason"),
    [
        ("vuna 1,250", Harvest(grams=1_250, other=1_250_000), "the digits may be thousands or decimals"),
        (
            "harvest 1.250 kg",
            Harvest(grams=1_250, unit=KILO, other=1_250_000),
            "the digits may be thousands or decimals",
        ),
        (
            "vuna elfu kumi na mbili",
            Harvest(grams=12_000_000, other=10_002_000),
            "the digits may be thousands or decimals",
        ),
        ("vuna 8 na 5", Harvest(grams=8_000, extra=True), "more than one number"),
        # Nobody can tell which weight is of which day, or both are of the same.
        (
            "vuna kilo 8 kilo 6 leo jana",
            Harvest(grams=8_000, unit=KILO, on=TODAY, extra=True),
            "more than one number",
        ),
        ("vuna leo 8 6 jana", Harvest(grams=8_000, on=TODAY, extra=True), "more than one number"),
        ("harvest 8 today 6 today", Harvest(grams=8_000, on=TODAY, extra=True), "more than one number"),
        ("harvest 300 12kg", Harvest(grams=12_000, unit=KILO, extra=True), "more than one number"),
        ("harvest 12?", Harvest(grams=12_000, extra=True), "asked rather than told"),
        ("harvest 12 kesho", Harvest(grams=12_000, on=date(2026, 11, 26), extra=True), "a day ahead"),
        ("vuna 1/2", Harvest(grams=500, extra=True), "a fraction that may be a day"),
        ("vuna -5", Harvest(grams=5_000, extra=True), "a number below zero"),
        ("harvest - 5", Harvest(grams=5_000, extra=True), "a number below zero"),
        ("harvest minus 5", Harvest(grams=5_000, extra=True), "a number below zero"),
        ("picked half", Harvest(grams=500, extra=True), "a part of something that is not said"),
        ("nimevuna robo tatu", Harvest(grams=750, extra=True), "a part of something that is not said"),
        ("vuna lita 2", Harvest(extra=True), "a count of containers, no weight"),
        ("harvest 2 buckets 3 trays", Harvest(extra=True), "a count of containers, no weight"),
    ],
)
def test_doubtful_weight_is_marked(says: Says, text: str, expected: Harvest, reason: str) -> None:
    """A weight that can be read in two ways is kept as doubtful, with the reason."""
    reading = says(text)

    assert (expected, reason) == (reading.input, reading.why[-1])


def test_plants_beside_a_weight_are_no_second_weight(says: Says) -> None:
    """A count said to be of plants does not make the weight doubtful."""
    assert Harvest(grams=12_000) == says("harvest 12 from 400 plants").input


@pytest.mark.parametrize("text", ["vuna 12.5.6", "vuna 12345678", "vuna 12,50,6", "vuna 3/9", "vuna 10-12"])
def test_figures_that_are_no_number_are_no_weight(says: Says, text: str) -> None:
    """Telephone numbers, ranges and broken figures give no weight rather than a wrong one."""
    assert getattr(says(text).input, "grams", 0) is None


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("12", Number(value=Decimal(12))),
        ("12,5 kg", Number(value=Decimal("12.5"), unit=KILO)),
        ("kilo nane na nusu", Number(value=Decimal("8.5"), unit=KILO)),
        ("500 g", Number(value=Decimal(500), unit=GRAM)),
        ("namba 3", Number(value=Decimal(3))),
        ("3.", Number(value=Decimal(3))),
        ("tatu", Number(value=Decimal(3))),
        ("miche 400", Number(value=Decimal(400))),
        ("two hundred and fifty plants", Number(value=Decimal(250))),
        ("1,250", Number(value=Decimal("1.25"), other=Decimal(1250))),
        ("1/2", Number(value=Decimal("0.5"))),
        ("ndoo 2", Words(text="ndoo 2")),
        ("12?", Words(text="12?", question=True)),
        ("1 3", Words(text="1 3")),
        ("-5", Words(text="-5")),
        ("minus 5", Words(text="minus 5")),
        # It says more than that nothing was picked.
        ("sijavuna sokoni leo", Words(text="sijavuna sokoni leo")),
    ],
)
def test_number_alone(says: Says, text: str, expected: Input) -> None:
    """A message that is one number, perhaps with a unit, is a number; the open question knows what for."""
    assert expected == says(text).input
