"""Columns that use cases give by name: what a new row is made of, or what is changed of one that is there."""

from datetime import date, datetime
from typing import NotRequired, TypedDict

from flows.effects import Finding, Urgency
from service.core.model import InboundState
from service.core.rights import Role


class NewInbound(TypedDict):
    """A text that came in."""

    id: int
    gateway: str
    ref: str
    phone_id: int
    raw: bytes
    text: str
    text_hash: bytes
    received_at: datetime
    stored_at: datetime
    state: InboundState
    incomplete: NotRequired[bool]


class NewQuestion(TypedDict):
    """What waits for a person: a question, a call for help, words that nobody understood."""

    id: int
    code: str
    phone_id: int
    farmer_id: int | None
    inbound_id: int
    text: str
    urgency: Urgency
    alert_id: NotRequired[int | None]
    asked_at: datetime


class NewDone(TypedDict):
    """A job was reported as done."""

    id: int
    plot_id: int
    task: str
    due_on: date
    revision: int
    inbound_id: int
    at: datetime


class NewScout(TypedDict):
    """What was seen under the leaves."""

    id: int
    plot_id: int
    seen_on: date
    finding: Finding
    inbound_id: int


class AlertChange(TypedDict, total=False):
    """What changes with the state of an alert."""

    kind: str
    confirmed_at: datetime
    approved_by: int
    approved_at: datetime
    waits_until: datetime
    send_at: datetime
    ended_at: datetime
    why: str | None
    anyway: str | None


class OfficerChange(TypedDict, total=False):
    """What changes of an officer."""

    role: Role
    language: str
    disabled_at: datetime | None
