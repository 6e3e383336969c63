"""A farmer has another number: the new phone is asked first, as everybody is, and until its yes nothing changes.

The yes puts the new phone in place of the old ones. A no, a STOP, word of a wrong number, or two weeks of silence end
the asking, and the farmer stays with the number they had. An officer can take the change back while it waits.
"""

from datetime import datetime
from typing import Final

from flows.facts import FarmerState
from service.core.changing import Standing
from service.core.errors import Refused
from service.core.inviting import Invited, NumberKnown
from service.core.model import PersonOnPhone
from service.core.phone import PhoneNumber
from service.core.ports import Work
from service.core.staff import Officer
from service.use_cases.audit import note
from service.use_cases.changing_farmers import keep_word, the_standing
from service.use_cases.registering import RegisterWork, invite
from service.use_cases.tools import Tools
from service.use_cases.waiting import PENDING_FOR

_OLD_NUMBER: Final = "the farmer has another number"
_NOT_THEIRS: Final = "wrong number"


def ask_number(
    work: RegisterWork,
    tools: Tools,
    officer: Officer,
    farmer_id: int,
    number: PhoneNumber,
    *,
    sharing: bool,
    old_is_gone: bool,
    now: datetime,
    real_now: datetime,
) -> None:
    """Ask a new number whether we may text it for this farmer.

    Args:
        work: a unit of work.
        tools: words, ids.
        officer: who says so; that the farmer is theirs is seen to where the farmer is looked up.
        farmer_id: whose number it is said to be.
        number: the new one.
        sharing: whether the officer knows of others on that phone.
        old_is_gone: whether the old number is somebody else's or lost, so that nothing may go there from now on.
        now: service time.
        real_now: real time, for the record.

    Raises:
        NumberKnown: the number is somebody's, and the officer has not said that it is shared.
        Refused: the farmer has stopped, the number is theirs already, or it has said STOP.
    """
    standing = the_standing(work, farmer_id)
    if standing.state is FarmerState.STOPPED:
        raise Refused("This farmer has ended all texts. From a new phone they come back by texting JOIN.")
    phone_id = work.people.phone_for(number, now)
    if phone_id in (*standing.phones, standing.asked):
        raise Refused("That is their number already, or it has been asked: nothing was changed.")
    others = [one for one in work.people.on_phone(phone_id) if one.id != farmer_id]
    if others and not sharing:
        raise NumberKnown(phone_id)
    if work.people.has_stopped(phone_id):
        raise Refused("This number has said STOP. It comes back only by a text of its own: JOIN.")
    _leave_old(work, tools, officer, standing, gone=old_is_gone, now=now)
    work.changing.ask(farmer_id, phone_id, now)
    whom = Invited(
        farmer_id=farmer_id,
        phone_id=phone_id,
        name=standing.person.name,
        language=standing.person.language,
        zone=standing.zone,
    )
    if standing.state is FarmerState.PENDING:
        # Nobody has said yes for them yet, so the number was a slip: the right one takes its place at once.
        role = "shared" if others else "own"
        work.changing.take(farmer_id, phone_id, role, now)
        work.people.set_farmer(farmer_id, pending_until=now + PENDING_FOR)
    invite(work, tools, whom, officer.id, now, key=f":{phone_id}:{now.isoformat()}")
    detail = {"phone": phone_id, "before": standing.phones, "old_is_gone": old_is_gone}
    note(work, officer, "farmer.number_asked", f"farmer:{farmer_id}", detail, at=real_now)
    work.commit()


def take_number_back(
    work: RegisterWork, officer: Officer, farmer_id: int, *, now: datetime, real_now: datetime
) -> None:
    """Undo a change of number that still waits for its yes; done twice it is done once."""
    standing = the_standing(work, farmer_id)
    if standing.asked is None:
        return
    work.outbox.cancel_pushed(standing.asked, now, farmer_id=farmer_id, why="taken back by an officer")
    work.changing.take_back(farmer_id, standing.asked)
    detail = {"phone": standing.asked}
    note(work, officer, "farmer.number_taken_back", f"farmer:{farmer_id}", detail, at=real_now)
    work.commit()


def number_agreed(work: Work, farmer_id: int, phone_id: int, now: datetime) -> None:
    """Let the phone that said yes take the place of the farmer's others; it does not commit."""
    standing = work.changing.standing(farmer_id)
    if standing is None or standing.asked != phone_id:
        return
    for old in standing.phones:
        work.outbox.cancel_pushed(old, now, farmer_id=farmer_id, why=_OLD_NUMBER)
    shared = any(one.id != farmer_id for one in work.people.on_phone(phone_id))
    work.changing.take(farmer_id, phone_id, "shared" if shared else "own", now)


def not_agreed(
    work: Work, person: PersonOnPhone, phone_id: int, now: datetime, *, but_inbound: int | None
) -> None:
    """Follow a no: who was never texted is erased, who has another number keeps that; it does not commit."""
    if person.asked:
        work.changing.refuse(person.id, phone_id, now)
    else:
        work.people.forget(person.id, but_inbound=but_inbound)


def _leave_old(
    work: RegisterWork, tools: Tools, officer: Officer, standing: Standing, *, gone: bool, now: datetime
) -> None:
    """Drop a number that was asked before, and let the old ones go where the farmer has them no more."""
    if standing.asked is not None:
        work.outbox.cancel_pushed(standing.asked, now, farmer_id=standing.id, why=_OLD_NUMBER)
        work.changing.refuse(standing.id, standing.asked, now)
    if not gone and standing.state is not FarmerState.PENDING:
        return
    for old in standing.phones:
        work.outbox.cancel_pushed(old, now, farmer_id=standing.id, why=_OLD_NUMBER)
        work.changing.leave(standing.id, old, now)
        keep_word(work, tools, officer, standing, _NOT_THEIRS, phone_id=old, now=now)
