"""What all pages of collections ask first: which collection, which day, who does it, and what was typed."""

from datetime import date
from decimal import Decimal, InvalidOperation
from typing import Final

from flask import abort

from service.clock import local_day
from service.core.collecting import Collection, WhyRejected
from service.core.errors import Refused
from service.use_cases.spraying_by_officer import Deed
from service.web.farmers.views import LARGEST_ID
from service.web.house import Work, the_house
from service.web.permissions import the_officer

ALL: Final = "/collections"
ONE: Final = f"{ALL}/<int(max={LARGEST_ID}):collection_id>"
DAY: Final = f"{ONE}/<day>"
_LONGEST_NUMBER: Final = 12
# In the words of the page; farmers read theirs in their own language.
REASONS: Final[dict[WhyRejected, str]] = {
    WhyRejected.SPRAY: "after a spray",
    WhyRejected.UNRIPE: "not ripe",
    WhyRejected.OVERRIPE: "too ripe",
    WhyRejected.MOULD: "mould",
    WhyRejected.DAMAGED: "damaged",
    WhyRejected.DIRTY: "not clean",
    WhyRejected.SMALL: "too small",
    WhyRejected.OTHER: "another reason",
}


def the_collection(work: Work, collection_id: int) -> Collection:
    """Return the collection if its group is of one of the officer's districts; else it is not there."""
    found = work.collections.get(collection_id) or abort(404)
    return found if the_officer().covers(found.district_id) else abort(404)


def the_day(typed: str) -> date:
    """Return the day of a path; what is none is not there."""
    try:
        return date.fromisoformat(typed)
    except ValueError:
        abort(404)


def deed_in(zone: str) -> Deed:
    """Return who does it and when, where the group lives."""
    house = the_house()
    now = house.service_clock.now()
    return Deed(officer=the_officer(), on=local_day(now, zone), now=now, real_now=house.real_clock.now())


def grams(typed: str) -> int:
    """Return typed kilos in grams; left empty it is nothing.

    Raises:
        Refused: it is no weight.
    """
    plain = typed.strip().replace(",", ".")[:_LONGEST_NUMBER]
    try:
        kilos = Decimal(plain or "0")
    except InvalidOperation as error:
        raise Refused("Write kilos in figures, like 12.5.") from error
    if not kilos.is_finite() or kilos < 0:
        raise Refused("Write kilos in figures, like 12.5.")
    return int(kilos * 1000)


def typed_day(typed: str, what: str) -> date:
    """Return a day of a form.

    Raises:
        Refused: it is none; `what` says which one is meant.
    """
    try:
        return date.fromisoformat(typed.strip())
    except ValueError as error:
        raise Refused(f"Write {what} as day, month and year.") from error
