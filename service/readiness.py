"""Gathers what `service.use_cases.readiness` judges: from the settings, the database, the gateway and the machine."""

import subprocess
from datetime import datetime
from typing import Final

from service.bootstrap import House
from service.core.errors import KeyFileError
from service.db.whole import not_durable
from service.keys import open_keys
from service.space import free_bytes
from service.use_cases.holding import the_hold
from service.use_cases.readiness import WORKER_SEEN, Facts
from service.use_cases.recovery_sheet import SHEET_SHOWN_AT
from service.use_cases.restoring import PROVED_AT

_MEGABYTE: Final = 1024 * 1024
_PATIENCE: Final = 5.0


def gather(house: House, *, in_step: bool | None) -> Facts:
    """Gather all there is to know about the programme of `house` now.

    Args:
        house: the service, its database at this version.
        in_step: whether the machine's clock is kept by a time service, see `clock_in_step`.
    """
    settings = house.settings
    with house.database.look() as work:
        seen, proved = work.staff.setting(WORKER_SEEN), work.staff.setting(PROVED_AT)
        sheet = work.staff.setting(SHEET_SHOWN_AT)
        districts = work.people.districts()
        hold = the_hold(work)
    return Facts(
        now=house.real_clock.now(),
        last_tick=_instant(seen),
        in_step=in_step,
        hold=hold,
        emergency_number=settings.emergency_number,
        unread_texts={
            language: len(house.catalogue.needs_review(language)) for language in house.catalogue.languages
        },
        refusals=house.gateway_refusals(),
        gateway=settings.gateway,
        health=house.gateway.health(),
        cap_day=settings.cap_day,
        cap_chosen="cap_day" in settings.model_fields_set,
        hold_days=settings.longest_hold_days,
        hold_chosen="longest_hold_days" in settings.model_fields_set,
        proved_at=_instant(proved),
        free_mb=free_bytes(settings.data_dir) // _MEGABYTE,
        least_free_mb=settings.least_free_mb,
        not_durable=not_durable(house.database.engine),
        damage=house.database.damage(),
        keys_fault=_keys_fault(house),
        sheet_at=_instant(sheet),
        districts=len(districts),
        without_height=tuple(one.name for one in districts if one.elevation_m is None),
        demo=settings.demo,
    )


def _instant(kept: str | None) -> datetime | None:
    return datetime.fromisoformat(kept) if kept else None


def _keys_fault(house: House) -> str | None:
    try:
        open_keys(house.settings.keys)
        house.database.hold_keys()
    except KeyFileError as error:
        return str(error)
    return None


def clock_in_step() -> bool | None:
    """Ask systemd whether a time service keeps the machine's clock; None where it cannot be asked."""
    command = ("timedatectl", "show", "--property=NTPSynchronized", "--value")
    try:
        done = subprocess.run(  # noqa: S603 - systemd's own program, no shell
            command, capture_output=True, text=True, timeout=_PATIENCE, check=False
        )
    except (OSError, subprocess.TimeoutExpired):
        return None
    return {"yes": True, "no": False}.get(done.stdout.strip())
