"""Minding the clock: whether it has jumped since the last tick, by a clock that nobody can set.

A clock put forward a year would make a year's reminders due at once; put back, it would have texts wait. So each
tick keeps what both clocks said, and the next one, also that of a new process, compares how far each has come.
After a restart of the machine the steady clock has begun anew: then only a step back, or weeks forward, tells.
"""

import json
from datetime import datetime, timedelta
from typing import Final, Protocol

from service.core.ports import SettingRows

MOST: Final = timedelta(minutes=5)
# A machine may be off for a holiday; after longer a person should look before the backlog goes out.
LONGEST_OFF: Final = timedelta(days=31)
_LAST: Final = "last_tick"


class Pulse(Protocol):
    """How long a machine has been up, by a clock that nobody can set; `boot` names one start of one machine."""

    @property
    def boot(self) -> str: ...  # noqa: D102 - see the class
    @property
    def seconds(self) -> float: ...  # noqa: D102 - see the class


def mind_clock(settings: SettingRows, now: datetime, pulse: Pulse) -> str | None:
    """Compare both clocks with the last tick and keep what they say now; return what is wrong, in a sentence.

    Args:
        settings: where the last tick is kept; the caller commits.
        now: what the machine's clock says.
        pulse: what the steady clock says.
    """
    kept = settings.setting(_LAST)
    settings.put_setting(
        _LAST, json.dumps({"at": now.isoformat(), "boot": pulse.boot, "seconds": pulse.seconds})
    )
    if not kept:
        return None
    last = json.loads(kept)
    before = datetime.fromisoformat(last["at"])
    if last["boot"] == pulse.boot:
        jump = now - before - timedelta(seconds=pulse.seconds - last["seconds"])
        if abs(jump) > MOST:
            way = "forward" if jump > timedelta() else "back"
            return f"The clock was put {way} by {_size(jump)} at about {_at(now)}."
    elif now < before - MOST:
        return f"The clock says {_at(now)}, which is before the last time this service ran, {_at(before)}."
    elif now > before + LONGEST_OFF:
        return f"The clock says {_at(now)}, {_size(now - before)} after the last time this service ran."
    return None


def _at(instant: datetime) -> str:
    return f"{instant:%Y-%m-%d %H:%M} UTC"


def _size(jump: timedelta) -> str:
    minutes = round(abs(jump).total_seconds() / 60)
    for unit, size in (("days", 24 * 60), ("hours", 60)):
        if minutes >= 2 * size:
            return f"{minutes // size} {unit}"
    return f"{minutes} minutes"
