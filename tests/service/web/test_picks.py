"""What a plot has borne, as figures."""

from datetime import UTC, date, datetime, timedelta

import pytest

from service.db.queries.console_values import Weight
from service.web.farmers.picks import FEWEST_WEEKS, WEEKS, Picks, add_up

# A Wednesday.
TODAY = date(2026, 11, 25)


def picked(*told: tuple[int, int], state: str = "counted") -> tuple[Weight, ...]:
    """Return weights from (days ago, grams)."""
    at = datetime(2026, 11, 25, tzinfo=UTC)
    return tuple(
        Weight(id=1, picked_on=TODAY - timedelta(days=ago), grams=grams, state=state, at=at)
        for ago, grams in told
    )


def sums(weights: tuple[Weight, ...], age: int = 400) -> Picks:
    """Add up weights of a hundred plants."""
    return add_up(weights, plants=100, planted_on=TODAY - timedelta(days=age), today=TODAY)


def test_weeks_begin_on_monday() -> None:
    """Monday to today is this week; the Sunday before is last week's."""
    weeks = sums(picked((0, 1000), (2, 2000), (3, 4000))).weeks

    assert [(date(2026, 11, 16), 4000), (date(2026, 11, 23), 3000)] == [
        (week.monday, week.grams) for week in weeks[-2:]
    ]


@pytest.mark.parametrize(
    ("first", "weeks"),
    [(0, FEWEST_WEEKS), (70, 11), (175, WEEKS), (900, WEEKS)],
    ids=["new", "some", "half a year", "old"],
)
def test_drawing_begins_near_the_first_pick(first: int, weeks: int) -> None:
    """At least eight weeks are drawn and at most half a year; bars fill the width evenly."""
    found = sums(picked((first, 1000))).weeks

    assert weeks == len(found)
    assert found[-1].x + found[-1].width <= 100
    assert found[0].x == 0


def test_nothing_ripe_is_no_pick() -> None:
    """A zero is kept in the list; it neither begins the harvest nor draws a bar."""
    found = sums(picked((3, 0)))

    assert (None, (), ()) == (found.first_on, found.weeks, found.on_strip)
    assert 1 == len(found.weights)


def test_year_ends_today() -> None:
    """The last twelve months are 365 days, today included."""
    found = sums(picked((364, 1), (365, 10)))

    assert (11, 1) == (found.total, found.last_year)


def test_strip_has_weights_by_age() -> None:
    """On the strip weights stand by the plot's age in weeks, also one told for a day before planting."""
    found = sums(picked((0, 500), (6, 500), (405, 100)), age=400)

    assert [(-7, 100), (392, 500), (399, 500)] == [(bar.day, bar.amount) for bar in found.on_strip]
