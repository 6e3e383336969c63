"""A farmer's texts rest, or end: by a text of their own, or through an officer on the farmer's word.

An officer's stop can be taken back for a day, as long as nothing has come from the farmer about it meanwhile; what was
called off with it is planned anew. After that only a text of the farmer's brings the texts back.
"""

from collections.abc import Iterable
from datetime import UTC, date, datetime, time, timedelta
from typing import Final
from zoneinfo import ZoneInfo

from flows.facts import FarmerState
from flows.moves.wishes import LONGEST_PAUSE
from service.core.changing import BY_OFFICER, Standing
from service.core.errors import Refused
from service.core.model import ReminderState
from service.core.ports import Work
from service.core.staff import Officer
from service.use_cases.audit import note
from service.use_cases.changing_farmers import ChangingWork, keep_word, the_standing
from service.use_cases.planting import longest_useful_of, plan_plot
from service.use_cases.tools import Tools

TAKEN_BACK_WITHIN: Final = timedelta(hours=24)
STOPPED: Final = "stopped"
_STOP_UNDONE: Final = "stop taken back"
_HAS_STOPPED: Final = "the farmer has stopped"
_HAS_PAUSED: Final = "the farmer has paused"


def rest(work: Work, farmer_id: int, phones: Iterable[int], *, until: date, zone: str, now: datetime) -> None:
    """Push nothing until the day begins where the farmer lives, nor what waits to leave; it does not commit."""
    begins = datetime.combine(until, time(), ZoneInfo(zone)).astimezone(UTC)
    work.people.set_farmer(farmer_id, paused_until=begins)
    for phone_id in phones:
        work.outbox.cancel_pushed(phone_id, now, farmer_id=farmer_id, why=_HAS_PAUSED)


def end_texts(work: Work, farmer_id: int, now: datetime) -> None:
    """Let a farmer who has joined be texted no more, on any phone; weights and reports stay; it does not commit.

    A number that was asked whether it is theirs is asked no longer: its yes would bring the texts back.
    """
    standing = work.changing.standing(farmer_id)
    if standing is not None:
        for phone_id in filter(None, (*standing.phones, standing.asked)):
            work.outbox.cancel_pushed(phone_id, now, farmer_id=farmer_id, why=_HAS_STOPPED)
        if standing.asked is not None:
            work.changing.refuse(farmer_id, standing.asked, now)
    work.people.set_state(farmer_id, FarmerState.STOPPED)
    work.plots.set_live(farmer_id, live=False)
    for plot in work.plots.of_farmer(farmer_id):
        work.reminders.end_waiting(plot.id, ReminderState.DROPPED, _HAS_STOPPED)


def pause_farmer(
    work: ChangingWork, officer: Officer, farmer_id: int, until: date, *, now: datetime, real_now: datetime
) -> None:
    """Let a farmer's texts rest until a day, on the farmer's word.

    Raises:
        Refused: the farmer is not texted, or the day is none to rest until.
    """
    standing = the_standing(work, farmer_id)
    on = now.astimezone(ZoneInfo(standing.zone)).date()
    if standing.state is not FarmerState.ACTIVE:
        raise Refused("This farmer is not texted, so there is nothing to pause.")
    if not on < until <= on + LONGEST_PAUSE:
        raise Refused("Choose a day from tomorrow to half a year from now.")
    rest(work, farmer_id, standing.phones, until=until, zone=standing.zone, now=now)
    note(work, officer, "farmer.paused", f"farmer:{farmer_id}", {"until": until}, at=real_now)
    work.commit()


def resume_farmer(
    work: ChangingWork, tools: Tools, officer: Officer, farmer_id: int, *, now: datetime, real_now: datetime
) -> None:
    """End a farmer's pause: today's text is written at the next tick if none has gone; done twice it is done once."""
    standing = the_standing(work, farmer_id)
    if standing.paused_until is None or standing.paused_until <= now:
        return
    work.people.set_farmer(farmer_id, paused_until=None)
    _write_today(work, tools, standing, now)
    note(work, officer, "farmer.resumed", f"farmer:{farmer_id}", {}, at=real_now)
    work.commit()


