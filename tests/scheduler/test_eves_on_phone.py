"""Why nobody was asked about a collection, case by case; phones of two are played in the stories of shared phones."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from scheduler.compose import Reason
from scheduler.eves_on_phone import why_not_asked
from service.agronomy.traits import UNTOLD
from service.core.collecting import Collection
from service.core.model import Reminder, ReminderKey, ReminderState
from service.db.queries.waiting import Lately, Waiting

# A Friday; fruit is collected on Saturdays.
EVENING = date(2026, 11, 27)
COLLECTION = Collection(
    id=1,
    group_id=1,
    group="Riverside",
    district_id=1,
    district="Ketumali",
    zone="Africa/Dar_es_Salaam",
    place="Ketumali store",
    weekdays=frozenset({5}),
    hour=10,
    first_on=EVENING - timedelta(days=20),
    last_on=None,
)
NEEMA = Waiting(
    farmer_id=1,
    name="Neema",
    language="en",
    text_hour=7,
    phone_id=1,
    held_out=False,
    plots={},
    reminders=(),
    lately={},
    told={},
    held={},
    collection=COLLECTION,
)
CALLED_OFF = replace(NEEMA, collection=replace(COLLECTION, changes={EVENING + timedelta(days=1): None}))
ASHA = replace(
    NEEMA,
    farmer_id=2,
    plots={2: None},  # type: ignore[dict-item]  # only the plot's number is looked at
    lately={(2, "picking"): Lately(texted_on=EVENING, answered=False)},
)
DUE = Reminder(
    key=ReminderKey(due_on=EVENING, task="picking", plot_id=1, revision=0),
    ordinal=0,
    state=ReminderState.DUE,
    place=None,
    planted_on=date(2026, 5, 9),
    traits=UNTOLD.bits,
    mulch_kind=None,
    elevation_m=None,
)


@pytest.mark.parametrize(
    ("one", "others", "days_before", "reason"),
    [
        pytest.param(NEEMA, (ASHA,), (0,), Reason.ASKED_NEXT, id="another-was-asked"),
        pytest.param(NEEMA, (), (0,), Reason.PHONE_HAD_ONE, id="another-text-that-day"),
        pytest.param(NEEMA, (), (1, 3, 6), Reason.PHONE_HAD_ALL, id="three-in-seven-days"),
        pytest.param(NEEMA, (), (1, 3, 7), Reason.NOT_ASKED, id="two-in-seven-days"),
        pytest.param(CALLED_OFF, (ASHA,), (0,), Reason.NO_COLLECTION, id="called-off"),
        pytest.param(replace(NEEMA, collection=None), (), (0,), None, id="follows-no-collection"),
    ],
)
def test_why_a_farmer_was_not_asked(
    one: Waiting, others: tuple[Waiting, ...], days_before: tuple[int, ...], reason: Reason | None
) -> None:
    """On the day after, each by what is known of the phone."""
    pushed = [EVENING - timedelta(days=ago) for ago in days_before]

    assert reason == why_not_asked(DUE, one, None, (one, *others), pushed)
