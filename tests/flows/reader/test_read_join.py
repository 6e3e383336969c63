from collections.abc import Callable
from datetime import date
from decimal import Decimal

import pytest

from flows.inputs import Join, Planted, Precision
from flows.reader import Reading
from flows.slots import Slots

Says = Callable[[str], Reading]
OCTOBER = Planted(on=date(2026, 10, 12))
MAY = Planted(on=date(2026, 5, 20))
MID_MAY = Planted(on=date(2026, 5, 15), precision=Precision.MONTH)
MARCH = Planted(on=date(2026, 3, 25), precision=Precision.ABOUT)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("JOIN", Join()),
        ("nataka kujiunga", Join()),
        ("join asha", Join(name="Asha")),
        (
            "JOIN Asha 400 12/10/2026 Zaruvi",
            Join(name="Asha", plants=400, planted=OCTOBER, district="Zaruvi"),
        ),
        (
            "join zaruvi 12/10/2026 asha mwinyi 400",
            Join(name="Asha Mwinyi", plants=400, planted=OCTOBER, district="Zaruvi"),
        ),
        (
            "JIUNGE Asha Mwinyi Ketumali miche 400 12 Okt 2026",
            Join(name="Asha Mwinyi", plants=400, planted=OCTOBER, district="Ketumali"),
        ),
        (
            "JIUNGE Asha miche 400 miezi minane iliyopita Ndaliro",
            Join(name="Asha", plants=400, planted=MARCH, district="Ndaliro"),
        ),
        (
            "jiunge jina langu ni Asha, mimea mia nne, ketumali",
            Join(name="Asha", plants=400, district="Ketumali"),
        ),
        (
            "join Asha 1,200 8 months ago zaruvi hills",
            Join(name="Asha", plants=1200, planted=MARCH, district="Zaruvi Hills"),
        ),
        ("jiunge Tatu 400 shumbeca", Join(name="Tatu", plants=400, district="Shumbeka")),
        ("join June 400 12/10/2026", Join(name="June", plants=400, planted=OCTOBER)),
        ("join asha 400 12 Oct 26", Join(name="Asha", plants=400, planted=OCTOBER)),
        ("join asha 400 12.10", Join(name="Asha", plants=400, planted=OCTOBER)),
        ("join asha 400 1/4", Join(name="Asha", plants=400, planted=Planted(on=date(2026, 4, 1)))),
        ("join asha 400 300", Join(name="Asha")),
        ("join asha 400 plants 3 beds", Join(name="Asha", plants=400)),
        ("join asha 40.5", Join(name="Asha")),
        # The figures of a date are no plants, and a count is no day.
        (
            "jiunge Asha 200 mwezi wa tano tarehe 20 Zaruvi",
            Join(name="Asha", plants=200, planted=MAY, district="Zaruvi"),
        ),
        ("jiunge Asha mwezi wa tano tarehe 20", Join(name="Asha", planted=MAY)),
        ("jiunge Asha 20 mwezi wa 5", Join(name="Asha", planted=MAY)),
        ("jiunge Asha miche 20 mwezi wa 5", Join(name="Asha", plants=20, planted=MID_MAY)),
        ("join Asha 30 plants may", Join(name="Asha", plants=30, planted=MID_MAY)),
        ("join Asha may 300", Join(name="Asha", plants=300, planted=MID_MAY)),
        ("join Asha 20 may 25", Join(name="Asha", planted=Planted(on=date(2025, 5, 20)))),
        ("join Asha 20 5 2025", Join(name="Asha", planted=Planted(on=date(2025, 5, 20)))),
        ("join Asha 31/11 300", Join(name="Asha", plants=300)),
        ("join Asha mwezi wa 13", Join(name="Asha")),
        # A name may be any word where the rest is told besides.
        ("join Mama Tatu 300", Join(name="Mama Tatu", plants=300)),
        ("join Mama Asha wa Ketumali", Join(name="Mama Asha", district="Ketumali")),
        ("join Baraka Mia 300 12/10/2026", Join(name="Baraka Mia", plants=300, planted=OCTOBER)),
        ("jiunge Juma Tatu 300 tarehe 20 mwezi wa 5", Join(name="Juma Tatu", plants=300, planted=MAY)),
        ("join Sunday 300 12/10/2026", Join(name="Sunday", plants=300, planted=OCTOBER)),
        ("join 300 Sunday 12/10/2026", Join(name="Sunday", plants=300, planted=OCTOBER)),
        ("join May 300", Join(name="May", plants=300)),
        ("join Asha June 300 12/10/2026", Join(name="Asha June", plants=300, planted=OCTOBER)),
        ("jiunge Asha mia tatu 12/10/2026", Join(name="Asha", plants=300, planted=OCTOBER)),
        ("join two hundred plants zaruvi", Join(plants=200, district="Zaruvi")),
        ("join 400", Join(plants=400)),
        ("regsiter Asha 400", Join(name="Asha", plants=400)),
    ],
)
def test_join_takes_what_is_said_in_any_order(says: Says, text: str, expected: Join) -> None:
    """Name, plants, planting day and district are found in any order, and what is missing stays open."""
    assert expected == says(text).input


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("Asha Mwinyi", Slots(name="Asha Mwinyi")),
        ("naitwa ASHA", Slots(name="Asha")),
        ("my name is McAsha", Slots(name="McAsha")),
        ("Tatu", Slots(number=Decimal(3), plants=3, name="Tatu", weekdays=(2,), label_days=3, grams=3_000)),
        ("Machi", Slots(planted=Planted(on=date(2026, 3, 15), precision=Precision.MONTH), name="Machi")),
        ("400", Slots(number=Decimal(400), plants=400, grams=400_000)),
        ("nina miche 1,200", Slots(number=Decimal("1.200"), plants=1200)),
        ("zaruvi", Slots(district="Zaruvi")),
        ("niko ketumaly", Slots(district="Ketumali", name="Niko")),
        ("8 months ago", Slots(planted=MARCH)),
        ("12/10", Slots(planted=OCTOBER)),
        ("ndoo 2", Slots()),
        ("majani yana madoa mengi sana leo", Slots(planted=Planted(on=date(2026, 11, 25)))),
        ("sijui", Slots(unsure=True)),
        ("ndiyo", Slots()),
        ("x" * 30, Slots()),
    ],
)
def test_slots_hold_what_an_open_question_may_take(says: Says, text: str, expected: Slots) -> None:
    """Whatever a text means, its number, day, district and possible name are there for the question asked."""
    assert expected == says(text).slots


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("Mama Tatu", "Mama Tatu"),
        ("mama asha", "Mama Asha"),
        ("Mzee Juma Bakari", "Mzee Juma Bakari"),
        ("Sunday", "Sunday"),
        ("Jumatatu", "Jumatatu"),
        ("Juma Tatu", "Juma Tatu"),
        ("Baraka Mia", "Baraka Mia"),
        ("BARAKA MIA TATU", "Baraka Mia Tatu"),
        ("June Machi", "June Machi"),
        ("Asha binti Mwinyi", "Asha Binti Mwinyi"),
        ("habari, naitwa Mama Tatu", "Mama Tatu"),
        ("hello, sunday", "Sunday"),
        ("mimi ni Juma Tatu", "Juma Tatu"),
        ("kumi na mbili", None),
        ("leo", None),
        ("kesho asubuhi", None),
        ("miezi minane", None),
        ("Tatu 400", None),
        ("nani?", None),
    ],
)
def test_a_name_is_kept_whole(says: Says, text: str, name: str | None) -> None:
    """Where a name was asked, a number word, a weekday or a title is part of it; a day or a sentence is none."""
    assert name == says(text).slots.name
