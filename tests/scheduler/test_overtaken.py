"""Which reminders a changed calendar has overtaken, one by one; whole plots are played in test_changed_calendar."""

from collections.abc import Mapping
from datetime import date

import pytest

from scheduler.compose import Reason
from scheduler.overtaken import why_overtaken
from service.agronomy.traits import UNTOLD
from service.core.model import Reminder, ReminderKey, ReminderState
from service.db.queries.waiting import Waiting
from tests.village import Village

PLANTED = date(2026, 3, 2)


def waiting(told: Mapping[tuple[int, str, int], int]) -> Waiting:
    """Return a farmer of one plot, for which that was told."""
    return Waiting(
        farmer_id=1,
        name="Neema",
        language="en",
        text_hour=7,
        phone_id=1,
        plots={},
        reminders=(),
        lately={},
        told=told,
        held={},
        held_out=False,
    )


def reminder(task: str, ordinal: int = 0) -> Reminder:
    """Return a reminder of the plot."""
    return Reminder(
        key=ReminderKey(due_on=date(2026, 8, 5), task=task, plot_id=1, revision=0),
        ordinal=ordinal,
        state=ReminderState.DUE,
        place=None,
        planted_on=PLANTED,
        traits=UNTOLD.bits,
        mulch_kind=None,
        elevation_m=None,
    )


@pytest.mark.parametrize(
    ("one", "told", "reason"),
    [
        pytest.param(reminder("flowers_off"), {"flowers_stay": 0}, Reason.FLOWERS_STAY, id="flowers-stay"),
        pytest.param(reminder("weeds"), {"flowers_stay": 0}, None, id="another-job-goes-on"),
        pytest.param(reminder("flowers_off"), {}, None, id="flowers-do-not-stay-yet"),
        pytest.param(reminder("first_fruit"), {"first_fruit": 0}, Reason.TOLD_BEFORE, id="told-once"),
        pytest.param(reminder("gaps", 1), {"gaps": 0}, None, id="its-second-time"),
        pytest.param(reminder("weeds", 3), {"weeds": 3}, None, id="a-job-that-comes-back"),
        pytest.param(reminder("hoeing"), {}, Reason.NO_SUCH_JOB, id="a-job-there-is-no-more"),
    ],
)
def test_what_is_not_texted_any_more(
    village: Village, one: Reminder, told: Mapping[str, int], reason: Reason | None
) -> None:
    """Only what was told under this revision of the plot counts, and only for the job it was about."""
    known = {(1, task, 0): ordinal for task, ordinal in told.items()}
    of_another = {(1, task, 1): ordinal for task, ordinal in told.items()}

    assert reason is why_overtaken(village.tools, one, waiting(known))
    assert why_overtaken(village.tools, one, waiting(of_another)) in {None, Reason.NO_SUCH_JOB}
