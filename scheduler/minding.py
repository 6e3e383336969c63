"""What the worker minds before and while it works: the send journal, the clock, and room on the disk.

Each of them can bring a hold, see `service.use_cases.holding`.
"""

import threading
from datetime import datetime, timedelta
from typing import Final

from service.bootstrap import House
from service.clock import Pulse
from service.core.errors import Refused
from service.core.journal import JournalError
from service.logs import logger
from service.use_cases.holding import HoldReason, begin_hold, end_disk_hold, the_hold
from service.use_cases.lost_sprays import holds_again
from service.use_cases.minding_clock import MOST, mind_clock
from service.use_cases.reconciling import compare

_NO_ROOM: Final = "The disk is nearly full: make room, then what is pushed goes again by itself."


class Minding:
    """Looks after what could make the service send what it should not."""

    def __init__(self, house: House) -> None:
        """Mind what `house` stands on."""
        self._house = house
        self._lock = threading.Lock()
        self._last: tuple[datetime, Pulse] | None = None

    def start(self) -> None:
        """Look at everything before anything is planned or sent.

        Raises:
            Refused: the database is damaged.
            JournalError: the send journal cannot be read.
        """
        house = self._house
        damage = house.database.damage()
        if damage:
            raise Refused(f"{damage} {house.restore_advice()}")
        house.room.enough()
        with house.database.work() as work:
            now = house.service_clock.now()
            hold_again = holds_again(work, house.tools, now)
            found = compare(work, house.journal, now, house.real_clock.now(), hold_again)
        if found:
            logger().warning("older_database", taken_over=found.taken_over, doubtful=found.doubtful)

    def tick(self) -> bool:
        """Look again; return whether the clock may be planned by."""
        house = self._house
        # First of all: without room nothing below can be written.
        enough = house.room.enough()
        with self._lock:
            wrong = self._mind_clock()
        self._mind_room(enough=enough)
        with house.database.look() as work:
            refusals = work.journal.refusals()
            hold = the_hold(work)
        try:
            house.journal.keep_refusals(refusals)
        except JournalError as error:
            # Nothing is sent without the journal; planning goes on.
            logger().error("journal_not_written", detail=str(error))
        if wrong:
            logger().warning("clock_jumped", detail=wrong)
        return hold is None or hold.reason is not HoldReason.CLOCK

    def glance(self) -> None:
        """Before each claim: see that the clock has not jumped since it was last looked at."""
        if self._house.settings.demo:
            return
        with self._lock:
            if self._last is None or abs(self._jump(*self._last)) > MOST:
                self._mind_clock()

    def _jump(self, before: datetime, pulse: Pulse) -> timedelta:
        steady = timedelta(seconds=self._house.steady_clock.pulse().seconds - pulse.seconds)
        return self._house.real_clock.now() - before - steady

    def _mind_clock(self) -> str | None:
        """Compare both clocks with the last look at them, and hold what is pushed if one of them jumped."""
        house = self._house
        if house.settings.demo:
            # Its service clock is moved on purpose, and only phones that exist here are texted.
            return None
        now, pulse = house.real_clock.now(), house.steady_clock.pulse()
        self._last = now, pulse
        with house.database.work() as work:
            wrong = mind_clock(work.staff, now, pulse)
            if wrong:
                begin_hold(work, HoldReason.CLOCK, wrong, now)
            work.commit()
        return wrong

    def _mind_room(self, *, enough: bool) -> None:
        house = self._house
        with house.database.look() as work:
            hold = the_hold(work)
        held = hold is not None and hold.reason is HoldReason.DISK
        if enough is not held:
            return
        with house.database.work() as work:
            if enough:
                end_disk_hold(work)
            else:
                begin_hold(work, HoldReason.DISK, _NO_ROOM, house.real_clock.now())
            work.commit()
        logger().warning("room_on_disk", enough=enough)
