"""An officer adds a farmer, who says yes before anything else is texted.

By text: the farmer is pending, and one invitation asks whether we may text; it is repeated once after a week, and
another week later what was noted is erased (see `pending`). On paper: only where the programme allows it, the officer
attests that the farmer has signed, and the first text says so and how to end it. Every way leaves a consent row with
the officer who went it.
"""

from datetime import date, datetime, timedelta
from typing import Any, Final, Protocol
from zoneinfo import ZoneInfo

from flows.facts import FarmerState
from flows.moves.joining import LONGEST_NAME, MOST_PLANTS
from flows.quiet_texts import QUIETLY
from flows.states import State
from flows.wording import Name, Phrase
from service.core.errors import Refused
from service.core.inviting import Invited, InvitingRows, NewFarmer, NumberKnown, Registered, Way
from service.core.kinds import KINDS
from service.core.model import District
from service.core.ports import Work
from service.core.staff import Officer
from service.use_cases.audit import note
from service.use_cases.enrolling import begin_texts, enrol
from service.use_cases.hours import next_allowed
from service.use_cases.planting import FURTHEST_AHEAD, OLDEST
from service.use_cases.texts import new_text
from service.use_cases.tools import Tools

__all__ = ["NewFarmer", "NumberKnown", "Registered", "Way"]

REPEAT_AFTER: Final = timedelta(days=7)
_INVITATION: Final = "welcome_consent"
_ON_PAPER: Final = "welcome_paper"
_KIND: Final = "invitation"


class RegisterWork(Work, Protocol):
    """A unit of work, as far as registering needs it."""

    @property
    def inviting(self) -> InvitingRows:
        """Invitations."""
        ...


def register(
    work: RegisterWork,
    tools: Tools,
    officer: Officer,
    new: NewFarmer,
    *,
    paper_allowed: bool,
    now: datetime,
    real_now: datetime,
) -> Registered:
    """Add a farmer and queue the one text that asks them, or with a paper's consent the one that tells them.

    Args:
        work: a unit of work.
        tools: words, calendar, ids.
        officer: who adds them, to one of their own districts.
        new: whom.
        paper_allowed: whether the programme takes an attested paper.
        now: service time, by which the farmer's days are counted.
        real_now: real time, for the record.

    Raises:
        NumberKnown: the number is somebody's, and the officer has not said that another person uses the phone.
        Refused: something does not fit; the sentence is for the officer.
    """
    district = _check(work, tools, officer, new, now, paper_allowed=paper_allowed)
    name = " ".join(new.name.split())
    phone_id = work.people.phone_for(new.number, now)
    others = [one for one in work.people.on_phone(phone_id) if one.state is not FarmerState.ERASED]
    if others and not new.sharing:
        raise NumberKnown(phone_id)
    if any(one.name.casefold() == name.casefold() for one in others):
        raise Refused(f"{name} is registered with this number already.")
    if work.people.has_stopped(phone_id):
        raise Refused("This number has said STOP. It comes back only by a text of its own: JOIN.")
    farmer_id, on = tools.ids.row(), _local(now, district.zone)
    enrol(
        work,
        tools,
        farmer_id=farmer_id,
        name=name,
        language=new.language,
        district=district,
        phone_id=phone_id,
        planted_on=new.planted_on,
        precision=new.precision,
        plants=new.plants,
        now=now,
        on=on,
    )
    work.people.set_farmer(farmer_id, village_id=new.village_id, group_id=new.group_id, added_by=officer.id)
    whom = Invited(
        farmer_id=farmer_id, phone_id=phone_id, name=name, language=new.language, zone=district.zone
    )
    _WAYS[new.way](work, tools, whom, officer.id, now)
    detail = {"district": district.id, "way": new.way, "plants": new.plants, "planted_on": new.planted_on}
    note(work, officer, "farmer.added", f"farmer:{farmer_id}", detail, at=real_now)
    work.commit()
    return Registered(farmer_id=farmer_id, sharing=len(others))


def invite_again(work: RegisterWork, tools: Tools, now: datetime) -> int:
    """Ask those once more who were invited a week ago and have not answered; return how many they were."""
    silent = work.inviting.invited_once_before(now - REPEAT_AFTER)
    for whom in silent:
        invite(work, tools, whom, None, now)
    work.commit()
    return len(silent)


