"""Whom officers add, and who of them waits for a yes."""

from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum
from typing import Protocol

from service.core.errors import Refused
from service.core.phone import PhoneNumber


class NumberKnown(Refused):
    """The number speaks for somebody already, and nobody has said that another person uses the phone too.

    Attributes:
        phone_id: the phone with that number.
    """

    def __init__(self, phone_id: int) -> None:
        """Name the phone."""
        super().__init__(
            "That number is known already. If another person uses the same phone, add them on the page "
            "Add a farmer: it shows who has the number."
        )
        self.phone_id = phone_id


class Way(StrEnum):
    """How a farmer agrees to being texted."""

    TEXT = "text"
    PAPER = "paper"


@dataclass(frozen=True, kw_only=True, slots=True)
class NewFarmer:
    """Whom an officer adds. Village and group lie in the district or are None.

    `sharing` says that the officer knows of the others on the phone: this is another person.
    """

    number: PhoneNumber
    name: str
    language: str
    district_id: int
    village_id: int | None = None
    group_id: int | None = None
    plants: int
    planted_on: date
    precision: str = "exact"
    way: Way = Way.TEXT
    sharing: bool = False


@dataclass(frozen=True, kw_only=True, slots=True)
class Registered:
    """Who was added, and how many others use the same phone."""

    farmer_id: int
    sharing: int


@dataclass(frozen=True, kw_only=True, slots=True)
class Invited:
    """A farmer who was invited once and has not answered."""

    farmer_id: int
    phone_id: int
    name: str
    language: str
    zone: str


class InvitingRows(Protocol):
    """What is kept of invitations."""

    def invited_once_before(self, instant: datetime) -> tuple[Invited, ...]:
        """Return who was asked through an officer before then, once, and is still pending."""
        ...

    def lies_in(self, district_id: int, *, village_id: int | None, group_id: int | None) -> bool:
        """Return whether village and group, where given, lie in the district."""
        ...
