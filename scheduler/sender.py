"""The sender: takes texts from the outbox, hands them to the gateway and keeps what came of it.

It is the only caller of `Gateway.send`. Texts are claimed in batches of the window, committed as submitting,
and settled one by one, so that a crash leaves at most a window of texts in doubt and each of them known.

Before the first byte of a batch leaves it stands in the send journal too, which knows what was sent when the database
is lost or an older one is put back.

What is claimed and what came of the text last sent are remembered here until the database has them: a database
that stumbles in between delays a text, and neither loses it nor sends it twice.
"""

import threading
import time
from collections import deque
from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Final

from service.clock import Clock
from service.core.gateway import (
    Accepted,
    AnswerLost,
    Gateway,
    NotSent,
    OutgoingText,
    RefusalClass,
    Refused,
)
from service.core.journal import Journal, JournalError, Outcome
from service.core.model import Claimed
from service.db.work import Database, Work
from service.faults import point
from service.journal import MemoryJournal
from service.logs import logger
from service.use_cases import resending, sending
from service.use_cases.tools import Tools

IDLE_SECONDS: Final = 0.2
_LONGEST_REST: Final = max(*resending.PAUSES.values(), resending.LONGEST_PAUSE)

Keep = Callable[[Work, datetime], None]


class Sender:
    """Sends what is due, at the route's pace."""

    def __init__(
        self,
        database: Database,
        tools: Tools,
        gateway: Gateway,
        clock: Clock,
        *,
        window: int,
        per_second: float,
        journal: Journal | None = None,
        glance: Callable[[], None] | None = None,
    ) -> None:
        """Send through `gateway`; `window` texts at most are without an answer when the process dies.

        Args:
            database: holds the outbox.
            tools: the programme and the makers of ids.
            gateway: the way out.
            clock: service time.
            window: texts claimed at once.
            per_second: texts a second at most.
            journal: keeps what leaves outside the database; without one it is kept as long as this process lives.
            glance: looks before each claim whether the clock can be trusted, and holds what is pushed if not.
        """
        self._database = database
        self._tools = tools
        self._gateway = gateway
        self._clock = clock
        self._journal = journal or MemoryJournal()
        self._glance = glance
        self._window = min(window, gateway.limits.window)
        self._pause = 1 / min(per_second, gateway.limits.per_second)
        self._next_at = 0.0
        self._claimed: deque[Claimed] = deque()
        self._outcome: Keep | None = None
        self._claiming = False
        self._rests_until: datetime | None = None
        self._stop = threading.Event()
        self._lock = threading.Lock()

    def recover(self) -> int:
        """Let what was being sent when the last process ended be in doubt; return how many those are."""
        with self._database.work() as work:
            return resending.recover(work, self._clock.now())

    def run(self) -> None:
        """Send until told to stop; what is on the wire is finished first, the rest is given back."""
        while not self._stop.is_set():
            try:
                sent = self.drain()
            except Exception:  # noqa: BLE001 - one bad moment of the database must not end all sending
                logger().exception("sender_stumbled")
                sent = 0
            if not sent:
                self._stop.wait(IDLE_SECONDS)

    def stop(self) -> None:
        """Have `run` end after the text that is on the wire."""
        self._stop.set()

    def drain(self) -> int:
        """Send all that is due now; return how many texts were handed to the gateway."""
        handed = 0
        # One drain at a time: the demo's clock drains between hours while the thread runs beside it.
        with self._lock:
            self._mend()
            while not self._rests() and (self._claimed or self._claim()):
                handed += self._send_next()
            self._give_back()
        return handed

    def _mend(self) -> None:
        """Bring the books up to date where the last drain stumbled."""
        self._keep_outcome()
        self._give_back()
        if self._claiming:
            # The claim may have been committed although the database could not say so.
            self.recover()
            self._claiming = False

    def _rests(self) -> bool:
        """Return whether nothing may be sent now: told to stop, or asked by the network to wait."""
        if self._stop.is_set():
            return True
        # A clock that was put back must not prolong the rest.
        return self._rests_until is not None and (
            self._clock.now() < self._rests_until <= self._clock.now() + _LONGEST_REST
        )

    def _claim(self) -> bool:
        if self._glance:
            self._glance()
        self._claiming = True
        with self._database.work() as work:
            self._claimed.extend(sending.claim(work, self._tools, self._clock.now(), self._window))
        self._claiming = False
        if not self._claimed or not self._journal_departures():
            return False
        point("claimed")
        return True

    def _journal_departures(self) -> bool:
        """Write what was claimed into the journal; return whether it is there, for else nothing may leave."""
        with self._database.look() as work:
            departures = work.journal.departures(self._claimed, self._clock.now())
        try:
            self._journal.leaving(departures)
        except JournalError as error:
            logger().error("journal_not_written", detail=str(error))
            self._rest(resending.PAUSES[RefusalClass.LINK])
            return False
        return True

    def _journal_end(self, text: Claimed, outcome: Outcome, gateway_ref: str | None = None) -> None:
        try:
            self._journal.ended(text.reference, outcome, gateway_ref)
        except JournalError as error:
            # Without this line an older database would hold the text in doubt, and not send it again.
            logger().warning("journal_not_written", detail=str(error))

    def _send_next(self) -> int:
        """Send the next claimed text, unless it is too late for it now; return how many were handed over."""
        if not self._keep_pace():
            return 0
        if self._clock.now() >= self._claimed[0].valid_until:
            self._give_back()
            return 0
        text = self._claimed.popleft()
        self._outcome = self._hand_over(text)
        self._keep_outcome()
        return 1

    def _hand_over(self, text: Claimed) -> Keep:
        """Hand one text to the gateway; return how to keep what came of it."""
        try:
            outgoing = OutgoingText(
                our_ref=text.our_ref,
                destination=text.destination,
                text=text.text,
                valid_until=text.valid_until,
            )
        except ValueError as error:
            return self._settle(text, Refused(reason=RefusalClass.PERMANENT, code="unfit", detail=str(error)))
        try:
            answer = self._gateway.send(outgoing)
        except NotSent as error:
            self._journal_end(text, Outcome.STAYED)
            self._rest(resending.PAUSES[RefusalClass.LINK])
            why = str(error)
            return lambda work, now: sending.not_sent(work, text, now, why=why)
        except AnswerLost:
            logger().warning("answer_lost", message=text.id, kind=text.kind)
        except Exception:  # noqa: BLE001 - whatever a gateway trips over, its text may have left
            logger().exception("gateway_stumbled", message=text.id, kind=text.kind)
        else:
            point("acked")
            return self._settle(text, answer)
        self._journal_end(text, Outcome.DOUBT)
        return lambda work, now: sending.answer_lost(work, text, now)

    def _settle(self, text: Claimed, answer: Accepted | Refused) -> Keep:
        if isinstance(answer, Accepted):
            self._journal_end(text, Outcome.ACCEPTED, answer.gateway_ref)
        else:
            self._journal_end(text, Outcome.STAYED)
        if isinstance(answer, Refused):
            self._rest(resending.rest_after(answer))
        return lambda work, now: sending.settle(work, self._tools, text, answer, now)

    def _keep_outcome(self) -> None:
        if self._outcome is not None:
            with self._database.work() as work:
                self._outcome(work, self._clock.now())
            self._outcome = None

    def _give_back(self) -> None:
        """Let what is claimed and not sent be due again."""
        if self._claimed:
            with self._database.work() as work:
                sending.give_back(work, self._claimed, self._clock.now())
            for text in self._claimed:
                self._journal_end(text, Outcome.STAYED)
            self._claimed.clear()

    def _rest(self, pause: timedelta) -> None:
        """Send nothing for a while: what holds for this text holds for those behind it."""
        if pause:
            self._rests_until = self._clock.now() + pause

    def _keep_pace(self) -> bool:
        """Wait until the route may carry the next text; return whether that moment came before a stop."""
        wait = self._next_at - time.monotonic()
        if wait > 0 and self._stop.wait(wait):
            return False
        self._next_at = max(self._next_at, time.monotonic()) + self._pause
        return True
