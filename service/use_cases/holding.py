"""A hold: texts wait in the outbox until a person, or the cause itself, lets them go.

The claim looks at the hold in its own transaction, so not a byte leaves past it. Why texts wait decides which:

* an older database was put back: all wait but emergency answers, until a person has looked at what was found;
* the clock jumped: what we push waits, because its day or hour may be wrong; answers go;
* the disk is nearly full: what we push waits until there is room again, and then goes by itself.
"""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from typing import Final, Protocol

from service.core.errors import Refused
from service.core.kinds import KINDS, Kind
from service.core.ports import SettingRows
from service.core.staff import Officer
from service.use_cases.audit import AuditEnd, note

_SETTING: Final = "hold"


class HoldReason(StrEnum):
    """Why texts wait."""

    RESTORED = "restored"
    CLOCK = "clock"
    DISK = "disk"


@dataclass(frozen=True, kw_only=True, slots=True)
class Hold:
    """Texts wait: why, since when (real time), and what was found, in a sentence for a person."""

    reason: HoldReason
    since: datetime
    detail: str

    def lets(self, kind: Kind) -> bool:
        """Return whether texts of that kind leave all the same: nobody waits for help until a clock is mended."""
        return kind.name == "emergency" or (self.reason is not HoldReason.RESTORED and not kind.pushed)


# A graver reason takes the place of a lesser one, never the other way round.
_GRAVITY: Final[Mapping[HoldReason, int]] = {
    HoldReason.DISK: 0,
    HoldReason.CLOCK: 1,
    HoldReason.RESTORED: 2,
}


class Looking(Protocol):
    """A unit of work in which the hold can be seen."""

    @property
    def staff(self) -> SettingRows:
        """The settings."""
        ...


class Keeping(Looking, Protocol):
    """A unit of work in which it can be changed."""

    @property
    def audit(self) -> AuditEnd:
        """The record of what people did."""
        ...

    def commit(self) -> None:
        """Keep what was done."""
        ...


def the_hold(work: Looking) -> Hold | None:
    """Return the hold there is, None when texts may leave."""
    kept = work.staff.setting(_SETTING)
    if not kept:
        return None
    found = json.loads(kept)
    return Hold(
        reason=HoldReason(found["reason"]),
        since=datetime.fromisoformat(found["since"]),
        detail=found["detail"],
    )


def open_priorities(work: Looking) -> frozenset[int]:
    """Return the priorities of which texts may be claimed now."""
    hold = the_hold(work)
    return frozenset(kind.priority for kind in KINDS.values() if hold is None or hold.lets(kind))


def begin_hold(work: Looking, reason: HoldReason, detail: str, now: datetime) -> bool:
    """Let texts wait; return whether that is new. A hold for as good a reason stays as it is. It does not commit."""
    there = the_hold(work)
    if there is not None and _GRAVITY[there.reason] >= _GRAVITY[reason]:
        return False
    kept = {"reason": reason, "since": now.isoformat(), "detail": detail}
    work.staff.put_setting(_SETTING, json.dumps(kept))
    return True


def end_disk_hold(work: Looking) -> bool:
    """Let texts go again if they waited for room on the disk alone; return whether they did. It does not commit."""
    there = the_hold(work)
    if there is None or there.reason is not HoldReason.DISK:
        return False
    work.staff.put_setting(_SETTING, "")
    return True


def release_hold(work: Keeping, officer: Officer | None, now: datetime) -> Hold:
    """Let texts go because a person has looked; it stands in the record who.

    Args:
        work: a unit of work.
        officer: who; None for a command at the machine itself.
        now: real time.

    Raises:
        Refused: nothing is held.
    """
    there = the_hold(work)
    if there is None:
        raise Refused("Nothing is held: texts may leave.")
    work.staff.put_setting(_SETTING, "")
    note(work, officer, "hold.released", f"hold:{there.reason}", {"since": there.since}, at=now)
    work.commit()
    return there
