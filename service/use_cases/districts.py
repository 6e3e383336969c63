"""Districts, which farmers name when they join, and the villages and groups in them, which only officers use."""

from collections.abc import Iterable, Sequence
from enum import StrEnum
from typing import Final, Protocol

from service.core.errors import Refused
from service.core.folding import folded
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
    """Add a district and return all there are; one that is there as it is wanted is left as it is.

    Args:
        work: a unit of work.
        name: as farmers know it; it stands in texts, so it is short.
        zone: its IANA time zone.
        elevation_m: metres above the sea, None where unknown: first fruit comes later high up.
        latitude: tenths of a degree, south negative, None where unknown: the sun's path decides how much plants drink.

    Raises:
        Refused: the name has no letter, or more than 20; it is there with other values, or written otherwise.
    """
    plain = " ".join(name.split())
    if not any(char.isalpha() for char in plain) or len(plain) > LONGEST_NAME:
        raise Refused(f"A district's name has 1 to {LONGEST_NAME} letters: it stands in texts to farmers.")
    refuse_otherwise(work.people.districts(), name=plain, elevation_m=elevation_m, latitude=latitude)
    work.people.add_district(plain, zone, elevation_m, latitude)
    districts = work.people.districts()
    work.commit()
    return districts


def refuse_otherwise(
    known: Sequence[District],
    *,
    name: str,
    elevation_m: int | None = None,
    latitude: int | None = None,
    zone: str | None = None,
) -> None:
    """Refuse to add what is there with other values, or under a name that differs only in how it is written.

    Args:
        known: all districts.
        name: of the one that is wanted.
        elevation_m: its metres above the sea, None if nobody says.
        latitude: tenths of a degree, None if nobody says.
        zone: its IANA time zone, None if nobody says.

    Raises:
        Refused: with how it is changed.
    """
    plain = " ".join(name.split())
    alike = [one for one in known if compared(one.name) == compared(plain)]
    there = next((one for one in alike if one.name == plain), None)
    if there is None:
        if alike:
            raise Refused(
                f"There is a district {alike[0].name} already, and {plain} differs from it only in how it is written: "
                f"use {alike[0].name}."
            )
        return
    wanted = ((elevation_m, there.elevation_m), (latitude, there.latitude), (zone, there.zone))
    if any(said not in {None, standing} for said, standing in wanted):
        raise Refused(
            f"There is a district {there.name} already ({told_place(there)}), and it was left as it is: "
            "trussline district change --help shows how to change it."
        )


def told_place(district: District) -> str:
    """Say where a district lies, as far as it is known."""
    height = "height unknown" if district.elevation_m is None else f"{district.elevation_m:,} m"
    latitude = "" if district.latitude is None else f", latitude {district.latitude / 10:g}"
    return f"{district.zone}, {height}{latitude}"


def compared(name: str) -> str:
    """Return a district's name as names are compared: without capitals, accents, apostrophes and spaces."""
    return "".join(folded(name).split())


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
    """Return the districts of these names: the one that is written just so, else the only one that is alike.

    Raises:
        Refused: one of them is not there, or may be several; the sentence names those that are.
    """
    return tuple(_the_one(known, " ".join(name.split())) for name in names)


def _the_one(known: Sequence[District], name: str) -> District:
    alike = [one for one in known if compared(one.name) == compared(name)]
    exact = [one for one in alike if one.name == name]
    if not alike:
        there = ", ".join(one.name for one in known) or "none yet: trussline district add NAME"
        raise Refused(f"There is no district {name}. There are: {there}.")
    if len(alike) > 1 and not exact:
        raise Refused(f"{name} may be {' or '.join(one.name for one in alike)}: write it just so.")
    return (exact or alike)[0]
