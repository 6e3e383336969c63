"""Districts: farmers name one when they join, by its name or by its number in the order they were added."""

from typing import Final, Protocol

from service.core.errors import Refused
from service.core.model import District

LONGEST_NAME: Final = 20


class DistrictRows(Protocol):
    """What is kept of districts."""

    def add_district(self, name: str, zone: str, elevation_m: int | None) -> None:
        """Add a district unless there is one of that name."""
        ...

    def districts(self) -> tuple[District, ...]:
        """Return all districts in the order they were added."""
        ...


class DistrictWork(Protocol):
    """A unit of work, as far as districts need it."""

    @property
    def people(self) -> DistrictRows:
        """The rows."""
        ...

    def commit(self) -> None:
        """Keep what was done."""
        ...


def add_district(
    work: DistrictWork, *, name: str, zone: str, elevation_m: int | None
) -> tuple[District, ...]:
    """Add a district and return all there are; one that is there already is left as it is.

    Args:
        work: a unit of work.
        name: as farmers know it; it stands in texts, so it is short.
        zone: its IANA time zone.
        elevation_m: metres above the sea, None where unknown: first fruit comes later high up.

    Raises:
        Refused: the name has no letter, or more than 20.
    """
    plain = " ".join(name.split())
    if not any(char.isalpha() for char in plain) or len(plain) > LONGEST_NAME:
        raise Refused(f"A district's name has 1 to {LONGEST_NAME} letters: it stands in texts to farmers.")
    work.people.add_district(plain, zone, elevation_m)
    districts = work.people.districts()
    work.commit()
    return districts
