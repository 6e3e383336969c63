"""The hold after a spray.

The days before harvest lie between the last application and the harvest: Univ. Vermont, page on re-entry and
pre-harvest intervals. Of two products the longer interval counts: US EPA for re-entry.
"""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.agronomy.hold import Hold, Spray, hold_of, hold_on, judge_pick
from service.core.errors import Refused

SPRAYED_ON = date(2026, 6, 1)
LONGEST = 14

sprays = st.builds(
    Spray,
    sprayed_on=st.integers(0, 40).map(lambda days: SPRAYED_ON + timedelta(days=days)),
    label_days=st.none() | st.integers(0, 30),
    reentry_hours=st.none() | st.integers(0, 100),
)
days = st.integers(-10, 90).map(lambda after: SPRAYED_ON + timedelta(days=after))


def _june(day: int) -> date:
    return date(2026, 6, day)


@pytest.mark.parametrize(
    ("day", "held"),
    [
        pytest.param(_june(1) - timedelta(days=1), False, id="the day before"),
        pytest.param(_june(1), True, id="the day of the spray"),
        pytest.param(_june(3), True, id="the last day"),
        pytest.param(_june(4), False, id="the label's three days have passed"),
    ],
)
def test_the_label_holds_picking(day: date, *, held: bool) -> None:
    """Sprayed on the 1st with three label days, fruit is picked again on the 4th."""
    spray = Spray(sprayed_on=SPRAYED_ON, label_days=3)

    assert held == judge_pick(day, [spray], LONGEST).flagged


def test_an_unknown_label_holds_longest() -> None:
    """Until the farmer tells the label's days, the longest of the programme are taken, and it is said."""
    unknown = hold_on(_june(5), [Spray(sprayed_on=SPRAYED_ON)], LONGEST)
    told = hold_on(_june(5), [Spray(sprayed_on=SPRAYED_ON, label_days=3)], LONGEST)

    assert unknown is not None
    assert (_june(15), 14, True) == (unknown.pick_from, unknown.days, unknown.assumed_longest)
    assert told is None


def test_of_several_sprays_the_latest_end_holds() -> None:
    """A later spray with few days does not shorten an earlier one with many."""
    early = Spray(sprayed_on=_june(1), label_days=10)
    late = Spray(sprayed_on=_june(4), label_days=2)
    hold = hold_on(_june(5), [early, late], LONGEST)

    assert hold is not None
    assert (_june(11), early) == (hold.pick_from, hold.spray)


@pytest.mark.parametrize(
    ("label_days", "hours", "pick_from", "by_reentry"),
    [
        pytest.param(0, None, 1, False, id="no days, no hours"),
        pytest.param(3, 24, 4, False, id="the days are longer"),
        pytest.param(1, 48, 4, True, id="the hours are longer"),
        pytest.param(0, 12, 3, True, id="sprayed in the evening perhaps"),
        pytest.param(0, 49, 5, True, id="an hour more takes a day more"),
        pytest.param(2, 0, 3, False, id="no time before entry"),
    ],
)
def test_entry_and_harvest_are_both_looked_at(
    label_days: int, hours: int | None, pick_from: int, *, by_reentry: bool
) -> None:
    """Whoever picks enters: the later of the two ends holds."""
    hold = hold_of(Spray(sprayed_on=SPRAYED_ON, label_days=label_days, reentry_hours=hours), LONGEST)

    assert (_june(pick_from), by_reentry) == (hold.pick_from, hold.by_reentry)


def test_a_weight_inside_is_flagged_with_the_caution() -> None:
    """The judgement carries what the caution says: which spray, and from when on to pick."""
    spray = Spray(sprayed_on=SPRAYED_ON, label_days=7)
    judged = judge_pick(_june(3), [spray], LONGEST)

    expected = Hold(pick_from=_june(8), days=7, spray=spray, assumed_longest=False, by_reentry=False)
    assert judged.flagged
    assert expected == judged.hold


@given(st.lists(sprays, max_size=6), days, sprays)
def test_one_more_spray_never_frees_a_day(some: list[Spray], day: date, more: Spray) -> None:
    """A hold grows with each spray, and its end never comes earlier."""
    before, after = hold_on(day, some, LONGEST), hold_on(day, [*some, more], LONGEST)

    assert before is None or (after is not None and after.pick_from >= before.pick_from)


@given(st.lists(sprays, max_size=6), days)
def test_no_day_is_free_that_a_spray_holds(some: list[Spray], day: date) -> None:
    """The definition, day by day: each spray holds its own day and the label's days after it."""
    inside = any(
        spray.sprayed_on
        <= day
        < spray.sprayed_on + timedelta(days=LONGEST if spray.label_days is None else spray.label_days)
        for spray in some
    )

    assert hold_on(day, some, LONGEST) is not None or not inside


@given(st.lists(sprays, max_size=6), days)
def test_the_end_of_a_hold_is_free_of_its_sprays(some: list[Spray], day: date) -> None:
    """On the day a hold names, none of the sprays known so far holds any more."""
    hold = hold_on(day, some, LONGEST)
    known = [spray for spray in some if spray.sprayed_on <= day]

    assert hold is None or hold_on(hold.pick_from, known, LONGEST) is None


def test_the_longest_days_may_be_one() -> None:
    """A programme may set as little as a day for unknown labels; the day of the spray is held then."""
    assert _june(2) == hold_of(Spray(sprayed_on=SPRAYED_ON), 1).pick_from


@pytest.mark.parametrize(
    ("label_days", "hours", "longest", "word"),
    [
        pytest.param(-1, None, 14, "before harvest", id="negative days"),
        pytest.param(366, None, 14, "before harvest", id="more than a year"),
        pytest.param(3, -1, 14, "before entry", id="negative hours"),
        pytest.param(3, None, 0, "longest", id="nothing set for unknown labels"),
    ],
)
def test_impossible_labels_are_refused(label_days: int, hours: int | None, longest: int, word: str) -> None:
    """A slip must not free a day that the label holds."""
    with pytest.raises(Refused, match=word):
        hold_of(Spray(sprayed_on=SPRAYED_ON, label_days=label_days, reentry_hours=hours), longest)