def stop_farmer(
    work: ChangingWork, tools: Tools, officer: Officer, farmer_id: int, *, now: datetime, real_now: datetime
) -> None:
    """End all texts to a farmer, on the farmer's word; done twice it is done once.

    A phone that speaks for nobody else is put on the stop list; on a shared one the others are texted on. A new number
    that has been asked for them is let go, with the question that waits to leave.

    Raises:
        Refused: the farmer has not said yes yet: their own answer decides.
    """
    standing = the_standing(work, farmer_id)
    if standing.state is FarmerState.STOPPED:
        return
    if standing.state is not FarmerState.ACTIVE:
        raise Refused(
            "This farmer has not said yes yet and gets no texts: if they say nothing, they are erased."
        )
    for phone_id in standing.phones:
        if _alone_on(work, farmer_id, phone_id):
            work.people.stop(phone_id, now)
            work.outbox.cancel_pushed(phone_id, now, why=_HAS_STOPPED)
    for plot in work.plots.of_farmer(farmer_id):
        work.reminders.call_off_unsent(plot.id, _HAS_STOPPED, now)
    end_texts(work, farmer_id, now)
    _keep_word(work, tools, officer, standing, STOPPED, now=now)
    note(work, officer, "farmer.stopped", f"farmer:{farmer_id}", {}, at=real_now)
    work.commit()


def can_take_back(standing: Standing, now: datetime) -> bool:
    """Return whether a stop is an officer's, and fresh enough to have been a slip."""
    word = standing.last_word
    return (
        standing.state is FarmerState.STOPPED
        and word is not None
        and (word.answer, word.way) == (STOPPED, BY_OFFICER)
        and now < word.at + TAKEN_BACK_WITHIN
    )


def take_stop_back(
    work: ChangingWork, tools: Tools, officer: Officer, farmer_id: int, *, now: datetime, real_now: datetime
) -> None:
    """Undo an officer's stop that was a slip; what it called off is planned anew.

    Raises:
        Refused: the stop is the farmer's own, or older than a day.
    """
    standing = the_standing(work, farmer_id)
    if standing.state is FarmerState.ACTIVE:
        return
    if not can_take_back(standing, now):
        raise Refused("This cannot be taken back here. The farmer comes back by a text of their own: JOIN.")
    for phone_id in standing.phones:
        if _alone_on(work, farmer_id, phone_id):
            work.people.unstop(phone_id)
    work.people.set_state(farmer_id, FarmerState.ACTIVE)
    work.plots.set_live(farmer_id, live=True)
    on = now.astimezone(ZoneInfo(standing.zone)).date()
    for plot in work.plots.of_farmer(farmer_id):
        if plot.live:
            # The revision stands in each reminder's key: under a new one those that were dropped come again.
            work.plots.set(plot.id, revision=plot.revision + 1)
            first = on - timedelta(days=longest_useful_of(tools.calendar_of(plot.calendar_id)))
            plan_plot(work, tools, work.plots.the(plot.id), on, first=first)
    _write_today(work, tools, standing, now)
    _keep_word(work, tools, officer, standing, _STOP_UNDONE, now=now)
    note(work, officer, "farmer.stop_undone", f"farmer:{farmer_id}", {}, at=real_now)
    work.commit()


def _alone_on(work: Work, farmer_id: int, phone_id: int) -> bool:
    return all(one.id == farmer_id for one in work.people.on_phone(phone_id))


def _write_today(work: Work, tools: Tools, standing: Standing, now: datetime) -> None:
    on = now.astimezone(ZoneInfo(standing.zone)).date()
    for calendar in tools.calendars:
        work.planning.merge_again(standing.zone, calendar.id, on)


def _keep_word(
    work: Work, tools: Tools, officer: Officer, standing: Standing, answer: str, *, now: datetime
) -> None:
    """Keep the evidence, under the phone that is texted, or the one that was asked where the old one is gone."""
    for phone_id in (*standing.phones, *filter(None, [standing.asked]))[:1]:
        keep_word(work, tools, officer, standing, answer, phone_id=phone_id, now=now)
