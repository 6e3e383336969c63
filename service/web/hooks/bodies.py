"""The bodies gateways post, as data: what does not fit is refused in a sentence that repeats nothing of it."""

import base64
import binascii
import json
from collections.abc import Mapping
from datetime import datetime
from typing import Annotated, Any, Final, Literal

from pydantic import (
    AfterValidator,
    AwareDatetime,
    BaseModel,
    ConfigDict,
    Field,
    StringConstraints,
    TypeAdapter,
    ValidationError,
    model_validator,
)

from service.core.gateway import MOST_PARTS, InboundText, PartOf, Progress, Stage

_CODINGS: Final[Mapping[str, str]] = {"ucs2": "utf-16-be", "utf8": "utf-8", "latin1": "latin-1"}
# Sign of a gateway whose clock is not set, and beyond what all time zones can be reckoned in.
_FIRST_YEAR: Final = 2000
_LAST_YEAR: Final = 2100


class BadBody(ValueError):
    """A body is not what is agreed; the message says where."""


def _plausible(instant: datetime) -> datetime:
    if not _FIRST_YEAR <= instant.year <= _LAST_YEAR:
        raise ValueError("is no instant of this century")
    return instant


def _words(value: object) -> str:
    # Checked by hand: a text may hold half a character, which no checker of ours lets through and phones do send.
    if not isinstance(value, str):
        raise ValueError("is no text")  # noqa: TRY004 - what pydantic takes for a refusal
    return value


Reference = Annotated[str, StringConstraints(min_length=1, max_length=200, pattern=r"^[\x20-\x7e]+$")]
Moment = Annotated[AwareDatetime, AfterValidator(_plausible)]
Words = Annotated[Any, AfterValidator(_words)]


class _Body(BaseModel):
    model_config = ConfigDict(extra="ignore", frozen=True)


class _Part(_Body):
    ref: Reference
    number: Annotated[int, Field(ge=1, le=MOST_PARTS)]
    total: Annotated[int, Field(ge=1, le=MOST_PARTS)]

    @model_validator(mode="after")
    def _is_there(self) -> "_Part":
        if self.number > self.total:
            raise ValueError("number is above total")
        return self


class Inbound(_Body):
    """A text a phone has sent: as text, or as octets with their coding where the gateway does not decode."""

    message_ref: Annotated[str, StringConstraints(max_length=200, pattern=r"^[\x20-\x7e]*$")] = ""
    source: Annotated[str, StringConstraints(max_length=60)]
    destination: Annotated[str, StringConstraints(max_length=60)] = ""
    text: Annotated[Words, Field(validate_default=True)] = None
    octets_b64: str | None = None
    coding: Literal["ucs2", "utf8", "latin1"] | None = None
    part: _Part | None = None
    received_at: Moment

    @model_validator(mode="before")
    @classmethod
    def _decode(cls, data: Any) -> Any:  # noqa: ANN401 - whatever was posted
        if not isinstance(data, dict) or data.get("text") is not None or "octets_b64" not in data:
            return data
        coding = _CODINGS.get(str(data.get("coding")))
        if coding is None:
            raise ValueError("octets need a coding: ucs2, utf8 or latin1")
        try:
            octets = base64.b64decode(str(data["octets_b64"]), validate=True)
        except (binascii.Error, ValueError) as error:
            raise ValueError("octets_b64 is no base64") from error
        return {**data, "text": octets.decode(coding, "replace")}

    def event(self, event_id: str) -> InboundText:
        """Return the text as the service takes it."""
        part = self.part
        return InboundText(
            event_id=event_id,
            message_ref=self.message_ref,
            source=self.source,
            destination=self.destination,
            text=self.text,
            received_at=self.received_at,
            part=PartOf(ref=part.ref, number=part.number, total=part.total) if part else None,
        )


class _Code(_Body):
    scheme: Reference
    value: Annotated[str | int, Field()]


class Receipt(_Body):
    """How far a text of ours has come."""

    our_ref: Reference | None = None
    gateway_ref: Reference
    stage: Stage
    part: Annotated[int, Field(ge=1, le=MOST_PARTS)] | None = None
    code: _Code | None = None
    at: Moment
    final: bool = False

    def event(self, event_id: str) -> Progress:
        """Return the receipt as the service takes it."""
        return Progress(
            event_id=event_id,
            our_ref=self.our_ref,
            gateway_ref=self.gateway_ref,
            stage=self.stage,
            code=_printable(f"{self.code.scheme}:{self.code.value}") if self.code else self.stage.value,
            at=self.at,
            final=self.final,
            part=self.part,
        )


class Dialogue(_Body):
    """One turn of a USSD dialogue."""

    dialogue: Reference
    turn: int


class LinkState(_Body):
    """Whether the gateway's own link is up."""

    up: bool


class InboundPost(_Body):
    """A text came in."""

    type: Literal["sms.inbound"]
    data: Inbound


class ReceiptPost(_Body):
    """A receipt."""

    type: Literal["sms.progress"]
    data: Receipt


class DialoguePost(_Body):
    """A turn of a dialogue."""

    type: Literal["ussd.turn"]
    data: Dialogue


class LinkPost(_Body):
    """The gateway's link went up or down."""

    type: Literal["link.state"]
    data: LinkState


Post = InboundPost | ReceiptPost | DialoguePost | LinkPost
# The library's own sentence would repeat what was posted.
_OWN_WORDS: Final = {"union_tag_invalid": "its type is none that is taken here"}
_POST: Final[TypeAdapter[Post]] = TypeAdapter(Annotated[Post, Field(discriminator="type")])


def read_post(body: bytes) -> Post:
    """Read what was posted.

    Raises:
        BadBody: it is not what is agreed.
    """
    try:
        # The library's own reader would refuse a text that holds half a character.
        data = json.loads(body)
    except (ValueError, RecursionError) as error:
        raise BadBody("the body is no JSON") from error
    try:
        return _POST.validate_python(data, strict=False)
    except ValidationError as error:
        first = error.errors(include_url=False, include_input=False, include_context=False)[0]
        place = ".".join(str(step) for step in first["loc"])
        raise BadBody(f"{place or 'the body'}: {_OWN_WORDS.get(first['type'], first['msg'])}") from error


def _printable(words: str) -> str:
    return "".join(char for char in words if char.isascii() and char.isprintable())[:200]
