"""What farmers found, by village. All figures are common practice, without a source."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.agronomy.risk import Level, Why
from service.agronomy.risk_figures import load_risk
from service.agronomy.risk_scouting import ScoutReply, scouting_risks

FIGURES = load_risk()
TODAY = date(2026, 5, 20)
NOW, THEN = 0, 14
VILLAGE, MITES = 7, "mites"


def _replies(looked: int, found: int, days_ago: int, village: int = VILLAGE) -> list[ScoutReply]:
    on = TODAY - timedelta(days=days_ago)
    return [
        ScoutReply(village=village, farmer=farmer, on=on, pest=MITES, found=farmer < found)
        for farmer in range(looked)
    ]


@pytest.mark.parametrize(
    ("then", "now", "level", "why"),
    [
        pytest.param((10, 2), (10, 4), Level.HIGH, Why.SHARE_ROSE, id="doubled"),
        pytest.param((10, 2), (20, 8), Level.HIGH, Why.SHARE_ROSE, id="doubled among more"),
        pytest.param((10, 2), (20, 7), Level.NONE, Why.SHARE_STEADY, id="more finds, less than doubled"),
        pytest.param((20, 2), (10, 2), Level.NONE, Why.SHARE_STEADY, id="doubled, but two finds only"),
        pytest.param((10, 0), (10, 3), Level.WATCH, Why.NEWLY_FOUND, id="new in the village"),
        pytest.param((10, 0), (10, 2), Level.NONE, Why.SHARE_STEADY, id="new, but two finds only"),
        pytest.param((10, 6), (10, 10), Level.NONE, Why.SHARE_STEADY, id="too many to double"),
        pytest.param((4, 1), (10, 9), Level.UNKNOWN, Why.TOO_FEW_REPLIES, id="too few then"),
        pytest.param((10, 1), (4, 4), Level.UNKNOWN, Why.TOO_FEW_REPLIES, id="too few now"),
        pytest.param((0, 0), (10, 9), Level.UNKNOWN, Why.TOO_FEW_REPLIES, id="nobody then"),
        pytest.param((10, 9), (0, 0), Level.UNKNOWN, Why.TOO_FEW_REPLIES, id="nobody now"),
    ],
)
def test_a_share_that_doubled(then: tuple[int, int], now: tuple[int, int], level: Level, why: Why) -> None:
    """The share of farmers who found something is held against that of two weeks ago."""
    found = scouting_risks(FIGURES, [*_replies(*then, THEN), *_replies(*now, NOW)], TODAY)[VILLAGE, MITES]

    assert (level, why) == (found.level, found.reason.why)
    assert (*now, *then) == tuple(found.reason.values.values())


@pytest.mark.parametrize(
    ("days_ago", "seen"),
    [(0, True), (6, True), (7, False), (13, False), (14, True), (20, True), (21, False), (-1, False)],
)
def test_windows_of_a_week(days_ago: int, *, seen: bool) -> None:
    """The week up to today counts and the one two weeks before, and nothing between or after."""
    assert seen == bool(scouting_risks(FIGURES, _replies(1, 1, days_ago), TODAY))


def test_a_farmers_last_reply_counts() -> None:
    """Who looks twice is one farmer, and the later look holds."""
    twice = [*_replies(6, 6, 5), *_replies(6, 3, 0), *_replies(6, 1, THEN)]
    found = scouting_risks(FIGURES, twice, TODAY)[VILLAGE, MITES]

    assert (6, 3) == (found.reason.values["looked"], found.reason.values["found"])


def test_villages_and_pests_stand_apart() -> None:
    """A neighbour's finds, or another pest's, are no rise here."""
    other = [
        ScoutReply(village=VILLAGE, farmer=reply.farmer, on=reply.on, pest="thrips", found=True)
        for reply in _replies(9, 9, NOW)
    ]
    here = [*_replies(9, 2, THEN), *_replies(9, 2, NOW)]
    found = scouting_risks(FIGURES, [*here, *other, *_replies(9, 9, NOW, village=8)], TODAY)

    assert {(VILLAGE, MITES), (VILLAGE, "thrips"), (8, MITES)} == set(found)
    assert Level.NONE == found[VILLAGE, MITES].level


@given(st.tuples(st.integers(0, 30), st.integers(0, 30)), st.integers(1, 30), st.integers(0, 29))
def test_one_more_find_is_never_less_of_a_risk(then: tuple[int, int], looked: int, finds: int) -> None:
    """The level rises with the finds of today."""
    before = _replies(max(then), min(then), THEN)
    less, more = (
        scouting_risks(FIGURES, [*before, *_replies(looked, count, NOW)], TODAY)[VILLAGE, MITES].level
        for count in (min(finds, looked - 1), min(finds, looked - 1) + 1)
    )

    assert more >= less
