"""The hold after a spray: which days it has, and what several of them have together.

The days before harvest lie between the last application and the harvest: Univ. Vermont, page on re-entry and
pre-harvest intervals. Of two products the longer interval counts: US EPA for re-entry.
"""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from flows.spraying import Held, free_from, held_on

SPRAYED_ON = date(2026, 6, 1)
LONGEST = 14


def june(day: int) -> date:
    """Return a day of that month."""
    return date(2026, 6, day)


def held(sprayed_on: date, label_days: int | None) -> Held:
    """Return a spray as it is kept."""
    free = free_from(sprayed_on, label_days, LONGEST)
    return Held(spray_id=sprayed_on.day, sprayed_on=sprayed_on, pick_from=free)


sprays = st.lists(
    st.builds(
        held,
        st.integers(0, 40).map(lambda days: SPRAYED_ON + timedelta(days=days)),
        st.none() | st.integers(1, 60),
    ),
    max_size=6,
).map(tuple)
days = st.integers(-10, 90).map(lambda after: SPRAYED_ON + timedelta(days=after))


@pytest.mark.parametrize(
    ("day", "holds"),
    [
        pytest.param(june(1) - timedelta(days=1), False, id="the-day-before"),
        pytest.param(june(1), True, id="the-day-of-the-spray"),
        pytest.param(june(3), True, id="the-last-day"),
        pytest.param(june(4), False, id="three-days-have-passed"),
    ],
)
def test_the_label_holds_picking(day: date, *, holds: bool) -> None:
    """Sprayed on the 1st with three label days, fruit is picked again on the 4th."""
    assert holds == (held_on((held(SPRAYED_ON, 3),), day) is not None)


def test_an_unknown_label_holds_longest() -> None:
    """Until somebody tells the label's days, the longest of the programme are taken, be it one."""
    assert [june(15), june(2)] == [free_from(SPRAYED_ON, None, longest) for longest in (LONGEST, 1)]


def test_of_several_sprays_the_latest_end_holds() -> None:
    """A later spray with few days does not shorten an earlier one with many."""
    early, late = held(june(1), 10), held(june(4), 2)

    assert early == held_on((early, late), june(5))


@given(sprays, days, st.none() | st.integers(1, 60))
def test_one_more_spray_never_frees_a_day(some: tuple[Held, ...], day: date, label_days: int | None) -> None:
    """A hold grows with each spray, and its end never comes earlier."""
    before, after = held_on(some, day), held_on((*some, held(SPRAYED_ON, label_days)), day)

    assert before is None or (after is not None and after.pick_from >= before.pick_from)


@given(sprays, days)
def test_the_end_of_a_hold_is_free_of_its_sprays(some: tuple[Held, ...], day: date) -> None:
    """On the day a hold names, none of the sprays known so far holds any more."""
    hold = held_on(some, day)
    known = tuple(spray for spray in some if spray.sprayed_on <= day)

    assert hold is None or held_on(known, hold.pick_from) is None
