"""The adapter that talks to a simulated network in another process.

Texts have a connection of their own: a slow answer then holds up neither receipts nor the practice phones,
and a receipt can overtake its answer here as it does on a real link.
"""

from collections.abc import Callable, Iterable
from datetime import datetime
from functools import partial
from typing import TypeVar

from pydantic import TypeAdapter

from service.core.gateway import (
    Accepted,
    AnswerLost,
    Event,
    GatewayError,
    Health,
    Limits,
    NotSent,
    OutgoingText,
    RefusalClass,
    Refused,
    Unreachable,
)
from service.faults import point
from service.gateways.simulator import SIMULATOR_LIMITS
from service.gateways.simulator_line import Line
from service.gateways.simulator_texts import HandsetText
from service.gateways.simulator_wire import (
    EVENTS_ANSWER,
    INBOX_ANSWER,
    NOTHING,
    SEND_ANSWER,
    TEXT_IN_ANSWER,
    Acknowledge,
    Events,
    Inbox,
    NoAnswer,
    Ping,
    Question,
    Send,
    TextIn,
    WireError,
    read_answer,
    write_question,
)

Value = TypeVar("Value")


class SimulatorLink:
    """A `Gateway` and a `PracticeNetwork` over loopback."""

    def __init__(
        self,
        port: int,
        *,
        clock: Callable[[], datetime],
        name: str = "simulator",
        limits: Limits = SIMULATOR_LIMITS,
        connect_seconds: float = 2.0,
        answer_seconds: float = 5.0,
    ) -> None:
        """Remember where the network is; nothing is opened yet.

        Args:
            port: its port on loopback.
            clock: returns the present instant, aware; the network lives in this time.
            name: the name it is configured under.
            limits: how fast it may be used.
            connect_seconds: how long a connection may take, in real time.
            answer_seconds: how long an answer may take, in real time; a text is in doubt after that.
        """
        self.name = name
        self.limits = limits
        self._port = port
        self._clock = clock
        self._texts = Line(
            port,
            connect_seconds=connect_seconds,
            answer_seconds=answer_seconds,
            asked=partial(point, "wired"),
        )
        self._rest = Line(port, connect_seconds=connect_seconds, answer_seconds=answer_seconds)

    def send(self, text: OutgoingText) -> Accepted | Refused:
        """Hand one text to the network; see `Gateway.send`."""
        try:
            question = write_question(Send(text=text, now=self._clock()))
        except WireError as error:
            return Refused(reason=RefusalClass.PERMANENT, code=error.code, detail=error.detail)
        line = self._texts.ask(question)
        try:
            return read_answer(SEND_ANSWER, line)
        except NoAnswer as error:
            raise AnswerLost(f"text {text.our_ref}: {error}") from error
        except WireError as error:
            # The two sides do not understand each other, which no other text will change.
            return Refused(reason=RefusalClass.LINK, code=error.code, detail=error.detail)

    def events(self, limit: int) -> tuple[Event, ...]:
        """Return what waits; see `Gateway.events`."""
        return self._look(Events(limit=limit, now=self._clock()), EVENTS_ANSWER)

    def acknowledge(self, event_ids: Iterable[str]) -> None:
        """Say what is safely stored; see `Gateway.acknowledge`."""
        self._look(Acknowledge(event_ids=tuple(event_ids)), NOTHING)

    def health(self) -> Health:
        """Return whether the network answers."""
        try:
            self._look(Ping(), NOTHING)
        except GatewayError as error:
            return Health(up=False, detail=str(error))
        return Health(up=True, detail=f"the simulator on port {self._port} answers")

    def close(self) -> None:
        """Hang up for good."""
        self._texts.close()
        self._rest.close()

    def inbox(self, number: str, after: int = 0) -> tuple[HandsetText, ...]:
        """Return what a phone received; see `PracticeNetwork.inbox`."""
        return self._look(Inbox(number=number, after=after), INBOX_ANSWER)

    def text_in(self, *, source: str, destination: str, text: str) -> str:
        """Let a phone text in; see `PracticeNetwork.text_in`."""
        question = TextIn(source=source, destination=destination, text=text, now=self._clock())
        line = self._rest.ask(write_question(question))
        try:
            return read_answer(TEXT_IN_ANSWER, line)
        except NoAnswer as error:
            raise AnswerLost(str(error)) from error

    def _look(self, question: Question, adapter: TypeAdapter[Value]) -> Value:
        """Ask what may be asked again at will."""
        try:
            return read_answer(adapter, self._rest.ask(write_question(question)))
        except (NotSent, AnswerLost, NoAnswer, WireError) as error:
            raise Unreachable(str(error)) from error
