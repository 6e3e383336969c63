"""What the use cases ask of the database about people: phones, farmers, consent, and who looks after them."""

from collections.abc import Collection
from datetime import date, datetime
from typing import Protocol, Unpack

from flows.facts import FarmerState
from service.core.columns import FarmerChange
from service.core.model import District, PersonOnPhone
from service.core.phone import PhoneNumber
from service.core.staff import Officer


class People(Protocol):
    """Phones, farmers, districts, consent and the stop list."""

    def phone_for(self, number: PhoneNumber, now: datetime) -> int: ...
    def on_phone(self, phone_id: int) -> tuple[PersonOnPhone, ...]: ...
    def has_stopped(self, phone_id: int) -> bool: ...
    def stop(self, phone_id: int, now: datetime) -> None: ...
    def unstop(self, phone_id: int) -> None: ...
    def districts(self) -> tuple[District, ...]: ...
    def add_farmer(
        self,
        *,
        id: int,  # noqa: A002 - the column's name
        name: str,
        language: str,
        district_id: int,
        state: FarmerState,
        now: datetime,
        pending_until: datetime | None,
    ) -> None: ...
    def link_phone(
        self, farmer_id: int, phone_id: int, *, role: str, preferred: bool, now: datetime
    ) -> None: ...
    def prefer(self, farmer_id: int, phone_id: int) -> None: ...
    def unlink(self, phone_id: int, now: datetime) -> None: ...
    def set_farmer(self, farmer_id: int, **values: Unpack[FarmerChange]) -> None: ...
    def set_state(self, farmer_id: int, state: FarmerState) -> None: ...
    def silent_since(self, now: datetime) -> tuple[tuple[int, int], ...]: ...
    def forget(self, farmer_id: int, *, but_inbound: int | None) -> None: ...
    def add_consent(
        self,
        *,
        id: int,  # noqa: A002 - the column's name
        phone_id: int,
        farmer_id: int,
        answer: str,
        text_id: str | None,
        text_shown: str | None,
        inbound_id: int | None,
        at: datetime,
        on_day: date,
        purpose: str = "texts",
        way: str = "sms",
        officer_id: int | None = None,
    ) -> None: ...


class Erasing(Protocol):
    """Removing all that is kept of a farmer."""

    def erase(self, farmer_id: int, on: date, now: datetime, *, but_inbound: int | None) -> None: ...
    def forget_numbers(self) -> int: ...


class DeskRows(Protocol):
    """An officer's phone, and how their districts stand."""

    def officer(self, phone_id: int) -> Officer | None: ...
    def farmers(self, districts: Collection[int] | None, state: FarmerState) -> int: ...
    def questions(self, districts: Collection[int] | None) -> int: ...
    def grams(self, districts: Collection[int] | None, on: date) -> int: ...


class KnownNames(Protocol):
    """What people and places are called: no product."""

    def known(self, words: Collection[str], districts: Collection[int] | None) -> frozenset[str]: ...
