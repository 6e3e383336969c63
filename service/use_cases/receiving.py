"""Texts that come in: stored and committed first, acknowledged then, read afterwards."""

import hashlib
import unicodedata
from datetime import datetime, timedelta
from typing import Final

from service.core.gateway import InboundText
from service.core.model import InboundState
from service.core.phone import read_number
from service.core.ports import Work
from service.use_cases.tools import Tools

LONGEST: Final = 1600
SAME_TEXT: Final = timedelta(seconds=120)
MOST_TRIES: Final = 3
# Control characters, lone surrogates and marks that turn the reading direction would harm a screen or a match.
_HARMFUL: Final = frozenset({"Cc", "Cs", "Cf"})


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
    number = read_number(event.source, tools.programme.region)
    gateway = tools.programme.gateway
    raw = event.text.encode("utf-8", "surrogatepass")
    digest = hashlib.sha256(raw).digest()
    inbound_id = tools.ids.row()
    phone_id = work.people.phone_for(number, now)
    if not event.message_ref and work.inbox.same_text_since(phone_id, digest, received_at - SAME_TEXT):
        return False
    ref = event.message_ref or f"none:{inbound_id}"
    if work.inbox.seen(gateway, ref, inbound_id, now):
        return False
    work.inbox.add(
        id=inbound_id,
        gateway=gateway,
        ref=ref,
        phone_id=phone_id,
        raw=raw,
        text=clean(event.text),
        text_hash=digest,
        received_at=min(received_at, now),
        stored_at=now,
        state=InboundState.STORED,
    )
    return True


def set_aside(work: Work, inbound_id: int, tries: int) -> None:
    """Count a failed try at reading a text; after three it is set aside so that the others go on."""
    state = InboundState.CORRUPT if tries + 1 >= MOST_TRIES else InboundState.STORED
    work.inbox.mark_tried(inbound_id, state)
    work.commit()
