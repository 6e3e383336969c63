"""Where a time zone's principal place lies: what is taken for a district of which nobody told where it lies.

From the table `zone.tab` of the IANA time zone database, in the public domain, as the package tzdata ships it.
"""

import re
from collections.abc import Iterator
from functools import cache
from importlib.resources import files
from typing import Final

# A country, then the place by ISO 6709, degrees and minutes, seconds where there are some, then the zone's name:
# TZ -0648+03917 Africa/Dar_es_Salaam.
_ROW: Final = re.compile(
    r"^\w\w\t(?P<sign>[+-])(?P<degrees>\d\d)(?P<minutes>\d\d)(?P<seconds>\d\d)?"
    r"(?P<east>[+-])(?P<east_degrees>\d{3})(?P<east_minutes>\d\d)\d*\t(?P<zone>\S+)",
    re.MULTILINE,
)
# Beyond it there are days without sunrise, for which nothing can be reckoned.
_POLAR_CIRCLE: Final = 66.0


def zone_latitude(zone: str) -> float:
    """Return degrees, south negative, nowhere beyond the polar circles; the equator for a zone that is no place."""
    return max(-_POLAR_CIRCLE, min(_latitudes().get(zone, 0.0), _POLAR_CIRCLE))


def zone_longitude(zone: str) -> float | None:
    """Return degrees, west negative; None for a zone that is no place."""
    return _longitudes().get(zone)


@cache
def _longitudes() -> dict[str, float]:
    return {
        row["zone"]: int(row["east"] + "1") * (int(row["east_degrees"]) + int(row["east_minutes"]) / 60)
        for row in _rows()
    }


@cache
def _latitudes() -> dict[str, float]:
    return {row["zone"]: _degrees(row) for row in _rows()}


def _rows() -> Iterator[re.Match[str]]:
    return _ROW.finditer(files("tzdata").joinpath("zoneinfo", "zone.tab").read_text(encoding="utf-8"))


def _degrees(row: re.Match[str]) -> float:
    whole = int(row["degrees"]) + int(row["minutes"]) / 60 + int(row["seconds"] or 0) / 3600
    return -whole if row["sign"] == "-" else whole
