"""A reminder as the farmer reads it."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from flows.catalogue import load_catalogue
from flows.offers import load_offers
from flows.reader import load_packs
from flows.wording import Wording
from service.agronomy.calendar import load_calendar
from service.agronomy.traits import UNTOLD
from service.core.model import Reminder, ReminderKey, ReminderState
from service.ids import CountingIds
from service.use_cases.tools import Programme, Tools
from service.use_cases.wording_jobs import full, label

TODAY = date(2026, 11, 25)


@pytest.fixture(scope="module")
def tools() -> Tools:
    """The words and the calendar; nothing is opened."""
    packs = load_packs()
    return Tools(
        programme=Programme(
            name="Zaruvi Berry Programme",
            region="TZ",
            zone="Africa/Dar_es_Salaam",
            language="en",
            emergency_number=None,
            compost_handfuls=2,
            gateway="simulator",
        ),
        wording=Wording(load_catalogue()),
        packs=packs,
        offers=load_offers(packs),
        calendar=load_calendar(),
        ids=CountingIds(),
    )


def reminder(task: str, *, age: int, mulch: str | None = None) -> Reminder:
    """Return a reminder of today for plants of that age in days."""
    return Reminder(
        key=ReminderKey(due_on=TODAY, task=task, plot_id=1, revision=0),
        ordinal=0,
        state=ReminderState.DUE,
        place=None,
        planted_on=TODAY - timedelta(days=age),
        traits=UNTOLD.bits,
        mulch_kind=mulch,
        elevation_m=1900,
    )


@pytest.mark.parametrize(
    ("job", "expected"),
    [
        pytest.param(reminder("weeds", age=60), ("weeds", "weeds"), id="plain"),
        pytest.param(reminder("mulch", age=60), ("mulch", "mulch"), id="mulch-unknown"),
        pytest.param(reminder("mulch", age=60, mulch="straw"), ("mulch", "mulch"), id="straw"),
        pytest.param(reminder("mulch", age=60, mulch="plastic"), ("mulch", "mulch_plastic"), id="plastic"),
        pytest.param(reminder("mulch", age=60, mulch="none"), ("mulch", "mulch_none"), id="bare-soil"),
        pytest.param(
            reminder("weeds", age=60, mulch="plastic"), ("weeds", "weeds"), id="weeds-beside-plastic"
        ),
        pytest.param(reminder("flowers_off", age=20), ("flowers_off", "flowers_off"), id="flowers-early"),
        pytest.param(
            reminder("flowers_off", age=106), ("flowers_off_last", "flowers_off_last"), id="flowers-last"
        ),
    ],
)
def test_a_job_has_its_words(tools: Tools, job: Reminder, expected: tuple[str, str]) -> None:
    """Bare soil and plastic have a text of their own, and so have the last weeks without flowers."""
    short, whole = label(tools, job, TODAY), full(tools, job, TODAY, "Neema", 4)

    assert tuple(f"task.{name}" for name in expected) == (
        short.text_id.removesuffix(".label"),
        whole.text_id.removesuffix(".text"),
    )


def test_every_task_of_the_calendar_can_be_told(tools: Tools) -> None:
    """The values a text needs are those it is given, for every task in both languages."""
    for task in tools.calendar.tasks:
        job = reminder(task.id, age=max(task.first))
        for language in ("en", "sw"):
            assert tools.wording.write(full(tools, job, TODAY, "Neema", 1), language)
            assert tools.wording.write(label(tools, job, TODAY), language)


def test_the_number_in_the_text_is_the_place_in_the_list(tools: Tools) -> None:
    """DONE is taught with the number that works."""
    phrase = full(tools, replace(reminder("weeds", age=60), place=4), TODAY, "Neema", 4)

    assert tools.wording.write(phrase, "en").endswith("DONE 4.")
