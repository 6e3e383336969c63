"""The simulator's own protocol: one object of JSON a line, a question and its answer.

A question names its operation and says what time it is, for the network keeps no clock:

    {"op": "inbox", "number": "+255...", "after": 3}
    {"op": "send", "text": {"our_ref": ..., ...}, "now": "2026-11-25T13:00:00Z"}

An answer is {"value": ...} or {"error": {"code": ..., "detail": ...}}. A text whose answer is lost gets none:
the connection is closed instead.
"""

from dataclasses import dataclass
from typing import Annotated, Final, Literal, TypeVar

from pydantic import AwareDatetime, ConfigDict, Field, TypeAdapter, ValidationError

from service.core.gateway import Accepted, Event, OutgoingText, Refused
from service.gateways.simulator_texts import HandsetText

MAX_QUESTION: Final = 64 * 1024
# An answer holds at most a page of texts, each of them shorter than a question.
MAX_ANSWER: Final = 16 * 1024 * 1024

_STRICT: Final = ConfigDict(extra="forbid")

Value = TypeVar("Value")


@dataclass(frozen=True, kw_only=True, slots=True)
class Send:
    """Take this text."""

    __pydantic_config__ = _STRICT
    text: OutgoingText
    now: AwareDatetime
    op: Literal["send"] = "send"


@dataclass(frozen=True, kw_only=True, slots=True)
class Events:
    """What waits for us?"""

    __pydantic_config__ = _STRICT
    limit: int
    now: AwareDatetime
    op: Literal["events"] = "events"


@dataclass(frozen=True, kw_only=True, slots=True)
class Acknowledge:
    """These are safely stored."""

    __pydantic_config__ = _STRICT
    event_ids: tuple[str, ...]
    op: Literal["acknowledge"] = "acknowledge"


@dataclass(frozen=True, kw_only=True, slots=True)
class Inbox:
    """What did this phone receive?"""

    __pydantic_config__ = _STRICT
    number: str
    after: int = 0
    op: Literal["inbox"] = "inbox"


@dataclass(frozen=True, kw_only=True, slots=True)
class TextIn:
    """This phone sends a text."""

    __pydantic_config__ = _STRICT
    source: str
    destination: str
    text: str
    now: AwareDatetime
    op: Literal["text_in"] = "text_in"


@dataclass(frozen=True, kw_only=True, slots=True)
class Ping:
    """Are you there?"""

    __pydantic_config__ = _STRICT
    op: Literal["health"] = "health"


@dataclass(frozen=True, kw_only=True, slots=True)
class _Error:
    code: str
    detail: str


@dataclass(frozen=True, kw_only=True, slots=True)
class _Failure:
    __pydantic_config__ = _STRICT
    error: _Error


@dataclass(frozen=True, kw_only=True, slots=True)
class _Success:
    __pydantic_config__ = _STRICT
    value: object


Question = Send | Events | Acknowledge | Inbox | TextIn | Ping

_QUESTION: Final[TypeAdapter[Question]] = TypeAdapter(Annotated[Question, Field(discriminator="op")])
_ANSWER: Final[TypeAdapter[_Success | _Failure]] = TypeAdapter(_Success | _Failure)

SEND_ANSWER: Final[TypeAdapter[Accepted | Refused]] = TypeAdapter(Accepted | Refused)
EVENTS_ANSWER: Final[TypeAdapter[tuple[Event, ...]]] = TypeAdapter(tuple[Event, ...])
INBOX_ANSWER: Final[TypeAdapter[tuple[HandsetText, ...]]] = TypeAdapter(tuple[HandsetText, ...])
TEXT_IN_ANSWER: Final[TypeAdapter[str]] = TypeAdapter(str)
NOTHING: Final[TypeAdapter[None]] = TypeAdapter(None)


class WireError(ValueError):
    """A line is not of this protocol, or the other side said so; `code` is one word, `detail` a sentence."""

    def __init__(self, code: str, detail: str) -> None:
        """Keep both for the other side."""
        super().__init__(f"{code}: {detail}")
        self.code = code
        self.detail = detail


class NoAnswer(ValueError):
    """What came back is no answer of this protocol, so nobody knows what the other side did."""


def write_question(question: Question) -> bytes:
    """Return a question as one line.

    Raises:
        WireError: if the line would be too long for the network to read.
    """
    line = _QUESTION.dump_json(question) + b"\n"
    if len(line) > MAX_QUESTION:
        raise WireError("too-long", f"a question has at most {MAX_QUESTION} octets")
    return line


def read_question(line: bytes) -> Question:
    """Read one line as a question.

    Raises:
        WireError: saying what is wrong with the line, without repeating what it holds.
    """
    try:
        return _QUESTION.validate_json(line)
    except ValidationError as error:
        first = error.errors(include_url=False, include_input=False)[0]
        place = ".".join(str(step) for step in first["loc"])
        raise WireError("malformed", f"{place}: {first['msg']}" if place else first["msg"]) from error


def write_value(adapter: TypeAdapter[Value], value: Value) -> bytes:
    """Return an answer's value as one line."""
    return b'{"value":' + adapter.dump_json(value) + b"}\n"


def write_error(error: WireError) -> bytes:
    """Return an error as one line."""
    return _ANSWER.dump_json(_Failure(error=_Error(code=error.code, detail=error.detail))) + b"\n"


def read_answer(adapter: TypeAdapter[Value], line: bytes) -> Value:
    """Read one line as an answer of the adapter's type.

    Raises:
        WireError: if the other side answered with an error: it did nothing.
        NoAnswer: if the line is no answer.
    """
    try:
        answer = _ANSWER.validate_json(line)
        if isinstance(answer, _Failure):
            raise WireError(answer.error.code, answer.error.detail)
        return adapter.validate_python(answer.value)
    except ValidationError as error:
        raise NoAnswer("what came back is no answer of the simulator's") from error
