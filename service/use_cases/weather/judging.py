"""Judging the days ahead: what the weather threatens a district with, found anew whenever weather comes in.

A danger is put before the officers of its district and never sent by itself. There is one a district, hazard and day,
however often its weather comes in. What an officer has settled stays settled until it becomes graver by a level; what
newer weather takes back is lifted, unless farmers have been told.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from typing import Final, Protocol
from zoneinfo import ZoneInfo

from service.agronomy.risk import Conditions, Hazard, Level, Risk
from service.agronomy.risk_figures import RiskFigures
from service.agronomy.risk_frost import altitude_band
from service.agronomy.risk_table import JUDGES
from service.core.danger_ports import Danger, DangerRows, DangerState, FoundDanger
from service.core.model import District
from service.core.ports import SettingRows
from service.core.weather_ports import WeatherDays
from service.use_cases.alerts.ports import DistrictNames
from service.use_cases.tools import Tools
from service.use_cases.weather.conditions import days_ahead
from service.use_cases.weather.reasons import reason_of

# A night farther off is too uncertain to be acted upon; common practice, no source.
_AHEAD: Final = 3
# The first night ahead is the one to come: that into today has gone by, for the most part.
_FIRST_AHEAD: Final[Mapping[str, int]] = {Hazard.FROST: 1}
# The figure of the pre-approved text, by the name it has among a risk's values.
_FIGURE: Final = {Hazard.FROST: "expected_c", Hazard.HEAVY_RAIN: "rain_mm"}
_JUDGED_ON: Final = "weather_judged_on"


class JudgingWork(Protocol):
    """A unit of work, as far as judging needs it."""

    @property
    def weather(self) -> WeatherDays:
        """What is known."""
        ...

    @property
    def dangers(self) -> DangerRows:
        """What threatens."""
        ...


class DailyWork(JudgingWork, Protocol):
    """A unit of work, as far as judging all districts needs it."""

    @property
    def people(self) -> DistrictNames:
        """Districts."""
        ...

    @property
    def staff(self) -> SettingRows:
        """When they were judged last."""
        ...

    def commit(self) -> None:
        """Keep what was done."""
        ...


@dataclass(frozen=True, kw_only=True, slots=True)
class _Found:
    """A danger as it was found now."""

    risk: Risk
    day: date
    metres_from: int | None
    reason: str

    @property
    def key(self) -> tuple[str, date]:
        return self.risk.hazard.value, self.day

    @property
    def values(self) -> FoundDanger:
        """Its columns."""
        name = _FIGURE.get(self.risk.hazard)
        return {
            "level": int(self.risk.level),
            "figure": None if name is None else round(float(str(self.risk.reason.values[name]))),
            "metres_from": self.metres_from,
            "reason": self.reason,
            "state": DangerState.OPEN,
        }


def judge_district(work: JudgingWork, tools: Tools, district: District, now: datetime) -> int:
    """Judge a district's days ahead; return how many dangers came to be open. It does not commit."""
    today = now.astimezone(ZoneInfo(district.zone)).date()
    there = {
        (one.hazard, one.day): one
        for one in work.dangers.from_day([district.id], today)
        if one.village_id is None
    }
    found = {one.key: one for one in _found(work, tools.risk, district, today)}
    opened = 0
    for key, one in found.items():
        opened += _keep(work, tools, district, there.get(key), one, now)
    for key, earlier in there.items():
        if key not in found and earlier.waits and earlier.day >= _first(key[0], today):
            work.dangers.change(earlier.id, state=DangerState.LIFTED)
    return opened


def judge_once_a_day(work: DailyWork, tools: Tools, now: datetime) -> int:
    """Judge all districts when a day of the programme has begun; return how many dangers came to be open.

    Days come nearer also where no weather comes in.
    """
    today = now.astimezone(ZoneInfo(tools.programme.zone)).date().isoformat()
    if work.staff.setting(_JUDGED_ON) == today:
        return 0
    opened = sum(judge_district(work, tools, district, now) for district in work.people.districts())
    work.staff.put_setting(_JUDGED_ON, today)
    work.commit()
    return opened


def _first(hazard: str, today: date) -> date:
    """Return the first day for which a hazard is judged."""
    return today + timedelta(days=_FIRST_AHEAD.get(hazard, 0))


def _keep(  # noqa: PLR0917 - what was there, what was found, and what it is kept with
    work: JudgingWork,
    tools: Tools,
    district: District,
    earlier: Danger | None,
    found: _Found,
    now: datetime,
) -> bool:
    """Keep a danger that was found; return whether it was not open before."""
    if earlier is None:
        hazard, day = found.key
        work.dangers.add(
            id=tools.ids.row(),
            district_id=district.id,
            hazard=hazard,
            day=day,
            **found.values,
            found_at=now,
        )
        return True
    graver = found.risk.level > earlier.level
    if earlier.settled and not graver:
        return False
    values = found.values
    if earlier.state is DangerState.LIFTED and earlier.still_drafted and not graver:
        # It was lifted with a draft of it lying there, which serves again.
        values["state"] = DangerState.WRITTEN
    work.dangers.change(earlier.id, **values)
    return not earlier.waits


def _found(work: JudgingWork, figures: RiskFigures, district: District, today: date) -> Iterator[_Found]:
    heights = work.dangers.heights(district.id)
    last = today + timedelta(days=_AHEAD)
    for ahead in days_ahead(work.weather, figures.wetness, district, today, last):
        for hazard in JUDGES:
            if ahead.day < _first(hazard, today):
                continue
            risk, metres_from = _gravest(figures, hazard, ahead.conditions, heights)
            if risk.level >= Level.WATCH:
                reason = reason_of(
                    risk, ahead.day, issued_at=ahead.issued_at, zone=district.zone, metres_from=metres_from
                )
                yield _Found(risk=risk, day=ahead.day, metres_from=metres_from, reason=reason)


def _gravest(
    figures: RiskFigures, hazard: Hazard, conditions: Conditions, heights: tuple[int, int] | None
) -> tuple[Risk, int | None]:
    """Judge one hazard for the highest plots; return also from which height on there is one, None for all."""
    judge = JUDGES[hazard]
    if hazard is not Hazard.FROST or heights is None or conditions.forecast_elevation_m is None:
        return judge(figures, conditions), None
    lowest, highest = (altitude_band(figures.altitude, height)[0] for height in heights)
    bands = range(lowest, highest + 1, figures.altitude.band_m)
    risks = {band: judge(figures, replace(conditions, elevation_m=band)) for band in bands}
    threatened = min((band for band, risk in risks.items() if risk.level >= Level.WATCH), default=lowest)
    return risks[highest], None if threatened == lowest else threatened
