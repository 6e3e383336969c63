from collections.abc import Callable
from datetime import date

import pytest

from flows.inputs import Planted, Precision
from flows.reader import Packs, Reading, Situation, read

Says = Callable[[str], Reading]
ABOUT, MONTH = Precision.ABOUT, Precision.MONTH
MAY_20 = Planted(on=date(2026, 5, 20))
MAY_20_LAST = Planted(on=date(2025, 5, 20))
MAY_LAST = Planted(on=date(2025, 5, 15), precision=MONTH)
OCTOBER_12 = Planted(on=date(2026, 10, 12))
EIGHT_MONTHS = Planted(on=date(2026, 3, 25), precision=ABOUT)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("12/10/2026", OCTOBER_12),
        ("12-10-26", OCTOBER_12),
        ("12.10.2026", OCTOBER_12),
        ("2026-10-12", OCTOBER_12),
        ("12/10", OCTOBER_12),
        ("12-10", OCTOBER_12),
        ("12.10", OCTOBER_12),
        ("tarehe 12/10", OCTOBER_12),
        ("12 Oct", OCTOBER_12),
        ("12th of October 2026", OCTOBER_12),
        ("October 12th, 2026", OCTOBER_12),
        ("tarehe 12 mwezi wa 10", OCTOBER_12),
        ("tarehe kumi na mbili mwezi wa kumi", OCTOBER_12),
        ("12 Machi 2026", Planted(on=date(2026, 3, 12))),
        ("12 ya Machi mwaka jana", Planted(on=date(2025, 3, 12))),
        ("about 12 Oct", Planted(on=date(2026, 10, 12), precision=ABOUT)),
        ("Machi 2026", Planted(on=date(2026, 3, 15), precision=MONTH)),
        ("03/2026", Planted(on=date(2026, 3, 15), precision=MONTH)),
        ("2026-03", Planted(on=date(2026, 3, 15), precision=MONTH)),
        ("March", Planted(on=date(2026, 3, 15), precision=MONTH)),
        ("mwezi wa tatu", Planted(on=date(2026, 3, 15), precision=MONTH)),
        ("Machi mwaka jana", Planted(on=date(2025, 3, 15), precision=MONTH)),
        ("November", Planted(on=date(2026, 11, 15), precision=MONTH)),
        ("next month", Planted(on=date(2026, 12, 15), precision=MONTH)),
        ("mwezi uliopita", Planted(on=date(2026, 10, 15), precision=MONTH)),
        ("about 8 months ago", EIGHT_MONTHS),
        ("8 months ago", EIGHT_MONTHS),
        ("8 months old", EIGHT_MONTHS),
        ("miezi 8 iliyopita", EIGHT_MONTHS),
        ("kama miezi minane iliyopita", EIGHT_MONTHS),
        ("miezi 8", EIGHT_MONTHS),
        ("3 weeks ago", Planted(on=date(2026, 11, 4), precision=ABOUT)),
        ("wiki 3 zilizopita", Planted(on=date(2026, 11, 4), precision=ABOUT)),
        ("last week", Planted(on=date(2026, 11, 18), precision=ABOUT)),
        ("a year ago", Planted(on=date(2025, 11, 25), precision=ABOUT)),
        ("1 1/2 years ago", Planted(on=date(2025, 5, 25), precision=ABOUT)),
        ("mwaka mmoja na nusu uliopita", Planted(on=date(2025, 5, 25), precision=ABOUT)),
        ("two and a half months ago", Planted(on=date(2026, 9, 10), precision=ABOUT)),
        ("in 2 weeks", Planted(on=date(2026, 12, 9), precision=ABOUT)),
        ("baada ya wiki 2", Planted(on=date(2026, 12, 9), precision=ABOUT)),
        ("wiki 2 zijazo", Planted(on=date(2026, 12, 9), precision=ABOUT)),
        ("siku 3 zilizopita", Planted(on=date(2026, 11, 22))),
        ("leo", Planted(on=date(2026, 11, 25))),
        ("jana", Planted(on=date(2026, 11, 24))),
        ("kesho", Planted(on=date(2026, 11, 26))),
        ("tomorrow", Planted(on=date(2026, 11, 26))),
        ("last monday", Planted(on=date(2026, 11, 23))),
        ("jumanne ijayo", Planted(on=date(2026, 12, 1))),
        ("next wednesday", Planted(on=date(2026, 12, 2))),
        # Day, month and year in any order, in both languages.
        ("mwezi wa tano tarehe 20", MAY_20),
        ("tarehe 20 mwezi wa 5", MAY_20),
        ("tarehe ya 20 mwezi wa tano", MAY_20),
        ("mwezi 5 tarehe 20", MAY_20),
        ("20 may", MAY_20),
        ("may 20", MAY_20),
        ("mei tarehe 20", MAY_20),
        ("nilipanda mwezi wa tano tarehe ishirini", MAY_20),
        ("mwezi wa 5 tarehe 20 mwaka jana", MAY_20_LAST),
        ("mwaka jana mwezi wa tano tarehe 20", MAY_20_LAST),
        ("last year on 20 may", MAY_20_LAST),
        ("the 20th of may last year", MAY_20_LAST),
        ("2025 mei 20", MAY_20_LAST),
        ("20 5 2025", MAY_20_LAST),
        ("20 may 25", MAY_20_LAST),
        ("20/5 mwaka jana", MAY_20_LAST),
        ("mwaka jana 20/5", MAY_20_LAST),
        ("mwezi wa 5 2025", MAY_LAST),
        ("mwezi wa tano mwaka 2025", MAY_LAST),
        ("mwaka 2025 mwezi wa 5", MAY_LAST),
        ("last year in may", MAY_LAST),
        ("may last year", MAY_LAST),
        ("may of last year", MAY_LAST),
        ("mwaka jana mei", MAY_LAST),
        ("2025 may", MAY_LAST),
        ("mwezi wa kwanza mwaka huu", Planted(on=date(2026, 1, 15), precision=MONTH)),
        ("last november", Planted(on=date(2025, 11, 15), precision=MONTH)),
        ("last december", Planted(on=date(2025, 12, 15), precision=MONTH)),
        ("next december", Planted(on=date(2026, 12, 15), precision=MONTH)),
        ("next november", Planted(on=date(2027, 11, 15), precision=MONTH)),
        ("machi ijayo", Planted(on=date(2027, 3, 15), precision=MONTH)),
        ("mwezi 5", Planted(on=date(2026, 5, 15), precision=MONTH)),
        ("mwezi 5 uliopita", Planted(on=date(2026, 6, 25), precision=ABOUT)),
        ("mwezi 1", Planted(on=date(2026, 10, 25), precision=ABOUT)),
        ("200 mwezi wa 5", Planted(on=date(2026, 5, 15), precision=MONTH)),
        ("end of may", Planted(on=date(2026, 5, 25), precision=ABOUT)),
        ("mwanzo wa mwezi wa tano", Planted(on=date(2026, 5, 5), precision=ABOUT)),
        # No year said, and the coming one lies within 90 days: both are likely.
        ("12/1", Planted(on=date(2026, 1, 12), other=date(2027, 1, 12))),
        ("Januari", Planted(on=date(2026, 1, 15), precision=MONTH, other=date(2027, 1, 15))),
        ("tarehe 28", Planted(on=date(2026, 10, 28), other=date(2026, 11, 28))),
        ("26/11", Planted(on=date(2025, 11, 26), other=date(2026, 11, 26))),
        ("23/2", Planted(on=date(2026, 2, 23), other=date(2027, 2, 23))),
        ("24/2", Planted(on=date(2026, 2, 24))),
        # A year is reported as said, however unlikely.
        ("12/10/2062", Planted(on=date(2062, 10, 12))),
        ("12/10/202", Planted(on=date(202, 10, 12))),
        # The first day that exists counts.
        ("31/11 sorry 30/10", Planted(on=date(2026, 10, 30))),
    ],
)
def test_planting_day_is_read(says: Says, text: str, expected: Planted) -> None:
    """A planting day is read from figures, names and reckoning, as closely as it was said."""
    assert expected == says(text).slots.planted


