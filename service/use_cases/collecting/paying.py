"""What farmers are owed for the fruit they brought: marked as paid, and owed again where that was a slip."""

from collections.abc import Sequence

from service.core.collecting import Delivery, Payment
from service.core.errors import Refused
from service.core.ports import Work
from service.use_cases.audit import note
from service.use_cases.spraying_by_officer import Deed
from service.use_cases.tools import Tools


def pay(work: Work, tools: Tools, deed: Deed, owed: Sequence[Delivery]) -> int:
    """Mark deliveries as paid, one payment a farmer and currency; return how many payments. Done twice it is done once.

    Raises:
        Refused: somebody else has just paid some of them.
    """
    by_farmer: dict[tuple[int, str], list[Delivery]] = {}
    for one in owed:
        by_farmer.setdefault((one.farmer_id, one.currency), []).append(one)
    for (farmer_id, currency), theirs in by_farmer.items():
        payment = Payment(
            id=tools.ids.row(),
            farmer_id=farmer_id,
            amount=sum(one.amount for one in theirs),
            currency=currency,
            paid_on=deed.on,
            officer_id=deed.officer.id,
            at=deed.now,
        )
        if work.deliveries.pay(payment, [one.id for one in theirs]) != len(theirs):
            raise Refused("Somebody has paid some of it a moment ago: open the list again.")
        detail = {
            "payment": payment.id,
            "amount": payment.amount,
            "currency": currency,
            "deliveries": sorted(one.id for one in theirs),
        }
        note(work, deed.officer, "payment.made", f"farmer:{farmer_id}", detail, at=deed.real_now)
    work.commit()
    return len(by_farmer)


def take_payment_back(work: Work, deed: Deed, payment: Payment) -> None:
    """Let what was paid be owed again; done twice it is done once."""
    if not work.deliveries.void_payment(payment.id, deed.officer.id, deed.now):
        return
    detail = {"payment": payment.id, "amount": payment.amount, "currency": payment.currency}
    note(work, deed.officer, "payment.taken_back", f"farmer:{payment.farmer_id}", detail, at=deed.real_now)
    work.commit()
