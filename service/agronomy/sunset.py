"""When the sun sets, to within some minutes: by FAO Irrigation and Drainage Paper 56, Eq. 24, 25 and 31 to 33.

Mountains and the bending of light are left out.
"""

import math
from datetime import UTC, date, datetime, time, timedelta
from typing import Final
from zoneinfo import ZoneInfo

from service.agronomy.zone_latitude import zone_latitude, zone_longitude

_DEGREES_AN_HOUR: Final = 15


def sunset(on: date, zone: str, latitude_deg: float | None = None) -> datetime:
    """Return when the sun sets on a local day; without a latitude, at the principal place of the zone."""
    day = on.timetuple().tm_yday
    latitude = math.radians(zone_latitude(zone) if latitude_deg is None else latitude_deg)
    declination = 0.409 * math.sin(2 * math.pi * day / 365 - 1.39)
    # Beyond the polar circles there are days without a sunset: the nearest there is.
    angle = math.acos(max(-1.0, min(-math.tan(latitude) * math.tan(declination), 1.0)))
    turn = 2 * math.pi * (day - 81) / 364
    season = 0.1645 * math.sin(2 * turn) - 0.1255 * math.cos(turn) - 0.025 * math.sin(turn)
    hours = 12 - _hours_ahead(on, zone) - season + 12 / math.pi * angle
    return datetime.combine(on, time(), UTC) + timedelta(minutes=round(60 * hours))


def _hours_ahead(on: date, zone: str) -> float:
    """Return by how many hours the sun is ahead of Greenwich; for a zone that is no place its clock tells."""
    longitude = zone_longitude(zone)
    if longitude is not None:
        return longitude / _DEGREES_AN_HOUR
    ahead = datetime.combine(on, time(12), ZoneInfo(zone)).utcoffset() or timedelta()
    return ahead / timedelta(hours=1)
