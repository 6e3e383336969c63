"""What a farmer brings to a collection: entered by a clerk, told to the farmer, corrected and taken back.

Under a spray's hold nothing is accepted, whatever is entered: the fruit may be put down as not accepted only. If the
spray was told by mistake, an officer takes it back on the plot's page first.
"""

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final

from flows.money import MOST_MINOR, worth
from flows.moves.readings import HEAVIEST
from flows.wording import Grams, Name, Phrase, Value
from service.core.collecting import Collection, Delivery, WhyRejected
from service.core.collection_ports import Member
from service.core.currencies import written
from service.core.errors import Refused
from service.core.kinds import KINDS
from service.core.ports import Work
from service.use_cases.audit import note
from service.use_cases.spraying import held_plots
from service.use_cases.spraying_by_officer import Deed
from service.use_cases.texts import new_text
from service.use_cases.tools import Tools

KIND: Final = "delivery"
# So long a list that was kept on paper may be entered later.
ENTERED_WITHIN: Final = timedelta(days=14)
LONGEST_WORDS: Final = 60


@dataclass(frozen=True, kw_only=True, slots=True)
class Brought:
    """What a farmer brought: weights in grams, the price of a kilo as `flows.money` counts it."""

    accepted_g: int
    rejected_g: int
    reason: WhyRejected | None
    words: str
    price: int


def is_held(work: Work, farmer_id: int, day: date) -> bool:
    """Return whether a spray holds fruit of one of a farmer's plots back on a day: a basket names no plot."""
    plots = [plot.id for plot in work.plots.of_farmer(farmer_id) if plot.closed_on is None]
    return bool(held_plots(work, plots, day))


def enter(
    work: Work,
    tools: Tools,
    deed: Deed,
    collection: Collection,
    day: date,
    *,
    farmer_id: int,
    brought: Brought,
) -> None:
    """Keep what a farmer brought on a day, in place of what was entered before, and text it to them.

    Raises:
        Refused: it cannot be, or the fruit is under a spray's hold, or what was entered before is paid.
    """
    _check(collection, day, deed.on, brought)
    held = is_held(work, farmer_id, day)
    if held and brought.accepted_g:
        raise Refused(
            "After a spray this fruit may not be sold yet: put it down as not accepted. If nothing was sprayed, an "
            "officer has to take the spray back first."
        )
    amount = worth(brought.accepted_g, brought.price)
    if amount >= MOST_MINOR:
        raise Refused("That is worth more than one farmer brings: correct the kilos or the price.")
    new = Delivery(
        id=tools.ids.row(),
        collection_id=collection.id,
        farmer_id=farmer_id,
        day=day,
        accepted_g=brought.accepted_g,
        rejected_g=brought.rejected_g,
        reason=brought.reason if brought.rejected_g else None,
        words=brought.words.strip()[:LONGEST_WORDS] if brought.rejected_g else "",
        under_hold=held,
        price=brought.price,
        amount=amount,
        currency=tools.programme.currency.code,
        officer_id=deed.officer.id,
        at=deed.now,
    )
    before = work.deliveries.of(collection.id, day, farmer_id)
    if before is not None:
        if _same(before, new):
            return
        _void(work, deed, before)
    work.deliveries.add(new)
    member = _member(work, deed, collection, farmer_id)
    _tell(work, tools, deed, member, _noted(new), key=f"{KIND}:{new.id}")
    detail = {
        "day": day,
        "accepted_g": new.accepted_g,
        "rejected_g": new.rejected_g,
        "reason": new.reason,
        "price": new.price,
        "instead_of": before.id if before else None,
    }
    note(work, deed.officer, "delivery.entered", f"farmer:{farmer_id}", detail, at=deed.real_now)
    work.commit()


def take_back(work: Work, tools: Tools, deed: Deed, collection: Collection, delivery: Delivery) -> None:
    """Take back what was entered, and tell the farmer; done twice it is done once.

    Raises:
        Refused: it is paid.
    """
    _void(work, deed, delivery)
    phrase = Phrase("delivery_back", {"date": delivery.day})
    member = _member(work, deed, collection, delivery.farmer_id)
    _tell(work, tools, deed, member, phrase, key=f"{KIND}:back:{delivery.id}")
    detail = {"day": delivery.day, "delivery": delivery.id}
    note(work, deed.officer, "delivery.taken_back", f"farmer:{delivery.farmer_id}", detail, at=deed.real_now)
    work.commit()


def _check(collection: Collection, day: date, on: date, brought: Brought) -> None:
    if not collection.is_on(day):
        raise Refused("No fruit is collected on that day: choose a day of this collection.")
    if not on - ENTERED_WITHIN <= day <= on:
        raise Refused(f"Enter what came today or in the last {ENTERED_WITHIN.days} days.")
    if not brought.accepted_g and not brought.rejected_g:
        raise Refused("Write the kilos that came: accepted, not accepted, or both.")
    if max(brought.accepted_g, brought.rejected_g) >= HEAVIEST:
        raise Refused("That is more than a lorry carries: write kilos.")
    if brought.rejected_g and brought.reason is None:
        raise Refused("Choose why fruit was not accepted: the farmer is told.")
    if brought.accepted_g and not brought.price:
        raise Refused("Write the price of a kilo.")


def _void(work: Work, deed: Deed, delivery: Delivery) -> None:
    if not work.deliveries.void(delivery.id, deed.officer.id, deed.now):
        raise Refused("That is paid already: take the payment back first.")


def _same(before: Delivery, new: Delivery) -> bool:
    said = ("accepted_g", "rejected_g", "reason", "words", "price")
    return all(getattr(before, name) == getattr(new, name) for name in said)


def _noted(new: Delivery) -> Phrase:
    values: dict[str, Value] = {
        "date": new.day,
        "kg": Grams(new.accepted_g),
        "money": written(new.amount, new.currency),
    }
    if new.reason is None:
        return Phrase("delivery_noted", {**values, "price": written(new.price, new.currency)})
    why = Phrase(f"rejected.{new.reason}")
    return Phrase("delivery_noted_rejected", {**values, "kg_1": Grams(new.rejected_g), "why": why})


def _tell(work: Work, tools: Tools, deed: Deed, member: Member | None, phrase: Phrase, *, key: str) -> None:
    """Text a farmer what became of their fruit; who gets no texts is told at the scales."""
    if member is None:
        return
    text = new_text(
        tools,
        Phrase(phrase.text_id, {"name": Name(member.name), **phrase.values}),
        language=member.language,
        kind=KIND,
        phone_id=member.phone_id,
        farmer_id=member.farmer_id,
        zone=member.zone,
        day=deed.on,
        idem_key=key,
        not_before=deed.now,
    )
    work.outbox.queue([text], gateway=tools.programme.gateway, kinds=KINDS, at=deed.now)


def _member(work: Work, deed: Deed, collection: Collection, farmer_id: int) -> Member | None:
    members = work.collections.members(collection.group_id, deed.now)
    return next((one for one in members if one.farmer_id == farmer_id), None)
