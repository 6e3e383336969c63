"""A calendar that is changed while plots stand in the ground: what was sent is not sent again."""

from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from itertools import pairwise

import pytest

from scheduler.receiver import Receiver
from service.agronomy.calendar import Calendar, load_calendar
from service.agronomy.tasks import Task
from tests.village import Phone, Village

SHIPPED = load_calendar()


def changed(days: Mapping[str, Mapping[str, object] | None]) -> Calendar:
    """Return the shipped calendar with other days for some jobs, and without those of which nothing is said."""
    tasks = tuple(_other(task, days) for task in SHIPPED.tasks if days.get(task.id, {}) is not None)
    return replace(SHIPPED, changes=1, tasks=tasks)


def _other(task: Task, days: Mapping[str, Mapping[str, object] | None]) -> Task:
    return replace(task, **(days.get(task.id) or {}))  # type: ignore[arg-type]


def put_in_force(village: Village, calendar: Calendar) -> None:
    """Go on with another calendar, as after a restart of the service."""
    village.tools = replace(village.tools, calendar=calendar)
    village.receiver = Receiver(village.database, village.tools, village.gateway, village.clock)


def texted(village: Village, task: str) -> list[date]:
    """Return the days on which a job was texted."""
    rows = village.rows(
        "SELECT DISTINCT message_day FROM reminder WHERE task = :task AND message_day IS NOT NULL ORDER BY 1",
        task=task,
    )
    return [date.fromisoformat(str(row["message_day"])) for row in rows]


def ends(village: Village, task: str) -> set[tuple[str, str | None]]:
    """Return how the reminders of a job stand, and why."""
    rows = village.rows("SELECT state, why FROM reminder WHERE task = :task", task=task)
    return {(str(row["state"]), row["why"] and str(row["why"])) for row in rows}  # type: ignore[misc]


def joined(village: Village, days_ago: int) -> Phone:
    """Return the phone of a farmer who planted so long ago."""
    phone = village.phone()
    phone.joins(days_ago=days_ago)
    return phone


@pytest.mark.parametrize("later", [3, 10, 90], ids="{} days later".format)
def test_a_job_that_is_told_once_is_not_told_again_on_its_new_day(village: Village, later: int) -> None:
    """First fruit was told on day 137 or soon after; that its day is moved further on changes nothing for this plot."""
    phone = joined(village, days_ago=135)
    village.pass_days(9)
    before, told = texted(village, "first_fruit"), len(phone.texts)
    put_in_force(village, changed({"first_fruit": {"first": (144 + later,)}}))
    village.pass_days(later + 10)

    assert 1 == len(before)
    assert before == texted(village, "first_fruit")
    assert [] == [words for words in phone.texts[told:] if "irst fruit" in words]
    assert ("dropped", "told before the crop calendar changed") in ends(village, "first_fruit")


def test_who_was_told_to_leave_the_flowers_is_not_told_to_take_them_off(village: Village) -> None:
    """A longer removal begins with the plots for which flowers do not stay yet."""
    joined(village, days_ago=112)
    village.pass_days(14)
    off, stay = texted(village, "flowers_off"), texted(village, "flowers_stay")
    put_in_force(village, changed({"flowers_off": {"last": 174}, "flowers_stay": {"first": (175,)}}))
    village.pass_days(70)

    assert stay
    assert (off, stay) == (texted(village, "flowers_off"), texted(village, "flowers_stay"))
    assert ("dropped", "told already to leave the flowers on") in ends(village, "flowers_off")


def test_a_plot_whose_flowers_do_not_stay_yet_follows_the_new_days(village: Village) -> None:
    """It takes them off for longer, and is told once to leave them."""
    joined(village, days_ago=100)
    village.pass_days(3)
    put_in_force(village, changed({"flowers_off": {"last": 132}, "flowers_stay": {"first": (133,)}}))
    village.pass_days(34)
    planted = village.row("SELECT planted_on FROM plot")["planted_on"]
    first = date.fromisoformat(str(planted))

    assert [133] == [(day - first).days for day in texted(village, "flowers_stay")][:1]
    assert 120 < (texted(village, "flowers_off")[-1] - first).days < 133


def test_jobs_at_a_pace_keep_their_least_gap(village: Village) -> None:
    """Weeds every tenth day instead of every fourteenth: the texts come closer, none within the least gap."""
    joined(village, days_ago=60)
    village.pass_days(10)
    put_in_force(village, changed({"weeds": {"first": (11,), "every": ({"days": 10},)}}))
    village.pass_days(40)
    days = texted(village, "weeds")

    assert len(days) > 4
    assert min((later - earlier).days for earlier, later in pairwise(days)) >= 10


def test_a_job_that_is_left_out_ends_and_can_be_lived_with(village: Village) -> None:
    """What waits for its text is dropped with a reason, what was texted is asked after no more, and the list goes on."""
    phone = joined(village, days_ago=60)
    village.pass_days(8)
    assert texted(village, "weeds")
    with village.database.work() as work:
        plot_id = int(str(village.row("SELECT id FROM plot")["id"]))
        work.planning.insert_for_plot(village.today, plot_id, 0, "weeds", 50)
        work.commit()
    put_in_force(village, changed({"weeds": None}))
    village.pass_days(4)
    answer = phone.says("jobs")

    assert ("dropped", "the crop calendar has this job no more") in ends(village, "weeds")
    assert not {state for state, _ in ends(village, "weeds")} & {"due"}
    assert "Weeds" not in answer
    assert "1 " in answer
