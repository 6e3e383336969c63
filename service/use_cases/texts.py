"""Queueing a text: its words, its parts, when it may leave and when it is of no more use."""

from collections.abc import Mapping
from datetime import date, datetime

from flows.alphabet import parts
from flows.wording import Phrase
from service.core.kinds import KINDS
from service.core.model import NewMessage
from service.use_cases.tools import Tools


def new_text(
    tools: Tools,
    phrase: Phrase,
    *,
    language: str,
    kind: str,
    phone_id: int,
    farmer_id: int | None,
    zone: str,
    day: date,
    idem_key: str,
    not_before: datetime,
    until: datetime | None = None,
    inbound_id: int | None = None,
    opens: Mapping[str, object] | None = None,
    arm: str | None = None,
) -> NewMessage:
    """Write a phrase out as a text to be queued.

    `day` is the local day of the event the text comes from; with `idem_key` it makes the event's text unique. From
    `until` on it is of no use, even if others of its kind were.
    """
    text = tools.wording.write(phrase, language)
    expires_at = not_before + KINDS[kind].useful_for
    return NewMessage(
        id=tools.ids.row(),
        queued_on=day,
        idem_key=idem_key,
        kind=kind,
        phone_id=phone_id,
        farmer_id=farmer_id,
        language=language,
        text_id=phrase.text_id,
        text=text,
        parts=parts(text),
        zone=zone,
        not_before=not_before,
        expires_at=expires_at if until is None else min(expires_at, until),
        inbound_id=inbound_id,
        opens=dict(opens) if opens else None,
        arm=arm,
    )
