"""Texts that come in: stored and committed first, acknowledged then, read afterwards.

A text is one text however often, and under however many forms of its sender's number, it is handed over. Long texts
may come in parts: they are held until all are there, and after ten minutes what came is taken, marked incomplete.
"""

import hashlib
import unicodedata
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from functools import cache
from typing import Final
from zoneinfo import ZoneInfo

from flows.alarms import Distress, Emergency
from flows.inputs import Stop
from flows.reader import Situation, read
from service.core.gateway import InboundText, PartOf
from service.core.model import InboundState
from service.core.phone import BadNumber, is_short, read_number
from service.core.ports import Work
from service.core.wire_ports import HeldPart, PartSet
from service.use_cases.tools import Tools

LONGEST: Final = 1600
SAME_TEXT: Final = timedelta(seconds=120)
WAITS_FOR_PARTS: Final = timedelta(minutes=10)
MOST_A_DAY: Final = 200
_DAY: Final = timedelta(hours=24)
# Stands where a part is missing, so that words on either side do not run together.
_GAP: Final = b" ... "
# Control characters, lone surrogates and marks that turn the reading direction would harm a screen or a match.
_HARMFUL: Final = frozenset({"Cc", "Cs", "Cf"})


class NotAPhone(BadNumber):
    """A text came from a sender that is never answered: our own number, a short code or a name."""


@dataclass(frozen=True, kw_only=True, slots=True)
class _Whole:
    """A text with all its parts, or with all that came of them."""

    phone_id: int
    ref: str
    text: str
    received_at: datetime
    incomplete: bool = False


def clean(text: str) -> str:
    """Return a text fit for screens and matching: composed (NFC), without harmful characters, at most 1,600 long."""
    composed = unicodedata.normalize("NFC", text[: 2 * LONGEST].replace("\n", " ").replace("\t", " "))
    kept = "".join(char for char in composed if unicodedata.category(char) not in _HARMFUL)
    return kept[:LONGEST].strip()


def store(work: Work, tools: Tools, event: InboundText, received_at: datetime, now: datetime) -> bool:
    """Store a text that came in; return whether it is new. The caller commits, then acknowledges.

    Args:
        event: as the gateway handed it over.
        received_at: when the network took it, in service time.

    Raises:
        BadNumber: its sender is no phone that could be answered.
    """
    phone_id = _sender(work, tools, event, now)
    if _too_many_today(work, tools, phone_id, event.text, now):
        return False
    if event.part:
        return _take_part(work, tools, _part(tools, event, event.part, phone_id, now), now)
    whole = _Whole(phone_id=phone_id, ref=event.message_ref, text=event.text, received_at=received_at)
    if not whole.ref and _came_before(work, whole):
        return False
    return _keep(work, tools, whole, now)


def _came_before(work: Work, whole: _Whole) -> bool:
    """Return whether a text without a reference is one that was handed over just before."""
    return work.inbox.same_text_since(whole.phone_id, _digest(whole.text), whole.received_at - SAME_TEXT)


def _sender(work: Work, tools: Tools, event: InboundText, now: datetime) -> int:
    programme = tools.programme
    if is_short(event.source) or event.source.strip() == programme.service_number:
        raise NotAPhone("A short code or our own number is never answered.")
    number = read_number(event.source, programme.region)
    if number.e164 == _own_number(programme.service_number, programme.region):
        raise NotAPhone("Our own number is never answered.")
    return work.people.phone_for(number, now)


@cache
def _own_number(service_number: str, region: str) -> str | None:
    """Return the number farmers text to, if it is one that could be taken for a farmer's."""
    try:
        return read_number(service_number, region).e164
    except BadNumber:
        return None


def _too_many_today(work: Work, tools: Tools, phone_id: int, text: str, now: datetime) -> bool:
    """Return whether a text is one too many of its phone; STOP and emergencies never are."""
    if work.guards.stored_since(phone_id, now - _DAY) < MOST_A_DAY:
        return False
    on: date = now.astimezone(ZoneInfo(tools.programme.zone)).date()
    situation = Situation(on=on, districts=(), languages=tools.packs, language=None)
    return not isinstance(read(clean(text), situation).input, Stop | Emergency | Distress)


