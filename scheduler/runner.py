"""The worker: one process that plans, merges, sends, receives and answers.

Only one may run on a database. Its lock is let go by the system when the process dies, however it dies.
"""

import signal
import threading
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from datetime import datetime, timedelta
from types import FrameType
from typing import Final

from scheduler.alerting import advance_alerts
from scheduler.merge import merge_due
from scheduler.minding import Minding
from scheduler.receiver import Receiver
from scheduler.sender import Sender
from scheduler.sweep import plan_due
from scheduler.ticks import Ticks
from service.bootstrap import House
from service.logs import logger
from service.use_cases.demo_clock import WISH, hours_left
from service.use_cases.kept_forms import forget_forms
from service.use_cases.pending import forget_silent
from service.use_cases.readiness import WORKER_SEEN
from service.use_cases.registering import invite_again
from service.use_cases.resending import settle_doubts
from service.use_cases.upkeep import tidy
from service.use_cases.weather.judging import judge_once_a_day

_HOUR: Final = timedelta(hours=1)
_SHORT: Final = 0.2
_SHOW_AGAIN: Final = timedelta(seconds=10)


class Worker:
    """All that happens by itself."""

    def __init__(self, house: House) -> None:
        """Work for `house`."""
        self._house = house
        self._minding = Minding(house)
        self.sender = Sender(
            house.database,
            house.tools,
            house.gateway,
            house.service_clock,
            window=house.settings.sender_window,
            per_second=house.settings.sender_rate,
            journal=house.journal,
            glance=self._minding.glance,
        )
        self.receiver = Receiver(house.database, house.tools, house.gateway, house.service_clock)
        self._parts: Mapping[str, Callable[[datetime], int]] = {
            "reminders": self._plan,
            "texts": self._merge,
            "alerted": self._advance_alerts,
            "sent_again": self._settle_doubts,
            "invited_again": self._invite_again,
            "forgotten": self._forget_silent,
            "tidied": self._tidy,
            "forms_forgotten": self._forget_forms,
            "dangers": self._judge_weather,
        }
        self._shown_at: datetime | None = None
        self._ticking = threading.Lock()
        self._stop = threading.Event()

    def tick(self) -> None:
        """Plan and merge what is due, settle what was in doubt, and show that the worker is alive.

        While the clock is not trusted nothing is planned: what a wrong day brings could not be taken back.
        """
        house = self._house
        # The demo's clock ticks between hours while the half minutes go on beside it.
        with self._ticking:
            self._show_alive()
            if self._minding.tick():
                self._work_off(house.service_clock.now())

    def _work_off(self, now: datetime) -> None:
        """Do what falls to a tick, each part whatever became of those before it."""
        done = {}
        for name, part in self._parts.items():
            try:
                done[name] = part(now)
            except Exception:  # noqa: BLE001 - what cannot be planned must not keep a warning from farmers
                logger().exception("tick_stumbled", part=name)
            # A day of many farmers takes longer than a tick: whoever watches sees that it goes on.
            self._show_alive()
        if any(done.values()):
            logger().info("tick", **done)

    def _plan(self, now: datetime) -> int:
        calendars = (self._house.calendar, *self._house.tools.in_places.values())
        return sum(plan_due(self._house.database, calendar, now) for calendar in calendars)

    def _merge(self, now: datetime) -> int:
        return merge_due(self._house.database, self._house.tools, now)

    def _advance_alerts(self, now: datetime) -> int:
        return advance_alerts(self._house.database, self._house.tools, now)

    def _tidy(self, now: datetime) -> int:
        with self._house.database.work() as work:
            return sum(tidy(work, self._house.tools, now).values())

    def _forget_forms(self, _: datetime) -> int:
        # What was typed is kept by real time, as sessions are.
        with self._house.database.work() as work:
            return forget_forms(work, self._house.real_clock.now())

    def _invite_again(self, now: datetime) -> int:
        with self._house.database.work() as work:
            return invite_again(work, self._house.tools, now)

    def _forget_silent(self, now: datetime) -> int:
        with self._house.database.work() as work:
            return forget_silent(work, self._house.tools, now)

    def _judge_weather(self, now: datetime) -> int:
        with self._house.database.work() as work:
            return judge_once_a_day(work, self._house.tools, now)

    def _settle_doubts(self, now: datetime) -> int:
        if not self.receiver.caught_up:
            # The receipt that would settle a doubt may still wait at the gateway.
            return 0
        with self._house.database.work() as work:
            return settle_doubts(work, now)

    def _show_alive(self) -> None:
        now = self._house.real_clock.now()
        if self._shown_at and now - self._shown_at < _SHOW_AGAIN:
            return
        with self._house.database.work() as work:
            work.staff.put_setting(WORKER_SEEN, now.isoformat())
            work.commit()
        self._shown_at = now

    def step_clock(self) -> bool:
        """In the demo: move service time one hour towards what was wished for, with all that falls into it.

        Return whether there was anything to do.
        """
        house = self._house
        with house.database.look() as work:
            wish = hours_left(work.staff)
        if wish <= 0:
            return False
        # What was said in this hour is answered in it: an hour later its answer is of no use.
        self._answer_and_send()
        house.move_clock(_HOUR)
        self.tick()
        self._answer_and_send()
        with house.database.work() as work:
            left = hours_left(work.staff)
            work.staff.put_setting(WISH, str(max(left - 1, 0)))
            work.commit()
        return True

    def _answer_and_send(self) -> None:
        self.receiver.take_in()
        self.receiver.answer_all()
        self.sender.drain()

    def run(self) -> None:
        """Work until SIGINT, SIGTERM or `stop`.

        A text on the wire is finished first; what has been claimed besides goes back into the outbox.

        Raises:
            Refused: another worker runs on this database, it is damaged, or the gateway may not be used yet.
            JournalError: the send journal cannot be read.
        """
        self._house.check_gateway()
        with self._house.only_worker(), self._heeding_signals():
            self._minding.start()
            doubtful = self.sender.recover()
            logger().info("worker_started", in_doubt=doubtful)
            with self._parts_running():
                while not self._stop.is_set():
                    if not self._step_clock_if_demo():
                        self._stop.wait(_SHORT)
            logger().info("worker_stopped")

    def stop(self) -> None:
        """Have `run` end."""
        self._stop.set()

    def _step_clock_if_demo(self) -> bool:
        try:
            return self._house.settings.demo and self.step_clock()
        except Exception:  # noqa: BLE001 - one bad moment of the database must not end the worker
            logger().exception("clock_stumbled")
            return False

    def _tick_on(self) -> None:
        try:
            self.tick()
        except Exception:  # noqa: BLE001 - the next tick finds what this one left
            logger().exception("tick_stumbled")

    @contextmanager
    def _parts_running(self) -> Iterator[None]:
        """Run the sender, the receiver and the ticks, and see all of them end."""
        parts = (self.sender, self.receiver)
        threads = [threading.Thread(target=part.run, name=type(part).__name__) for part in parts]
        ticks = Ticks(self._tick_on)
        self.receiver.catch_up()
        self._tick_on()
        ticks.start()
        for thread in threads:
            thread.start()
        try:
            yield
        finally:
            for part in parts:
                part.stop()
            ticks.stop()
            for thread in threads:
                thread.join()

    @contextmanager
    def _heeding_signals(self) -> Iterator[None]:
        def ask_to_stop(_number: int, _frame: FrameType | None) -> None:
            self._stop.set()

        before = {number: signal.signal(number, ask_to_stop) for number in (signal.SIGINT, signal.SIGTERM)}
        try:
            yield
        finally:
            for number, handler in before.items():
                signal.signal(number, handler)
