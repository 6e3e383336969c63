"""The latitude of a time zone's principal place: what is taken for a district of which nobody told where it lies.

From the table `zone.tab` of the IANA time zone database, in the public domain, as the package tzdata ships it.
"""

import re
from functools import cache
from importlib.resources import files
from typing import Final

# A country, then the place by ISO 6709, degrees and minutes, seconds where there are some, then the zone's name:
# TZ -0648+03917 Africa/Dar_es_Salaam.
_ROW: Final = re.compile(
    r"^\w\w\t(?P<sign>[+-])(?P<degrees>\d\d)(?P<minutes>\d\d)(?P<seconds>\d\d)?[+-]\d+\t(?P<zone>\S+)",
    re.MULTILINE,
)
# Beyond it there are days without sunrise, for which nothing can be reckoned.
_POLAR_CIRCLE: Final = 66.0


def zone_latitude(zone: str) -> float:
    """Return degrees, south negative, nowhere beyond the polar circles; the equator for a zone that is no place."""
    return max(-_POLAR_CIRCLE, min(_latitudes().get(zone, 0.0), _POLAR_CIRCLE))


@cache
def _latitudes() -> dict[str, float]:
    table = files("tzdata").joinpath("zoneinfo", "zone.tab").read_text(encoding="utf-8")
    return {row["zone"]: _degrees(row) for row in _ROW.finditer(table)}


def _degrees(row: re.Match[str]) -> float:
    whole = int(row["degrees"]) + int(row["minutes"]) / 60 + int(row["seconds"] or 0) / 3600
    return -whole if row["sign"] == "-" else whole
