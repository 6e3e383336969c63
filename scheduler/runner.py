"""The worker: one process that plans, merges, sends, receives and answers.

Only one may run on a database. Its lock is let go by the system when the process dies, however it dies.
"""

import signal
import threading
from contextlib import ExitStack
from datetime import timedelta
from types import FrameType
from typing import Final

from scheduler.merge import merge_due
from scheduler.receiver import Receiver
from scheduler.sender import Sender
from scheduler.sweep import plan_due
from scheduler.ticks import Ticks
from service.bootstrap import House
from service.logs import logger
from service.use_cases.sending import settle_doubts

WISH: Final = "clock_wish"
ALIVE: Final = "worker_seen_at"
_HOUR: Final = timedelta(hours=1)
_SHORT: Final = 0.2


class Worker:
    """All that happens by itself."""

    def __init__(self, house: House) -> None:
        """Work for `house`."""
        self._house = house
        self.sender = Sender(
            house.database,
            house.tools,
            house.gateway,
            house.service_clock,
            window=house.settings.sender_window,
            per_second=house.settings.sender_rate,
        )
        self.receiver = Receiver(house.database, house.tools, house.gateway, house.service_clock)
        self._stop = threading.Event()

    def tick(self) -> None:
        """Plan and merge what is due, settle what was in doubt, and show that the worker is alive."""
        house = self._house
        now = house.service_clock.now()
        made = plan_due(house.database, house.calendar, now)
        texts = merge_due(house.database, house.tools, now)
        with house.database.work() as work:
            again = settle_doubts(work, now)
        self._show_alive()
        if made or texts or again:
            logger().info("tick", reminders=made, texts=texts, sent_again=again)

    def _show_alive(self) -> None:
        with self._house.database.work() as work:
            work.staff.put_setting(ALIVE, self._house.real_clock.now().isoformat())
            work.commit()

    def step_clock(self) -> bool:
        """In the demo: move service time one hour towards what was wished for, with all that falls into it.

        Return whether there was anything to do.
        """
        house = self._house
        with house.database.look() as work:
            wish = int(work.staff.setting(WISH) or 0)
        if wish <= 0:
            return False
        house.move_clock(_HOUR)
        self.tick()
        self.sender.drain()
        self.receiver.take_in()
        self.receiver.answer_all()
        with house.database.work() as work:
            left = int(work.staff.setting(WISH) or 0)
            work.staff.put_setting(WISH, str(max(left - 1, 0)))
            work.commit()
        return True

    def run(self) -> None:
        """Work until SIGINT or SIGTERM; what has been claimed is finished first."""
        house = self._house
        with ExitStack() as stack:
            stack.enter_context(house.only_worker())
            doubtful = self.sender.recover()
            logger().info("worker_started", in_doubt=doubtful)
            self._watch_signals()
            threads = [threading.Thread(target=part.run) for part in (self.sender, self.receiver)]
            ticks = Ticks(self.tick)
            self.tick()
            ticks.start()
            for thread in threads:
                thread.start()
            while not self._stop.is_set():
                if not (house.settings.demo and self.step_clock()):
                    self._stop.wait(_SHORT)
            self.sender.stop()
            self.receiver.stop()
            ticks.stop()
            for thread in threads:
                thread.join()
            logger().info("worker_stopped")

    def _watch_signals(self) -> None:
        def ask_to_stop(_number: int, _frame: FrameType | None) -> None:
            self._stop.set()

        for number in (signal.SIGINT, signal.SIGTERM):
            signal.signal(number, ask_to_stop)