@pytest.mark.parametrize(
    "text",
    [
        "31 Nov",
        "31/11",
        "31/11/2026",
        "29/2",
        "10/25/2026",
        "12/13",
        "500/26",
        "0/5",
        "tarehe 40",
        "99999 years ago",
        "31/11 mwaka jana",
        "mwezi wa 13",
        "mwezi wa tano tarehe 32",
        # A year is no day, and "jana" in it is not yesterday.
        "mwaka jana",
        "last year",
        "mwaka 2025",
        "50 5 2025",
    ],
)
def test_day_that_does_not_exist_is_none(says: Says, text: str) -> None:
    """A day that is in no calendar, or only with day and month swapped, is asked for again."""
    assert says(text).slots.planted is None


def test_leap_day_of_the_coming_year_is_found(packs: Packs) -> None:
    """The 29th of February is taken where a year about today has one, even if only ahead."""
    situation = Situation(on=date(2027, 11, 25), districts=(), languages=packs)

    assert Planted(on=date(2028, 2, 29)) == read("29/2", situation).slots.planted


@pytest.mark.parametrize(
    ("today", "expected"),
    [
        (date(1, 1, 1), None),
        (date(2024, 3, 31), date(2024, 2, 29)),
        (date(2026, 3, 31), date(2026, 2, 28)),
    ],
)
def test_month_back_from_a_long_month(packs: Packs, today: date, expected: date | None) -> None:
    """A month before the 31st of March is the last of February; before the calendar there is no day."""
    planted = read("1 month ago", Situation(on=today, districts=(), languages=packs)).slots.planted

    assert expected == (planted.on if planted else None)


@pytest.mark.parametrize("today", [date.min, date.max])
@pytest.mark.parametrize(
    "text", ["yesterday", "last week", "next week", "tomorrow", "monday", "last month", "31", "tarehe 20"]
)
def test_ends_of_the_calendar_do_not_raise(packs: Packs, today: date, text: str) -> None:
    """Even on the first and last day there is, reading answers."""
    assert read(text, Situation(on=today, districts=(), languages=packs)).why
