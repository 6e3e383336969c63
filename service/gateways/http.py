"""The adapter for a gateway that speaks signed HTTP: texts leave by it; what comes in is posted to our hooks.

A text is a POST to BASE/outgoing, signed, and under an Idempotency-Key that is the same for every try at it, so that a
gateway which knows the key again sends the text once. What the answers mean:

    202                 taken
    429, 503            too fast, or not now: the route rests as long as Retry-After says; the try does not count
    413, 422            this text will never be taken
    409, 408, 500 ...   the gateway, or something before it, has begun: whether the text leaves is not known
    anything else       the two sides do not understand each other: a person has to look at the settings
"""

import json
import re
from collections.abc import Callable, Iterable
from datetime import UTC, datetime, timedelta
from typing import Annotated, Any, Final, TypeGuard

from pydantic import Field, TypeAdapter, ValidationError
from pydantic.dataclasses import dataclass

from service.core.gateway import (
    Accepted,
    AnswerLost,
    Event,
    Health,
    Limits,
    NotSent,
    OutgoingText,
    RefusalClass,
    Refused,
)
from service.faults import point
from service.gateways.http_line import HttpAnswer, HttpLine
from service.gateways.http_target import Target
from service.gateways.signing import Keys

HTTP_LIMITS: Final = Limits(per_second=1000.0, window=50)
OUTGOING: Final = "/outgoing"
ABOUT: Final = "/about"
# How the example peer of the project names itself.
EXAMPLE_PEER: Final = {"peer": "example"}
_TAKEN: Final = 202
_REFUSALS: Final = {
    429: RefusalClass.PACE,
    503: RefusalClass.PACE,
    413: RefusalClass.PERMANENT,
    422: RefusalClass.PERMANENT,
}
_UNKNOWN: Final = frozenset({200, 201, 408, 409})
_SERVER_ERRORS: Final = 500
_LONGEST_DETAIL: Final = 200
# A number has no business on a screen, in whatever words a gateway puts it.
_NUMBER: Final = re.compile(r"\+?\d(?:[ .()-]?\d){5,}")
_LONGEST_SHORT: Final = 6


@dataclass(frozen=True, kw_only=True)
class _Taken:
    gateway_ref: Annotated[str, Field(min_length=1, max_length=200)]
    parts: Annotated[int, Field(ge=1, le=255)]


_TAKEN_BODY: Final = TypeAdapter(_Taken)


class HttpGateway:
    """A `Gateway` over signed HTTP."""

    def __init__(
        self,
        target: Target,
        *,
        keys: Keys,
        source: str,
        clock: Callable[[], datetime],
        name: str = "http",
        limits: Limits = HTTP_LIMITS,
        connect_seconds: float = 5.0,
        answer_seconds: float = 15.0,
    ) -> None:
        """Remember where the gateway is; nothing is opened yet.

        Args:
            target: where it is.
            keys: what our requests are signed with.
            source: the number or name that texts come from.
            clock: returns the present real instant, aware; signatures are of it.
            name: the name it is configured under.
            limits: how fast it may be used.
            connect_seconds: how long a connection may take.
            answer_seconds: how long an answer may take; a text is in doubt after that.
        """
        self.name = name
        self.limits = limits
        self.target = target
        self._keys = keys
        self._source = source
        self._clock = clock
        self._line = HttpLine(
            target,
            connect_seconds=connect_seconds,
            answer_seconds=answer_seconds,
            asked=lambda: point("wired"),
        )

    def send(self, text: OutgoingText) -> Accepted | Refused:
        """Hand one text over; see `Gateway.send`."""
        body = outgoing_body(text, self._source)
        answer = self._line.ask("POST", OUTGOING, body, self.headers(text.our_ref, body))
        return _read(text.our_ref, answer)

    def headers(self, our_ref: str, body: bytes) -> dict[str, str]:
        """Return the headers of a text's request, signed now."""
        return {
            "Content-Type": "application/json",
            # A string of structured fields (RFC 9651), as the IETF's draft on the Idempotency-Key header has it.
            "Idempotency-Key": f'"{our_ref}"',
            **self._keys.sign(id=our_ref, at=self._clock(), body=body),
        }

    def events(self, _limit: int) -> tuple[Event, ...]:
        """Return nothing: what comes in is posted to our hooks."""
        return ()

    def acknowledge(self, event_ids: Iterable[str]) -> None:
        """Do nothing: each post is acknowledged by its own answer."""

    def health(self) -> Health:
        """Return whether the gateway can be reached."""
        try:
            self._line.reach()
        except NotSent as error:
            return Health(up=False, detail=str(error))
        return Health(up=True, detail=f"{self.target.authority} can be reached")

    def is_example_peer(self) -> bool:
        """Return whether this is the project's example peer on this very machine, which reaches no phone."""
        if not self.target.is_loopback:
            return False
        try:
            answer = self._line.ask("GET", ABOUT, b"", {})
        except AnswerLost:
            return False
        return answer.status == 200 and _json(answer.body) == EXAMPLE_PEER  # noqa: PLR2004 - HTTP's own number

    def close(self) -> None:
        """Hang up for good."""
        self._line.close()


