"""The sender: takes texts from the outbox, hands them to the gateway and keeps what came of it.

It is the only caller of `Gateway.send`. Texts are claimed in batches of the window, committed as submitting, and
settled one by one, so that a crash leaves at most a window of texts in doubt and each of them known.
"""

import threading
import time
from datetime import timedelta
from typing import Final

from service.clock import Clock
from service.core.gateway import AnswerLost, Gateway, NotSent, OutgoingText
from service.core.model import Claimed
from service.db.work import Database
from service.faults import point
from service.logs import logger
from service.use_cases import sending
from service.use_cases.tools import Tools

IDLE_SECONDS: Final = 0.2
# A text whose use ends this soon is still given to the network with a moment to deliver it.
_LEAST_VALIDITY: Final = timedelta(minutes=1)


class Sender:
    """Sends what is due, at the route's pace."""

    def __init__(
        self, database: Database, tools: Tools, gateway: Gateway, clock: Clock, *, window: int, per_second: float
    ) -> None:
        """Send through `gateway`; `window` texts at most are without an answer when the process dies."""
        self._database = database
        self._tools = tools
        self._gateway = gateway
        self._clock = clock
        self._window = min(window, gateway.limits.window)
        self._pause = 1 / min(per_second, gateway.limits.per_second)
        self._next_at = 0.0
        self._stop = threading.Event()
        self._lock = threading.Lock()

    def recover(self) -> int:
        """Let what was being sent when the last process ended be in doubt; return how many texts those are."""
        with self._database.work() as work:
            return sending.recover(work, self._clock.now())

    def run(self) -> None:
        """Send until told to stop; what is claimed is finished first."""
        while not self._stop.is_set():
            try:
                sent = self.drain()
            except Exception:  # noqa: BLE001 - one bad moment of the database must not end all sending
                logger().exception("sender_stumbled")
                sent = 0
            if not sent:
                self._stop.wait(IDLE_SECONDS)

    def stop(self) -> None:
        """Have `run` end after the texts it has claimed."""
        self._stop.set()

    def drain(self) -> int:
        """Send all that is due now; return how many texts were handed to the gateway."""
        handed = 0
        # One drain at a time: the demo's clock drains between hours while the thread runs beside it.
        with self._lock:
            while not self._stop.is_set():
                with self._database.work() as work:
                    claimed = sending.claim(work, self._tools, self._clock.now(), self._window)
                if not claimed:
                    return handed
                point("claimed")
                for text in claimed:
                    self._send(text)
                handed += len(claimed)
        return handed

    def _send(self, text: Claimed) -> None:
        self._keep_pace()
        now = self._clock.now()
        outgoing = OutgoingText(
            our_ref=text.reference,
            destination=text.destination,
            text=text.text,
            valid_until=max(text.expires_at, now + _LEAST_VALIDITY),
        )
        try:
            answer = self._gateway.send(outgoing)
        except NotSent:
            with self._database.work() as work:
                sending.not_sent(work, text, self._clock.now())
            return
        except AnswerLost:
            with self._database.work() as work:
                sending.answer_lost(work, text, self._clock.now())
            logger().warning("answer_lost", message=text.id, kind=text.kind)
            return
        point("acked")
        with self._database.work() as work:
            sending.settle(work, self._tools, text, answer, self._clock.now())

    def _keep_pace(self) -> None:
        """Wait until the route may carry the next text."""
        wait = self._next_at - time.monotonic()
        if wait > 0:
            self._stop.wait(wait)
        self._next_at = max(self._next_at, time.monotonic()) + self._pause
