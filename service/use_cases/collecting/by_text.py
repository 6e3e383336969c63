"""A clerk's text from the scales: kept with the rules of the page, and answered with what was understood.

It is about today's collection of the clerk's districts, and the price is that of the last delivery there: a price of
another kind is entered on the page.
"""

from collections.abc import Callable
from datetime import date, datetime
from typing import Any, Final, Protocol

from flows.alphabet import clip
from flows.facts import Clerk
from flows.inputs import Input
from flows.orders import Basket, TakeBasket
from flows.states import Conversation, State
from flows.wording import Grams, Name, Phrase, Value
from service.core.collecting import Collection, WhyRejected
from service.core.collection_ports import Bringing
from service.core.currencies import written
from service.core.errors import Refused, Unsure
from service.core.kinds import KINDS
from service.core.model import Inbound
from service.core.ports import Work
from service.core.rights import Permission
from service.core.staff import Officer
from service.use_cases.collecting.delivering import Brought, keep, let_go
from service.use_cases.spraying_by_officer import Deed
from service.use_cases.texts import new_text
from service.use_cases.tools import Tools

_LONGEST_REASON: Final = 200


class Carried(Protocol):
    """One text's effects on their way into the database, see `service.use_cases.carrying`."""

    work: Work
    tools: Tools
    inbound: Inbound
    on: date
    zone: str
    now: datetime


def clerk_of(work: Work, phone_id: int, said: Input, talk: Conversation) -> Clerk | None:
    """Return who may note baskets by a phone, where a text is about one; no other text waits for it."""
    if not isinstance(said, Basket) and talk.state is not State.BASKET_SURE:
        return None
    officer = _clerk(work, phone_id)
    return Clerk(language=officer.language) if officer else None


def _clerk(work: Work, phone_id: int) -> Officer | None:
    officer = work.desk.officer(phone_id)
    return officer if officer and officer.may(Permission.COLLECT) else None


def _take(carry: Carried, effect: TakeBasket) -> None:
    officer = _clerk(carry.work, carry.inbound.phone_id)
    if officer is None:
        raise LookupError("a phone that is no clerk's noted a basket")
    deed = Deed(officer=officer, on=carry.on, now=carry.now, real_now=carry.now)
    try:
        collection = _todays(carry, officer)
        one = _at(carry, collection, effect.row)
        words, opens = _kept(carry, deed, collection, one, effect)
    except Refused as refusal:
        reason = clip(str(refusal), at_most=_LONGEST_REASON)
        words, opens = Phrase("officer_refused", {"words": reason}), None
    text = new_text(
        carry.tools,
        words,
        language=officer.language,
        kind="reply",
        phone_id=carry.inbound.phone_id,
        farmer_id=None,
        zone=carry.zone,
        day=carry.on,
        idem_key=f"basket:{carry.inbound.id}",
        not_before=carry.now,
        inbound_id=carry.inbound.id,
        opens=opens,
    )
    carry.work.outbox.queue([text], gateway=carry.tools.programme.gateway, kinds=KINDS, at=carry.now)


def _kept(
    carry: Carried, deed: Deed, collection: Collection, one: Bringing, effect: TakeBasket
) -> tuple[Phrase, dict[str, object] | None]:
    """Keep a basket or take it back; return what is answered, and the question that opens."""
    whose: dict[str, Value] = {"row": effect.row, "name": Name(one.name)}
    if not effect.accepted and not effect.rejected:
        if one.brought is not None:
            let_go(carry.work, carry.tools, deed, collection, one.brought)
        return Phrase("basket_back", {**whose, "date": deed.on}), None
    weights = {"kg": Grams(effect.accepted), "kg_1": Grams(effect.rejected)}
    brought = Brought(
        accepted_g=effect.accepted,
        rejected_g=effect.rejected,
        reason=WhyRejected(effect.reason) if effect.reason else None,
        words="",
        price=carry.work.deliveries.last_price(collection.id) or 0,
    )
    try:
        kept = keep(
            carry.work,
            carry.tools,
            deed,
            collection,
            deed.on,
            farmer_id=one.farmer_id,
            brought=brought,
            sure=(effect.accepted, effect.rejected) if effect.sure else None,
        )
    except Unsure as unsure:
        data = {
            "row": effect.row,
            "accepted": effect.accepted,
            "rejected": effect.rejected,
            "reason": effect.reason,
        }
        asks = Phrase("basket_sure", {**whose, **weights, "kg_old": Grams(unsure.expected_g)})
        return asks, {"state": State.BASKET_SURE, "data": data}
    money = written(kept.amount, kept.currency)
    minutes = carry.tools.programme.delivery_wait
    return Phrase("basket_noted", {**whose, **weights, "money": money, "minutes": minutes}), None


def _todays(carry: Carried, officer: Officer) -> Collection:
    """Return the one collection that the clerk can mean.

    Raises:
        Refused: there is none today, or more than one.
    """
    theirs = carry.work.collections.in_districts(officer.districts)
    here = [one for one in theirs if one.is_on(carry.on)]
    if len(here) == 1:
        return here[0]
    if here:
        raise Refused("More than one of your groups is collected today: note it on the page.")
    raise Refused("No fruit of your groups is collected today.")


def _at(carry: Carried, collection: Collection, row: int) -> Bringing:
    rows = carry.work.collection_lists.bringing(collection, carry.on)
    if not 1 <= row <= len(rows):
        raise Refused(f"The list of today has the numbers 1 to {len(rows)}.")
    return rows[row - 1]


BASKETS: Final[dict[type[Any], Callable[[Any, Any], None]]] = {TakeBasket: _take}