def outgoing_body(text: OutgoingText, source: str) -> bytes:
    """Return the body of a text's request; two tries at a text have the same one."""
    body = {
        "our_ref": text.our_ref,
        "destination": text.destination,
        "source": {"kind": kind_of(source), "value": source},
        "text": text.text,
        "coding": "auto",
        "valid_until": text.valid_until.astimezone(UTC).isoformat(timespec="seconds").replace("+00:00", "Z"),
        "receipt": True,
    }
    return json.dumps(body, ensure_ascii=False, separators=(",", ":")).encode()


def kind_of(source: str) -> str:
    """Return what a sender is: a short code, a long number, or a name that cannot be answered."""
    digits = source.removeprefix("+")
    if not digits.isdigit():
        return "alpha"
    return "short" if len(digits) <= _LONGEST_SHORT else "long"


def _read(our_ref: str, answer: HttpAnswer) -> Accepted | Refused:
    if answer.status == _TAKEN:
        return _read_taken(our_ref, answer)
    if answer.status in _REFUSALS:
        return _refusal(answer, _REFUSALS[answer.status])
    if answer.status in _UNKNOWN or answer.status >= _SERVER_ERRORS:
        raise AnswerLost(f"text {our_ref}: the gateway answered {answer.status}")
    return _refusal(answer, RefusalClass.LINK)


def _read_taken(our_ref: str, answer: HttpAnswer) -> Accepted:
    try:
        taken = _TAKEN_BODY.validate_json(answer.body)
    except ValidationError as error:
        # It was taken, it seems, but under a name we do not know: only a receipt can tell of it.
        raise AnswerLost(f"text {our_ref}: the gateway's answer cannot be read") from error
    return Accepted(gateway_ref=taken.gateway_ref, parts=taken.parts)


def _refusal(answer: HttpAnswer, reason: RefusalClass) -> Refused:
    """Read a refusal, with problem details (RFC 9457) where the gateway gives them."""
    problem = _json(answer.body)
    told: dict[str, Any] = problem if _is_object(problem) else {}
    code = re.split("[/:]", str(told.get("type") or "").rstrip("/"))[-1]
    detail = str(told.get("detail") or told.get("title") or f"the gateway answered {answer.status}")
    return Refused(
        reason=reason,
        code=(code or f"http-{answer.status}")[:60],
        detail=_NUMBER.sub("(number)", detail)[:_LONGEST_DETAIL],
        retry_after=_retry_after(answer.headers.get("retry-after")),
    )


def _retry_after(value: str | None) -> timedelta | None:
    """Read Retry-After in seconds; its other form, a date, is of a clock that need not be ours."""
    if value is None or not (value.isascii() and value.isdigit()):
        return None
    return timedelta(seconds=min(int(value[:9]), 86_400))


def _json(body: bytes) -> object:
    try:
        found: object = json.loads(body)
    except (ValueError, RecursionError):
        return None
    return found


def _is_object(value: object) -> TypeGuard[dict[str, Any]]:
    return isinstance(value, dict)
