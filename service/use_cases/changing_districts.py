"""An administrator corrects where a district lies; what its plots took from it follows."""

from dataclasses import replace
from datetime import datetime
from typing import Protocol

from service.core.errors import Refused
from service.core.model import District
from service.use_cases.audit import Noting, note
from service.use_cases.districts import find_districts


class ChangingDistrictRows(Protocol):
    """What is kept of districts and may change."""

    def districts(self) -> tuple[District, ...]:
        """Return all districts in the order they were added."""
        ...

    def has_farmers(self, district_id: int) -> bool:
        """Return whether anybody has joined there."""
        ...

    def change_district(self, before: District, after: District) -> int:
        """Keep where a district lies and return how many plots lie otherwise now."""
        ...


class DistrictWork(Noting, Protocol):
    """A unit of work, as far as changing a district needs it."""

    @property
    def people(self) -> ChangingDistrictRows:
        """The rows."""
        ...

    def commit(self) -> None:
        """Keep what was done."""
        ...


def change_district(
    work: DistrictWork,
    name: str,
    *,
    now: datetime,
    elevation_m: int | None = None,
    latitude: int | None = None,
    zone: str | None = None,
) -> tuple[District, int]:
    """Change where a district lies and keep that; return it, and how many plots lie otherwise now.

    Plots that were taken to lie as high as the district still do: their next texts are reckoned with its new height.
    Plots whose own height somebody has told keep that.

    Args:
        work: a unit of work.
        name: of a district that is there.
        now: the instant, in real time.
        elevation_m: metres above the sea, None to leave it.
        latitude: tenths of a degree, south negative, None to leave it.
        zone: its IANA time zone, None to leave it.

    Raises:
        Refused: there is no such district, nothing is to be changed, or its farmers' texts are planned by its zone.
    """
    (before,) = find_districts(work.people.districts(), [name])
    after = replace(
        before,
        elevation_m=before.elevation_m if elevation_m is None else elevation_m,
        latitude=before.latitude if latitude is None else latitude,
        zone=zone or before.zone,
    )
    if after == before:
        raise Refused(
            f"{before.name} lies so already: say what changes, with --elevation, --latitude or --zone."
        )
    if after.zone != before.zone and work.people.has_farmers(before.id):
        raise Refused(
            f"Farmers of {before.name} are texted by the days of {before.zone}, so its zone stays: "
            "add a district with the other zone, and let farmers join there."
        )
    plots = work.people.change_district(before, after)
    changed = {
        part: [getattr(before, part), getattr(after, part)]
        for part in ("elevation_m", "latitude", "zone")
        if getattr(before, part) != getattr(after, part)
    }
    note(work, None, "district.changed", f"district:{before.id}", changed, at=now)
    work.commit()
    return after, plots
