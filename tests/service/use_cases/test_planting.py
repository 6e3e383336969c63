"""Plots: their days of the week, and what follows when a planting date is corrected."""

from datetime import date, timedelta

import pytest

from service.core.errors import Refused
from service.use_cases.planting import correct_planting_date, default_days, mask_of, weekdays_of
from tests.village import Village

WEDNESDAY = date(2026, 11, 25)


@pytest.mark.parametrize("days", [frozenset(), frozenset({0}), frozenset({2, 5}), frozenset(range(7))])
def test_weekdays_are_kept_as_a_mask(days: frozenset[int]) -> None:
    """Monday is bit 0; what is written is what is read."""
    assert days == weekdays_of(mask_of(days))


@pytest.mark.parametrize(
    ("taken", "text_day", "pick_days"),
    [
        pytest.param(frozenset(), 2, {2, 5}, id="nobody-else"),
        pytest.param(frozenset({2, 5}), 3, {3, 6}, id="one-other"),
        pytest.param(frozenset({2, 5, 3, 6}), 4, {4, 0}, id="two-others"),
        pytest.param(frozenset({2, 5, 3, 6, 4, 0}), 1, {1, 4}, id="three-others"),
        pytest.param(frozenset(range(7)), 2, {2, 5}, id="no-day-is-free"),
    ],
)
def test_the_text_day_is_the_day_of_joining_unless_it_is_taken(
    taken: frozenset[int], text_day: int, pick_days: set[int]
) -> None:
    """Farmers on one phone share its three texts a week, so each gets days of their own."""
    columns = default_days(WEDNESDAY, taken)

    assert (text_day, pick_days) == (columns["text_day"], set(weekdays_of(columns["pick_days"])))


def correct(village: Village, planted_on: date, *, plot_id: int | None = None) -> None:
    """Correct the only plot's planting date as an officer does."""
    found = village.row("SELECT id FROM plot")["id"]
    assert isinstance(found, int)
    with village.database.work() as work:
        correct_planting_date(
            work,
            village.tools,
            found if plot_id is None else plot_id,
            planted_on,
            who="officer:1",
            on=village.today,
            now=village.clock.now(),
        )
        work.commit()


@pytest.mark.parametrize("days", [-184, 1096], ids=["too-far-ahead", "too-old"])
def test_a_day_that_can_be_no_planting_date_is_refused(village: Village, days: int) -> None:
    """It is asked for again, never moved to one that can."""
    village.phone().joins()

    with pytest.raises(Refused, match="within the last three years"):
        correct(village, village.today - timedelta(days=days))


def test_a_plot_that_is_not_there_is_refused(village: Village) -> None:
    """The mistake is told in a sentence."""
    village.phone().joins()

    with pytest.raises(Refused, match="no such plot"):
        correct(village, village.today, plot_id=-1)


def test_a_correction_replans_what_was_not_texted(village: Village) -> None:
    """Jobs of the old date that waited are cancelled, those of the new one are planned, and the change is kept."""
    phone = village.phone()
    phone.joins(days_ago=40)
    texted = village.rows("SELECT task FROM reminder WHERE state = 'texted'")

    correct(village, village.today - timedelta(days=200))
    village.work_through()

    revisions = {row["revision"] for row in village.rows("SELECT revision FROM reminder WHERE state = 'due'")}
    assert texted
    assert revisions <= {1}
    assert [] == village.rows("SELECT 1 FROM reminder WHERE revision = 0 AND state = 'due'")
    change = village.row("SELECT who, before, after FROM plot_change")
    assert "officer:1" == change["who"]
    assert "2026-05-09" in str(change["after"])
    assert "Picking" in phone.says("jobs 9") or "Pick, weigh" in phone.says("jobs")


def test_a_correction_taken_back_loses_nothing(village: Village) -> None:
    """There and back again on one day: the jobs of the first date are all there, and none is texted twice."""
    phone = village.phone()
    phone.joins(days_ago=200)
    first = village.today - timedelta(days=200)
    said = len(phone.texts)

    correct(village, first + timedelta(days=30))
    correct(village, first)
    village.work_through()

    assert 2 == village.row("SELECT revision FROM plot")["revision"]
    assert said == len(phone.texts)


def test_a_resting_plot_is_corrected_without_planning(village: Village) -> None:
    """Who has stopped may still have a date put right; nothing is planned before they come back."""
    phone = village.phone()
    phone.joins()
    phone.says("STOP")

    correct(village, village.today - timedelta(days=200))

    assert [] == village.rows("SELECT 1 FROM reminder WHERE state = 'due'")


def test_steady_weights_thin_out_the_prompts(village: Village) -> None:
    """After four weeks with two weights each, one picking day a week is prompted; without weights both are again."""
    phone = village.phone()
    phone.joins(days_ago=200)
    for days in range(27, 0, -3):
        phone.says(f"harvest 4 {village.today - timedelta(days=days):%d/%m}")

    phone.says("harvest 4")
    steady = village.row("SELECT prompt_days, pick_days, picking_text_day FROM plot")
    village.pass_days(16)
    after = village.row("SELECT prompt_days, pick_days FROM plot")

    assert 1 << int(str(steady["picking_text_day"])) == steady["prompt_days"]
    assert after["pick_days"] == after["prompt_days"]
