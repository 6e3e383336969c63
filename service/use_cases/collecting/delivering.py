"""What a farmer brings to a collection: entered by a clerk, told to the farmer later, corrected and taken back.

Under a spray's hold nothing is accepted, whatever is entered: the fruit may be put down as not accepted only. If the
spray was told by mistake, an officer takes it back on the plot's page first.
"""

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final

from flows.money import MOST_MINOR, worth
from flows.moves.readings import HEAVIEST
from service.core.collecting import Collection, Delivery, WhyRejected
from service.core.errors import Refused
from service.core.ports import Work
from service.use_cases.audit import note
from service.use_cases.collecting.doubting import ask_if_far_off
from service.use_cases.collecting.texting import same, tell
from service.use_cases.spraying import held_plots
from service.use_cases.spraying_by_officer import Deed
from service.use_cases.tools import Tools

# So long a list that was kept on paper may be entered later.
ENTERED_WITHIN: Final = timedelta(days=14)
LONGEST_WORDS: Final = 60
_PAID: Final = "That is paid already: take the payment back first."


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


def keep(
    work: Work,
    tools: Tools,
    deed: Deed,
    collection: Collection,
    day: date,
    *,
    farmer_id: int,
    brought: Brought,
    sure: tuple[int, int] | None = None,
) -> Delivery:
    """Keep what a farmer brought on a day, in place of what was entered before, and text it to them in some minutes.

    `sure` are the grams, accepted and not accepted, that were asked about and are right. It does not commit, and
    nothing is changed where it raises.

    Raises:
        Unsure: the kilos lie far from what was announced or is usual.
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
    if before is not None and same(before, new):
        return before
    if before is not None and before.payment_id is not None:
        raise Refused(_PAID)
    if sure != (new.accepted_g, new.rejected_g):
        ask_if_far_off(work, new)
    if before is not None:
        _void(work, deed, before)
    work.deliveries.add(new)
    tell(work, tools, deed, collection, farmer_id=farmer_id, day=day, stands=new)
    detail = {
        "day": day,
        "accepted_g": new.accepted_g,
        "rejected_g": new.rejected_g,
        "reason": new.reason,
        "price": new.price,
        "instead_of": before.id if before else None,
    }
    note(work, deed.officer, "delivery.entered", f"farmer:{farmer_id}", detail, at=deed.real_now)
    return new


def enter(
    work: Work,
    tools: Tools,
    deed: Deed,
    collection: Collection,
    day: date,
    *,
    farmer_id: int,
    brought: Brought,
    sure: tuple[int, int] | None = None,
) -> None:
    """Keep what a farmer brought as `keep` does, and commit.

    Raises:
        Unsure: the kilos lie far from what was announced or is usual.
        Refused: it cannot be, or the fruit is under a spray's hold, or what was entered before is paid.
    """
    keep(work, tools, deed, collection, day, farmer_id=farmer_id, brought=brought, sure=sure)
    work.commit()


def let_go(work: Work, tools: Tools, deed: Deed, collection: Collection, delivery: Delivery) -> None:
    """Take back what was entered, and tell the farmer where they have heard of it; it does not commit.

    Raises:
        Refused: it is paid; nothing is changed.
    """
    _void(work, deed, delivery)
    tell(work, tools, deed, collection, farmer_id=delivery.farmer_id, day=delivery.day, stands=None)
    detail = {"day": delivery.day, "delivery": delivery.id}
    note(work, deed.officer, "delivery.taken_back", f"farmer:{delivery.farmer_id}", detail, at=deed.real_now)


def take_back(work: Work, tools: Tools, deed: Deed, collection: Collection, delivery: Delivery) -> None:
    """Take back what was entered as `let_go` does, and commit; done twice it is done once.

    Raises:
        Refused: it is paid.
    """
    let_go(work, tools, deed, collection, delivery)
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
        raise Refused(_PAID)
