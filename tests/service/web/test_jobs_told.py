"""A plot's jobs on the page, past and to come."""

from datetime import date

import pytest

from flows.catalogue import load_catalogue
from service.agronomy.calendar import load_calendar
from service.agronomy.traits import UNTOLD
from service.db.queries.console_values import PastReminder, PlotFacts
from service.web.farmers.jobs import coming_days, label, past_jobs

TODAY = date(2026, 11, 25)
CATALOGUE = load_catalogue()


def fell_due(task: str, state: str, day: date = TODAY, **more: str) -> PastReminder:
    """Return a reminder that fell due."""
    told = {"why": None, "answer": None, "sent": None, **more}
    return PastReminder(due_on=day, task=task, ordinal=0, state=state, **told)


@pytest.mark.parametrize(
    ("reminder", "outcome"),
    [
        (fell_due("scout", "due"), "waits for its text"),
        (fell_due("scout", "texted"), "texted"),
        (fell_due("scout", "texted", sent="in_doubt"), "texted, sent or not, nobody knows yet"),
        (fell_due("scout", "answered", answer="done", sent="delivered"), "done"),
        (fell_due("picking", "answered", answer="weight"), "a weight came soon after"),
        (fell_due("scout", "answered"), "answered"),
        (fell_due("scout", "dropped", why="the task is over"), "not texted: the task is over"),
        (
            fell_due("scout", "cancelled", why="the planting date was changed"),
            "called off: the planting date was changed",
        ),
    ],
    ids=lambda value: value if isinstance(value, str) else value.state,
)
def test_end_of_a_reminder_in_words(reminder: PastReminder, outcome: str) -> None:
    """Each end of a reminder is told with its reason, and with how far its text came."""
    (told,) = past_jobs([reminder], CATALOGUE)

    assert outcome == told.outcome


def test_jobs_of_one_day_and_end_stand_together() -> None:
    """The latest day comes first; within it jobs of the same end share a line, in the order of the list."""
    before = date(2026, 11, 18)
    told = past_jobs(
        [
            fell_due("picking", "answered", answer="weight"),
            fell_due("scout", "texted"),
            fell_due("weeds", "texted"),
            fell_due("water", "texted", before),
        ],
        CATALOGUE,
    )

    assert [
        (TODAY, ("Pick, weigh",), True),
        (TODAY, ("Check pests", "Weeds"), False),
        (before, ("Water",), False),
    ] == [(one.due_on, one.labels, one.good) for one in told]


def test_every_task_of_the_calendar_has_a_label() -> None:
    """No task of the shipped calendar is named by its id; one of a programme's own is."""
    labels = {task.id: label(task.id, CATALOGUE) for task in load_calendar().tasks}

    assert [] == [task for task, name in labels.items() if "_" in name or not name]
    assert "Pollen count" == label("pollen_count", CATALOGUE)


@pytest.mark.parametrize(("live", "days"), [(True, 4), (False, 0)], ids=["live", "at rest"])
def test_coming_jobs_begin_tomorrow(live: bool, days: int) -> None:  # noqa: FBT001 - a case
    """What falls due today is past or under way; a plot at rest has nothing to come."""
    plot = PlotFacts(
        id=1,
        revision=0,
        planted_on=date(2026, 9, 2),
        precision="exact",
        plants=100,
        mulch_kind=None,
        traits=UNTOLD.bits,
        elevation_m=None,
        zone="Africa/Dar_es_Salaam",
        calendar_id="highland-strawberry",
        text_day=TODAY.weekday(),
        picking_text_day=TODAY.weekday(),
        pick_days=0,
        prompt_days=0,
        picking_early=False,
        live=live,
        closed_on=None,
    )
    coming = coming_days(load_calendar(), plot, TODAY, CATALOGUE)

    assert days == len(coming)
    assert all(day.day > TODAY and day.day.weekday() == plot.text_day for day in coming)
