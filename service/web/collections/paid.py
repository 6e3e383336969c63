"""The paid list: what farmers brought in some days, what was paid of it, and all that is owed, whatever its day."""

import csv
import io
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from hashlib import sha256
from typing import Any, Final

from flask import Blueprint, Response, abort, make_response, redirect, render_template, request, url_for
from werkzeug.datastructures import MultiDict
from werkzeug.wrappers import Response as AnyResponse

from service.clock import local_day
from service.core import currencies
from service.core.collecting import Collection
from service.core.errors import Refused
from service.core.rights import Permission
from service.db.queries.collection_lists import Owed
from service.use_cases.collecting.paying import pay, take_payment_back
from service.web.collections.asked import ALL, deed_in
from service.web.farmers.views import LARGEST_ID
from service.web.house import Work, the_house
from service.web.permissions import needs, the_officer
from service.web.report.sheet import safe

pages = Blueprint("paid", __name__)

_LIST: Final = f"{ALL}/paid"
_USUAL: Final = timedelta(days=13)
# What a form says of its line, and where it stands in the line.
_LINE: Final = {"farmer": "farmer_id", "of": "collection_id", "currency": "currency"}
_CHANGED: Final = "What is owed has changed since you opened this list: look at it again. Nothing was marked."
_HEADINGS: Final = (
    "farmer",
    "group",
    "kg accepted",
    "kg not accepted",
    "lowest price",
    "highest price",
    "currency",
    "worth",
    "paid",
    "owed",
)


@dataclass(frozen=True, kw_only=True, slots=True)
class _Asked:
    """The days and collections that are looked at; `chosen` is one of the officer's, None for all of them."""

    first: date
    last: date
    chosen: int | None
    collections: tuple[Collection, ...]
    within: tuple[Collection, ...]

    @property
    def query(self) -> dict[str, Any]:
        """The same as the values of an address."""
        days = {"first": self.first.isoformat(), "last": self.last.isoformat()}
        return days if self.chosen is None else {**days, "collection": str(self.chosen)}


@pages.get(_LIST)
@needs(Permission.PAY)
def show() -> Response:
    """Show what is owed and what is paid."""
    return _page("", 200)


@pages.get(f"{_LIST}.csv")
@needs(Permission.PAY)
def download() -> AnyResponse:
    """Return the list as a file for a spreadsheet (RFC 4180)."""
    with the_house().database.look() as work:
        asked = _asked(work, request.args)
        owed = work.collection_lists.owed(asked.within, asked.first, asked.last)
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(_HEADINGS)
    for one in owed:
        writer.writerow([safe(cell) for cell in _cells(one)])
    answer = make_response(out.getvalue())
    answer.headers["Content-Type"] = "text/csv; charset=utf-8; header=present"
    name = f"paid-{asked.first.isoformat()}-{asked.last.isoformat()}.csv"
    answer.headers["Content-Disposition"] = f'attachment; filename="{name}"'
    return answer


@pages.post(_LIST)
@needs(Permission.PAY)
def mark() -> AnyResponse:
    """Mark one line of the list as paid, or all of them: what was shown, and nothing that came since."""
    try:
        with the_house().database.work() as work:
            asked = _asked(work, request.form)
            _pay_what_was_shown(work, asked)
    except Refused as refusal:
        return _page(str(refusal), 400)
    return redirect(url_for("paid.show", **asked.query), code=303)


@pages.post(f"{_LIST}/<int(max={LARGEST_ID}):payment_id>/back")
@needs(Permission.PAY)
def back(payment_id: int) -> AnyResponse:
    """Take a payment back: what it was for is owed again."""
    house = the_house()
    with house.database.work() as work:
        asked = _asked(work, request.form)
        payment = work.deliveries.payment(payment_id)
        mine = work.collection_lists.payments(asked.collections, date.min, date.max)
        if payment is not None:
            if not any(one.id == payment_id for one in mine):
                abort(404)
            take_payment_back(work, deed_in(house.settings.zone), payment)
    return redirect(url_for("paid.show", **asked.query), code=303)


def _pay_what_was_shown(work: Work, asked: _Asked) -> None:
    """Mark the lines that the form names; done twice it is done once.

    Raises:
        Refused: they do not stand any more as they were shown.
    """
    house = the_house()
    lines = _open(work.collection_lists.owed(asked.within, asked.first, asked.last), request.form)
    if not lines:
        return
    if _seen(lines) != request.form.get("seen"):
        raise Refused(_CHANGED)
    chosen = {(one.farmer_id, one.collection_id, one.currency) for one in lines}
    unpaid = work.collection_lists.unpaid(asked.within, None)
    due = [one for one in unpaid if (one.farmer_id, one.collection_id, one.currency) in chosen]
    pay(work, house.tools, deed_in(house.settings.zone), due)


def _asked(work: Work, given: MultiDict[str, str]) -> _Asked:
    house = the_house()
    today = local_day(house.service_clock.now(), house.settings.zone)
    last = _day(given.get("last", ""), today)
    first = _day(given.get("first", ""), last - _USUAL)
    collections = work.collections.in_districts(the_officer().districts)
    chosen = given.get("collection", type=int)
    within = tuple(one for one in collections if chosen in {None, one.id})
    if chosen is not None and not within:
        abort(404)
    return _Asked(
        first=min(first, last), last=max(first, last), chosen=chosen, collections=collections, within=within
    )


def _day(typed: str, otherwise: date) -> date:
    try:
        return date.fromisoformat(typed.strip())
    except ValueError:
        return otherwise


def _cells(one: Owed) -> tuple[str, ...]:
    amounts = (currencies.plain(amount, one.currency) for amount in (one.amount, one.paid, one.open))
    return (
        one.name,
        one.group,
        f"{one.accepted_g / 1000:.3f}",
        f"{one.rejected_g / 1000:.3f}",
        currencies.plain(one.lowest, one.currency),
        currencies.plain(one.highest, one.currency),
        one.currency,
        *amounts,
    )


def _page(note: str, status: int) -> Response:
    given = request.form if request.method == "POST" else request.args
    with the_house().database.look() as work:
        asked = _asked(work, given)
        owed = work.collection_lists.owed(asked.within, asked.first, asked.last)
        payments = work.collection_lists.payments(asked.within, asked.first, asked.last)
    page = render_template(
        "collections/paid.html",
        asked=asked,
        owed=owed,
        payments=payments,
        sums=_sums(owed),
        seen=_seen,
        still=_open(owed),
        written=currencies.written,
        note=note,
    )
    return make_response(page, status)


def _open(owed: tuple[Owed, ...], line: Mapping[str, str] | None = None) -> list[Owed]:
    """Return the lines on which something is owed: all of them, or the one that a form names."""
    asked = {field: line[field] for field in _LINE if line.get(field)} if line else {}
    return [
        one
        for one in owed
        if one.open and all(str(getattr(one, _LINE[field])) == word for field, word in asked.items())
    ]


def _seen(lines: Sequence[Owed]) -> str:
    """Return what a form brings back of the lines it was made for, by which is told whether they still stand so."""
    written = ",".join(f"{one.farmer_id}-{one.collection_id}-{one.currency}-{one.open}" for one in lines)
    return sha256(written.encode()).hexdigest()


def _sums(owed: tuple[Owed, ...]) -> dict[str, tuple[int, int]]:
    """Return by currency what all are worth and what is not paid of it."""
    sums: dict[str, tuple[int, int]] = {}
    for one in owed:
        worth, still = sums.get(one.currency, (0, 0))
        sums[one.currency] = worth + one.amount, still + one.open
    return sums