def _check(
    work: RegisterWork, tools: Tools, officer: Officer, new: NewFarmer, now: datetime, *, paper_allowed: bool
) -> District:
    """Return the farmer's district if all that was given fits."""
    found = next((one for one in work.people.districts() if one.id == new.district_id), None)
    if found is None or not officer.covers(found.id):
        raise Refused("Choose one of your own districts.")
    name = " ".join(new.name.split())
    on = _local(now, found.zone)
    here = work.inviting.lies_in(found.id, village_id=new.village_id, group_id=new.group_id)
    wrong = (
        (not any(char.isalpha() for char in name), "Write the farmer's name."),
        (len(name) > LONGEST_NAME, f"A name has at most {LONGEST_NAME} letters."),
        (new.language not in tools.packs.languages, "Choose the language the farmer reads."),
        (not 1 <= new.plants <= MOST_PLANTS, f"Plants are counted from 1 to {MOST_PLANTS:,}."),
        (
            not on - OLDEST <= new.planted_on <= on + FURTHEST_AHEAD,
            "A planting date lies within the last three years or the next six months.",
        ),
        (not here, f"Choose a village and a group of {found.name}."),
        (new.way is Way.PAPER and not paper_allowed, "This programme takes no consent on paper."),
    )
    for is_wrong, sentence in wrong:
        if is_wrong:
            raise Refused(sentence)
    return found


def invite(
    work: RegisterWork, tools: Tools, whom: Invited, officer_id: int | None, now: datetime, *, key: str = ""
) -> None:
    """Ask somebody whether we may text them, and keep that we did; `key` tells this asking from another."""
    phrase = Phrase(_INVITATION, _values(tools, whom))
    shown = tools.wording.write(phrase, whom.language)
    _consent(
        work,
        tools,
        whom,
        now,
        answer="asked",
        officer_id=officer_id,
        text_id=phrase.text_id,
        text_shown=shown,
    )
    opens: dict[str, object] = {"state": State.CONSENT, "data": {"language": whom.language}}
    _queue(work, tools, whom, phrase, now, opens=opens, key=key)


def _attest(work: RegisterWork, tools: Tools, whom: Invited, officer_id: int, now: datetime) -> None:
    _consent(work, tools, whom, now, answer="yes", way="paper", officer_id=officer_id)
    begin_texts(work, tools, farmer_id=whom.farmer_id, phone_id=whom.phone_id, on=_local(now, whom.zone))
    _queue(work, tools, whom, _welcome(work, tools, whom), now)


def _welcome(work: RegisterWork, tools: Tools, whom: Invited) -> Phrase:
    """Return what is said to somebody who has agreed without a text of their own."""
    here = work.people.on_phone(whom.phone_id)
    held_out = any(person.held_out for person in here if person.id == whom.farmer_id)
    return Phrase(QUIETLY[_ON_PAPER] if held_out else _ON_PAPER, _values(tools, whom))


_WAYS: Final = {Way.TEXT: invite, Way.PAPER: _attest}


def _values(tools: Tools, whom: Invited) -> dict[str, Any]:
    return {"name": Name(whom.name), "svc": tools.programme.name}


def _consent(
    work: RegisterWork,
    tools: Tools,
    whom: Invited,
    now: datetime,
    *,
    answer: str,
    way: str = "sms",
    officer_id: int | None = None,
    text_id: str | None = None,
    text_shown: str | None = None,
) -> None:
    work.people.add_consent(
        id=tools.ids.row(),
        phone_id=whom.phone_id,
        farmer_id=whom.farmer_id,
        answer=answer,
        way=way,
        officer_id=officer_id,
        text_id=text_id,
        text_shown=text_shown,
        inbound_id=None,
        at=now,
        on_day=_local(now, whom.zone),
    )


def _queue(
    work: RegisterWork,
    tools: Tools,
    whom: Invited,
    phrase: Phrase,
    now: datetime,
    *,
    opens: dict[str, object] | None = None,
    key: str = "",
) -> None:
    day = _local(now, whom.zone)
    text = new_text(
        tools,
        phrase,
        language=whom.language,
        kind=_KIND,
        phone_id=whom.phone_id,
        farmer_id=whom.farmer_id,
        zone=whom.zone,
        day=day,
        idem_key=f"{phrase.text_id}:{whom.farmer_id}{key}",
        not_before=next_allowed(now, whom.zone),
        opens=opens,
    )
    work.outbox.queue([text], gateway=tools.programme.gateway, kinds=KINDS, at=now)


def _local(now: datetime, zone: str) -> date:
    return now.astimezone(ZoneInfo(zone)).date()
