"""An officer's phone: how their districts stand, whom they add and whom they warn by text.

Nothing here knows more than the pages do: role and districts are looked at by the same use cases.
"""

from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from typing import Any, Final, Protocol
from zoneinfo import ZoneInfo

from flows import effects as fx
from flows.alphabet import clip
from flows.facts import Desk, FarmerState
from flows.inputs import Input
from flows.orders import Counts, Warn
from flows.wording import Name, Phrase, Value, of_district, of_officer
from service.core.alerts import Alert, Audience
from service.core.errors import Refused
from service.core.inviting import NewFarmer
from service.core.kinds import KINDS
from service.core.model import District, Inbound
from service.core.phone import BadNumber, read_number
from service.core.ports import Work
from service.core.rights import Permission
from service.core.staff import Officer
from service.use_cases.alerts import deciding, drafting, previewing
from service.use_cases.alerts.drafting import Order
from service.use_cases.alerts.nightfall import leaves_at, nightfall
from service.use_cases.alerts.writing import URGENT
from service.use_cases.registering import RegisterWork, register
from service.use_cases.texts import new_text
from service.use_cases.tools import Tools

LONGEST_REASON: Final = 200


def desk_of(work: Work, tools: Tools, phone_id: int, said: Input, *, on: date, now: datetime) -> Desk | None:
    """Return the desk of the officer whose phone it is, with what `said` asks of it; None for all other phones.

    The reach of a warning goes through all phones of a district, so it is asked for where it is told only.
    """
    officer = work.desk.officer(phone_id)
    # A clerk weighs: what districts count and warn of is not theirs.
    if officer is None or not officer.may(Permission.SEE):
        return None
    theirs = {one.name: one for one in work.people.districts() if officer.covers(one.id)}
    desk = Desk(
        name=of_officer(officer.name),
        language=officer.language,
        districts=frozenset(theirs),
    )
    if isinstance(said, Warn) and said.district in theirs:
        home = theirs[said.district]
        night = nightfall(said.template, said.on, [home], leaves_at(tools, now, now))
        return replace(desk, phones=_phones(work, tools, home, now), late=night is not None and night.late)
    return _counted(work, desk, officer, on) if isinstance(said, Counts) else desk


def _counted(work: Work, desk: Desk, officer: Officer, on: date) -> Desk:
    return replace(
        desk,
        farmers=work.desk.farmers(officer.districts, FarmerState.ACTIVE),
        asked=work.desk.farmers(officer.districts, FarmerState.PENDING),
        questions=work.desk.questions(officer.districts),
        grams=work.desk.grams(officer.districts, on),
    )


def _phones(work: Work, tools: Tools, district: District, now: datetime) -> int:
    audience = Audience(districts=frozenset({district.id}))
    return drafting.reach_of(work, tools, audience, URGENT, now, now).phones


class ByPhone(Protocol):
    """An officer's text on its way into the database, see `service.use_cases.carrying`."""

    work: RegisterWork
    tools: Tools
    inbound: Inbound
    on: date
    zone: str
    now: datetime


def _invite(carry: ByPhone, effect: fx.Invite) -> None:
    """Add the farmer whom an officer named, and tell the officer what came of it."""
    officer = _officer(carry)
    try:
        new = NewFarmer(
            number=read_number(effect.number, carry.tools.programme.region),
            name=effect.name,
            language=effect.language,
            district_id=_district(carry, effect.district).id,
            plants=effect.plants,
            planted_on=effect.planted.on,
            precision=effect.planted.precision,
        )
        register(
            carry.work,
            carry.tools,
            officer,
            new,
            paper_allowed=False,
            now=carry.now,
            real_now=carry.work.audit.now(),
        )
    except (Refused, BadNumber) as refusal:
        _tell(carry, officer, "officer_refused", words=_reason(refusal))
    else:
        _tell(carry, officer, "officer_invited", name=Name(effect.name))


def _send_alert(carry: ByPhone, effect: fx.SendAlert) -> None:
    """Write and confirm the warning an officer said yes to, and tell them."""
    officer = _officer(carry)
    # A warning is of use until the day it speaks of is over.
    end = datetime.combine(effect.on + timedelta(days=1), time(), ZoneInfo(carry.zone)).astimezone(UTC)
    order = Order(
        idem_key=f"text:{effect.key}",
        audience=Audience(districts=frozenset({_district(carry, effect.district).id})),
        template=effect.template,
        on=effect.on,
        figure=effect.figure,
        words={},
        useless_after=end,
    )
    try:
        made = drafting.draft(carry.work, carry.tools, officer, order, carry.now)
        _as_shown(made, effect)
        reach = previewing.preview(carry.work, carry.tools, made, carry.now).reach
        deciding.confirm(carry.work, carry.tools, officer, made.id, digest=made.digest, now=carry.now)
    except Refused as refusal:
        _tell(carry, officer, "officer_refused", words=_reason(refusal))
    else:
        _tell(carry, officer, "officer_sent", n=reach.phones, district=of_district(effect.district))


def _as_shown(made: Alert, effect: fx.SendAlert) -> None:
    """Make sure that a warning leaves in the text that its officer said yes to.

    Raises:
        Refused: it would not: the night has come too near meanwhile.
    """
    if made.late != effect.late:
        raise Refused("Too little daylight is left for the text you read: order the warning once more.")


def _officer(carry: ByPhone) -> Officer:
    """Return whose phone it is.

    Raises:
        LookupError: nobody's: the conversation does these things for officers only.
    """
    officer = carry.work.desk.officer(carry.inbound.phone_id)
    if officer is None:
        raise LookupError("a phone that is no officer's asked for what only officers may")
    return officer


def _district(carry: ByPhone, name: str) -> District:
    return next(one for one in carry.work.people.districts() if one.name == name)


def _reason(refusal: Exception) -> str:
    return clip(str(refusal), at_most=LONGEST_REASON)


def _tell(carry: ByPhone, officer: Officer, text_id: str, **values: Value) -> None:
    text = new_text(
        carry.tools,
        Phrase(text_id, values),
        language=officer.language,
        kind="reply",
        phone_id=carry.inbound.phone_id,
        farmer_id=None,
        zone=carry.zone,
        day=carry.on,
        idem_key=f"officer:{carry.inbound.id}",
        not_before=carry.now,
        inbound_id=carry.inbound.id,
    )
    carry.work.outbox.queue([text], gateway=carry.tools.programme.gateway, kinds=KINDS, at=carry.now)


BY_PHONE: Final[dict[type[Any], Callable[[Any, Any], None]]] = {
    fx.Invite: _invite,
    fx.SendAlert: _send_alert,
}
