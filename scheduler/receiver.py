"""The receiver: stores what the gateway hands over, commits, acknowledges, and only then reads it."""

import threading
from collections.abc import Sequence
from typing import Final

from scheduler.merge import merge_farmers
from service.clock import Clock
from service.core.gateway import Gateway, GatewayError, InboundText, Progress
from service.core.phone import BadNumber
from service.db.work import Database, Work
from service.faults import point
from service.logs import logger
from service.use_cases.answering import answer
from service.use_cases.receipts import take_receipt
from service.use_cases.receiving import store
from service.use_cases.setting_aside import set_aside
from service.use_cases.tools import Tools

IDLE_SECONDS: Final = 0.2
AT_ONCE: Final = 100


class Receiver:
    """Takes in texts and receipts, and answers the texts."""

    def __init__(self, database: Database, tools: Tools, gateway: Gateway, clock: Clock) -> None:
        """Take in from `gateway`."""
        self._database = database
        self._tools = tools
        self._gateway = gateway
        self._clock = clock
        self._caught_up = False
        self._stop = threading.Event()
        self._lock = threading.Lock()

    @property
    def caught_up(self) -> bool:
        """Whether all that waited at the gateway had been taken in when it was last asked."""
        return self._caught_up

    def run(self) -> None:
        """Take in until told to stop."""
        while not self._stop.is_set():
            if not self._take_turn():
                self._stop.wait(IDLE_SECONDS)

    def _take_turn(self) -> int:
        """Take in and answer; return how much there was to do. No trouble ends the receiver."""
        taken = 0
        try:
            taken = self.take_in()
        except GatewayError as error:
            logger().warning("gateway_away", detail=str(error))
        except Exception:  # noqa: BLE001 - one bad moment of the database must not end all receiving
            logger().exception("receiver_stumbled")
        try:
            # What is stored is answered, whether the gateway can be reached or not.
            return taken + self.answer_all()
        except Exception:  # noqa: BLE001 - as above
            logger().exception("receiver_stumbled")
            return 0

    def catch_up(self) -> None:
        """Take in all that has waited at the gateway, as far as it can be reached."""
        try:
            while self.take_in():
                pass
        except GatewayError as error:
            logger().warning("gateway_away", detail=str(error))

    def stop(self) -> None:
        """Have `run` end."""
        self._stop.set()

    def take_in(self) -> int:
        """Store what waits at the gateway and acknowledge it once it is committed; return how many events."""
        self._caught_up = False
        events = self._gateway.events(AT_ONCE)
        if not events:
            self._caught_up = True
            return 0
        with self._database.work() as work:
            self._store(work, events)
            work.commit()
        point("stored")
        self._gateway.acknowledge([event.event_id for event in events])
        return len(events)

    def _store(self, work: Work, events: Sequence[InboundText | Progress]) -> None:
        now = self._clock.now()
        for event in events:
            if isinstance(event, Progress):
                take_receipt(work, self._gateway.name, event, now)
                continue
            try:
                store(work, self._tools, event, event.received_at, now)
            except BadNumber as error:
                # A sender that cannot be texted back, like a name instead of a number, is never answered.
                logger().warning("sender_without_number", reason=str(error))

    def answer_all(self) -> int:
        """Answer every stored text that has not been read; return how many there were."""
        answered = 0
        with self._lock:
            while not self._stop.is_set():
                with self._database.look() as work:
                    unread = work.inbox.unread(AT_ONCE)
                if not unread:
                    break
                for inbound in unread:
                    self._answer(inbound.id)
                answered += len(unread)
        return answered

    def _answer(self, inbound_id: int) -> None:
        with self._database.work() as work:
            inbound = work.inbox.get(inbound_id)
            if inbound is None:
                return
            try:
                outcome = answer(work, self._tools, inbound, self._clock.now())
            except Exception:  # noqa: BLE001 - one text that trips us must not block those behind it
                logger().exception("text_not_answered", inbound=inbound_id)
                failed = True
            else:
                failed = False
        if failed:
            with self._database.work() as work:
                set_aside(work, self._tools, inbound)
            return
        if outcome.replanned:
            merge_farmers(self._database, self._tools, tuple(outcome.replanned), self._clock.now())
