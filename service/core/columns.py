"""Columns that use cases give by name: what a new row is made of, or what is changed of one that is there."""

from datetime import date, datetime
from typing import NotRequired, TypedDict

from flows.effects import Finding, Urgency
from service.core.model import InboundState
from service.core.rights import Role


class Weekdays(TypedDict):
    """A plot's weekdays: Monday is 0; picking and prompts are bit masks."""

    text_day: int
    picking_text_day: int
    pick_days: int
    prompt_days: int


class NewPlot(Weekdays):
    """A plot that is planted."""

    farmer_id: int
    planted_on: date
    precision: str
    plants: int
    mulch_kind: NotRequired[str | None]
    elevation_m: NotRequired[int | None]
    zone: str
    calendar_id: str
    live: bool
    closed_on: NotRequired[date | None]


class PlotChange(TypedDict, total=False):
    """What changes of a plot."""

    planted_on: date
    precision: str
    plants: int
    plant_type: str | None
    stock: str | None
    mulch_kind: str | None
    water_method: str | None
    mother_rows: str | None
    bed_width_cm: int | None
    path_width_cm: int | None
    bed_rows: int | None
    spacing_cm: int | None
    elevation_m: int | None
    calendar_id: str
    revision: int
    text_day: int
    picking_text_day: int
    pick_days: int
    prompt_days: int
    picking_early: bool
    live: bool
    closed_on: date | None
    collection_id: int | None


class FarmerChange(TypedDict, total=False):
    """What changes of a farmer."""

    name: str
    language: str
    district_id: int
    village_id: int | None
    group_id: int | None
    added_at: datetime
    added_by: int | None
    pending_until: datetime | None
    paused_until: datetime | None
    alerts: bool
    held_out: bool


class CollectionPlan(TypedDict):
    """Where and when fruit is collected; `weekdays` is a bit mask."""

    place: str
    weekdays: int
    hour: int
    first_on: date
    last_on: date | None


class NewCollection(CollectionPlan):
    """A collection that is set up for a group."""

    group_id: int
    officer_id: int
    at: datetime


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