def _part(tools: Tools, event: InboundText, part: PartOf, phone_id: int, now: datetime) -> HeldPart:
    return HeldPart(
        gateway=tools.programme.gateway,
        phone_id=phone_id,
        part_ref=part.ref,
        total=part.total,
        number=part.number,
        message_ref=event.message_ref,
        raw=event.text.encode("utf-8", "surrogatepass"),
        received_at=min(event.received_at, now),
        stored_at=now,
    )


def _take_part(work: Work, tools: Tools, part: HeldPart, now: datetime) -> bool:
    """Hold one part of a long text, and keep the text once it is whole."""
    if work.inbox.seen(part.gateway, part.message_ref or _made_ref(part), 0, now):
        return False
    one = PartSet(gateway=part.gateway, phone_id=part.phone_id, part_ref=part.part_ref, total=part.total)
    before = work.parts.held(one)
    if before and _is_of_another(part, before):
        # References of eight bits come round again: what is held under this one is an earlier text.
        _join(work, tools, one, before, now)
    if not work.parts.hold(part):
        return False
    there = work.parts.held(one)
    if len(there) == one.total:
        _join(work, tools, one, there, now)
    return True


def _made_ref(part: HeldPart) -> str:
    """Return a reference for a part that came without one: the same when the same part is handed over again."""
    whole = f"{part.phone_id}:{part.part_ref}:{part.number}:{part.total}:{part.received_at.isoformat()}"
    return f"none:{hashlib.sha256(whole.encode() + part.raw).hexdigest()}"


def _is_of_another(part: HeldPart, held: tuple[HeldPart, ...]) -> bool:
    """Return whether a part belongs to another text than those held under its reference."""
    if part.stored_at - held[0].stored_at >= WAITS_FOR_PARTS:
        return True
    return any(one.number == part.number and one.raw != part.raw for one in held)


def _join(work: Work, tools: Tools, one: PartSet, held: tuple[HeldPart, ...], now: datetime) -> None:
    """Keep what has come of a long text as one text."""
    raws = {part.number: part.raw for part in held}
    pieces = [raws.get(number) for number in range(1, one.total + 1)]
    raw = b"".join(_GAP if piece is None else piece for piece in pieces)
    whole = _Whole(
        phone_id=one.phone_id,
        ref="",
        text=_mended(raw.decode("utf-8", "surrogatepass")),
        received_at=min(part.received_at for part in held),
        incomplete=None in pieces,
    )
    work.parts.let_go(one)
    if any(part.message_ref for part in held) or not _came_before(work, whole):
        _keep(work, tools, whole, now)


def _mended(text: str) -> str:
    """Return a text in which halves of a character that were cut apart between two parts are one again."""
    return text.encode("utf-16-le", "surrogatepass").decode("utf-16-le", "surrogatepass")


def take_overdue_parts(work: Work, tools: Tools, now: datetime) -> int:
    """Take texts whose missing parts have not come in ten minutes as they are; return how many those were."""
    overdue = work.parts.overdue(now - WAITS_FOR_PARTS)
    for one in overdue:
        _join(work, tools, one, work.parts.held(one), now)
    work.commit()
    return len(overdue)


def _keep(work: Work, tools: Tools, whole: _Whole, now: datetime) -> bool:
    gateway = tools.programme.gateway
    inbound_id = tools.ids.row()
    ref = whole.ref or f"none:{inbound_id}"
    if work.inbox.seen(gateway, ref, inbound_id, now):
        return False
    work.inbox.add(
        id=inbound_id,
        gateway=gateway,
        ref=ref,
        phone_id=whole.phone_id,
        raw=whole.text.encode("utf-8", "surrogatepass"),
        text=clean(whole.text),
        text_hash=_digest(whole.text),
        received_at=min(whole.received_at, now),
        stored_at=now,
        state=InboundState.STORED,
        incomplete=whole.incomplete,
    )
    return True


def _digest(text: str) -> bytes:
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).digest()
