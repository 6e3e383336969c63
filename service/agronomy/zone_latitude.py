"""The latitude of a time zone's principal place: what is taken for a district of which nobody told where it lies.

From the table `zone.tab` of the IANA time zone database, in the public domain, as the package tzdata ships it.
"""

import re
from functools import cache
from importlib.resources import files
from typing import Final

# ISO 6709, degrees and minutes, seconds where there are some: -0648+03917.
_LATITUDE: Final = re.compile(r"(?P<sign>[+-])(?P<degrees>\d{2})(?P<minutes>\d{2})(?P<seconds>\d{2})?[+-]")
# Beyond it there are days without sunrise, for which nothing can be reckoned.
_POLAR_CIRCLE: Final = 66.0


def zone_latitude(zone: str) -> float:
    """Return degrees, south negative, nowhere beyond the polar circles; the equator for a zone that is no place."""
    return max(-_POLAR_CIRCLE, min(_latitudes().get(zone, 0.0), _POLAR_CIRCLE))


@cache
def _latitudes() -> dict[str, float]:
    table = files("tzdata").joinpath("zoneinfo", "zone.tab").read_text(encoding="utf-8")
    rows = (line.split("\t") for line in table.splitlines() if line and not line.startswith("#"))
    return {row[2]: _degrees(row[1]) for row in rows}


def _degrees(place: str) -> float:
    found = _LATITUDE.match(place)
    if found is None:
        raise ValueError(f"{place} in zone.tab is no place")
    whole = int(found["degrees"]) + int(found["minutes"]) / 60 + int(found["seconds"] or 0) / 3600
    return -whole if found["sign"] == "-" else whole
