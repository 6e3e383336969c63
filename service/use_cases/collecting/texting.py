"""Texting a farmer what became of their fruit: some minutes after it was entered, so that a slip is put right first.

What is corrected or taken back in these minutes is never texted. Afterwards one text corrects the one before it; it
waits as long, so that several corrections are one text too.
"""

from datetime import date, timedelta
from typing import Final

from flows.wording import Grams, Name, Phrase, Value
from service.core.collecting import Collection, Delivery
from service.core.currencies import written
from service.core.kinds import KINDS
from service.core.ports import Work
from service.use_cases.spraying_by_officer import Deed
from service.use_cases.texts import new_text
from service.use_cases.tools import Tools

KIND: Final = "delivery"
_CHANGED: Final = "what was entered was changed"


def same(one: Delivery, other: Delivery) -> bool:
    """Return whether two deliveries say the same."""
    said = ("accepted_g", "rejected_g", "reason", "words", "price")
    return all(getattr(one, name) == getattr(other, name) for name in said)


def tell(
    work: Work,
    tools: Tools,
    deed: Deed,
    collection: Collection,
    *,
    farmer_id: int,
    day: date,
    stands: Delivery | None,
) -> None:
    """Let the farmer be texted what stands now, in place of what has not left; whoever gets no texts is told there."""
    texts = work.delivery_texts
    texts.call_off(collection.id, day, farmer_id, _CHANGED, deed.now)
    heard = texts.heard(collection.id, day, farmer_id)
    last = work.deliveries.get(heard.delivery_id) if heard and heard.delivery_id else None
    if stands is None:
        phrase = Phrase("delivery_back", {"date": day}) if last else None
    elif last and same(last, stands):
        phrase = None
    else:
        phrase = _noted(stands, corrects=heard is not None)
    members = work.collections.members(collection.group_id, deed.now)
    member = next((one for one in members if one.farmer_id == farmer_id), None)
    if member is None or phrase is None:
        return
    text = new_text(
        tools,
        Phrase(phrase.text_id, {"name": Name(member.name), **phrase.values}),
        language=member.language,
        kind=KIND,
        phone_id=member.phone_id,
        farmer_id=farmer_id,
        zone=member.zone,
        day=deed.on,
        idem_key=texts.key(collection.id, day, farmer_id, stands.id if stands else None, tools.ids.row()),
        not_before=deed.now + timedelta(minutes=tools.programme.delivery_wait),
    )
    work.outbox.queue([text], gateway=tools.programme.gateway, kinds=KINDS, at=deed.now)


def _noted(new: Delivery, *, corrects: bool) -> Phrase:
    again = "_again" if corrects else ""
    values: dict[str, Value] = {
        "date": new.day,
        "kg": Grams(new.accepted_g),
        "money": written(new.amount, new.currency),
    }
    if new.reason is None:
        return Phrase(f"delivery_noted{again}", {**values, "price": written(new.price, new.currency)})
    why = Phrase(f"rejected.{new.reason}")
    return Phrase(f"delivery_noted_rejected{again}", {**values, "kg_1": Grams(new.rejected_g), "why": why})
