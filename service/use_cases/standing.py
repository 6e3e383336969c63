"""What a restored backup has forgotten of officers and districts, as far as the database it replaced could be asked."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Final, Protocol

from service.core.errors import Refused
from service.core.model import District
from service.core.rights import Role
from service.core.staff import Officer
from service.use_cases.officers import OfficerWork, disable_officer

UNKNOWN: Final = (
    "The database that was there could not be asked, so officers, roles and districts are as the backup knew them: "
    "whoever was disabled since may be active again. Look at trussline officer list before you start anything."
)
CODES: Final = (
    "Everybody signs in anew. One-time codes no longer work: trussline officer reset NAME gives a new one."
)


@dataclass(frozen=True, kw_only=True, slots=True)
class Rights:
    """What an officer may do.

    Attributes:
        name: the officer's.
        role: theirs.
        districts: by name; None means all.
        disabled: whether they are shut out.
    """

    name: str
    role: Role
    districts: frozenset[str] | None
    disabled: bool

    def __str__(self) -> str:
        """Return it as a person reads it."""
        if self.disabled:
            return "disabled"
        if self.districts is None:
            return f"{self.role} of all districts"
        return f"{self.role} of {', '.join(sorted(self.districts)) or 'no district'}"


@dataclass(frozen=True, kw_only=True, slots=True)
class Standing:
    """Who may do what at one moment, officers by name, and which districts there are."""

    officers: Mapping[str, Rights]
    districts: tuple[str, ...]


class Everybody(Protocol):
    """Officers, also those who are gone."""

    def everybody(self) -> tuple[tuple[Officer, datetime | None], ...]:
        """Return all officers there ever were, each with when they were disabled."""
        ...


class AllDistricts(Protocol):
    """Districts."""

    def districts(self) -> tuple[District, ...]:
        """Return all districts."""
        ...


class StandingWork(Protocol):
    """A unit of work, as far as looking at officers and districts needs it."""

    @property
    def staff(self) -> Everybody:
        """Officers."""
        ...

    @property
    def people(self) -> AllDistricts:
        """Districts."""
        ...


def standing(work: StandingWork) -> Standing:
    """Return who may do what now."""
    names = {one.id: one.name for one in work.people.districts()}
    return Standing(
        officers={
            one.name: Rights(
                name=one.name,
                role=one.role,
                districts=None if one.districts is None else frozenset(names[each] for each in one.districts),
                disabled=disabled_at is not None,
            )
            for one, disabled_at in work.staff.everybody()
        },
        districts=tuple(names.values()),
    )


def shut_out_again(work: OfficerWork, before: Standing, after: Standing, now: datetime) -> tuple[str, ...]:
    """Disable whoever was disabled since the backup, and say so.

    Args:
        work: a unit of work in the database that was put back; it is committed for each.
        before: what held in the database that was replaced.
        after: what the backup says.
        now: real time.
    """
    told = []
    for name, rights in before.officers.items():
        if rights.disabled and name in after.officers and not after.officers[name].disabled:
            try:
                disable_officer(work, name, now=now)
            except Refused as refusal:
                told.append(f"{name} was disabled after the backup and is active again: {refusal}")
            else:
                told.append(f"{name} was disabled after the backup, and is so again.")
    return tuple(told)


def forgotten(before: Standing, after: Standing) -> Iterator[str]:
    """Say what else has to be done again, a sentence for each officer and district."""
    for name in before.districts:
        if name not in after.districts:
            yield f"The district {name} was added after the backup: trussline district add, if it is still wanted."
    for name, rights in before.officers.items():
        known = after.officers.get(name)
        if known is None:
            yield f"{name} was added after the backup ({rights}): trussline officer add, if they still belong here."
        elif known != rights and not rights.disabled:
            command = "reset" if known.disabled else "change"
            yield f"{name} was {rights} and is now {known}, as in the backup: trussline officer {command}."
