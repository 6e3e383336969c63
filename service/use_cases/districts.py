"""Districts, which farmers name when they join, and the villages and groups in them, which only officers use."""

from collections.abc import Iterable, Sequence
from enum import StrEnum
from typing import Final, Protocol

from service.core.errors import Refused
from service.core.model import District

LONGEST_NAME: Final = 20
LONGEST_PLACE: Final = 40


class DistrictRows(Protocol):
    """What is kept of districts."""

    def add_district(
        self, name: str, zone: str, elevation_m: int | None, latitude: int | None = None
    ) -> None:
        """Add a district unless there is one of that name."""
        ...

    def districts(self) -> tuple[District, ...]:
        """Return all districts in the order they were added."""
        ...


class PlaceRows(Protocol):
    """What is kept of villages and groups."""

    def add_village(self, district_id: int, name: str) -> None:
        """Add a village unless the district has one of that name."""
        ...

    def add_group(self, district_id: int, name: str) -> None:
        """Add a group unless the district has one of that name."""
        ...


class DistrictWork(Protocol):
    """A unit of work, as far as districts need it."""

    @property
    def places(self) -> PlaceRows:
        """The villages and groups."""
        ...

    @property
    def people(self) -> DistrictRows:
        """The rows."""
        ...

    def commit(self) -> None:
        """Keep what was done."""
        ...


def add_district(
    work: DistrictWork, *, name: str, zone: str, elevation_m: int | None, latitude: int | None = None
) -> tuple[District, ...]:
    """Add a district and return all there are; one that is there already is left as it is.

    Args:
        work: a unit of work.
        name: as farmers know it; it stands in texts, so it is short.
        zone: its IANA time zone.
        elevation_m: metres above the sea, None where unknown: first fruit comes later high up.
        latitude: tenths of a degree, south negative, None where unknown: the sun's path decides how much plants drink.

    Raises:
        Refused: the name has no letter, or more than 20.
    """
    plain = " ".join(name.split())
    if not any(char.isalpha() for char in plain) or len(plain) > LONGEST_NAME:
        raise Refused(f"A district's name has 1 to {LONGEST_NAME} letters: it stands in texts to farmers.")
    work.people.add_district(plain, zone, elevation_m, latitude)
    districts = work.people.districts()
    work.commit()
    return districts


class PlaceKind(StrEnum):
    """What lies in a district."""

    VILLAGE = "village"
    GROUP = "group"


def add_place(work: DistrictWork, kind: PlaceKind, *, district: str, name: str) -> District:
    """Add a village or a group and return its district; one that is there already is left as it is.

    Raises:
        Refused: there is no such district, or the name has no letter or more than 40.
    """
    (found,) = find_districts(work.people.districts(), [district])
    plain = " ".join(name.split())
    if not any(char.isalpha() for char in plain) or len(plain) > LONGEST_PLACE:
        raise Refused(f"The name of a {kind} has 1 to {LONGEST_PLACE} letters.")
    add = {PlaceKind.VILLAGE: work.places.add_village, PlaceKind.GROUP: work.places.add_group}[kind]
    add(found.id, plain)
    work.commit()
    return found


def find_districts(known: Sequence[District], names: Iterable[str]) -> tuple[District, ...]:
    """Return the districts of these names, whatever their capitals.

    Raises:
        Refused: one of them is not there; the sentence names those that are.
    """
    by_name = {one.name.casefold(): one for one in known}
    wanted = [" ".join(name.split()) for name in names]
    for name in wanted:
        if name.casefold() not in by_name:
            there = ", ".join(one.name for one in known) or "none yet: trussline district add NAME"
            raise Refused(f"There is no district {name}. There are: {there}.")
    return tuple(by_name[name.casefold()] for name in wanted)
