from collections.abc import Callable
from datetime import date
from decimal import Decimal

import pytest

from flows.inputs import Join, Planted, Precision
from flows.reader import Reading
from flows.slots import Slots

Says = Callable[[str], Reading]
OCTOBER = Planted(on=date(2026, 10, 12))
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
        ("Tatu", Slots(number=Decimal(3), plants=3, name="Tatu")),
        ("Machi", Slots(planted=Planted(on=date(2026, 3, 15), precision=Precision.MONTH), name="Machi")),
        ("400", Slots(number=Decimal(400), plants=400)),
        ("nina miche 1,200", Slots(number=Decimal("1.200"), plants=1200)),
        ("zaruvi", Slots(district="Zaruvi")),
        ("niko ketumaly", Slots(district="Ketumali", name="Niko")),
        ("8 months ago", Slots(planted=MARCH)),
        ("12/10", Slots(planted=OCTOBER)),
        ("ndoo 2", Slots()),
        ("majani yana madoa mengi sana leo", Slots(planted=Planted(on=date(2026, 11, 25)))),
        ("sijui", Slots()),
        ("ndiyo", Slots()),
        ("x" * 30, Slots()),
    ],
)
def test_slots_hold_what_an_open_question_may_take(says: Says, text: str, expected: Slots) -> None:
    """Whatever a text means, its number, day, district and possible name are there for the question asked."""
    assert expected == says(text).slots
