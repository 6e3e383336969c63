"""Which alerts and districts the officer who is signed in has to do with."""

from typing import Final

from flask import abort

from service.core.alerts import Alert
from service.core.staff import Officer
from service.use_cases.alerts import drafting
from service.use_cases.alerts.drafting import OutOfReach
from service.web.house import Work
from service.web.permissions import the_officer

LARGEST_ID: Final = 2**63 - 1


def districts_of(work: Work, officer: Officer) -> dict[int, str]:
    """Return the officer's districts by id."""
    return {one.id: one.name for one in work.people.districts() if officer.covers(one.id)}


def seen(work: Work, alert_id: int) -> Alert:
    """Return an alert of the officer's districts; 404 for all others, whether they are there or not."""
    try:
        return drafting.seen_by(work.alerts.look(alert_id), the_officer())
    except OutOfReach:
        abort(404)
