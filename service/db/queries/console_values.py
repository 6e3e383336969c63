"""What the page queries return: plain values, weights in whole grams, instants in UTC, days local."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum

from service.core.question_ports import Question


@dataclass(frozen=True, kw_only=True, slots=True)
class DoubtfulWeight:
    """A weight that stands outside all totals until the farmer has said yes."""

    farmer_id: int
    farmer: str
    district: str
    plants: int
    grams: int
    picked_on: date
    at: datetime


@dataclass(frozen=True, kw_only=True, slots=True)
class TextInDoubt:
    """A text of which nobody knows whether it was sent."""

    farmer_id: int | None
    farmer: str | None
    last3: str
    kind: str
    text: str
    since: datetime


@dataclass(frozen=True, kw_only=True, slots=True)
class Waiting:
    """All that needs a person: the first few of each list, and how many there are in all."""

    questions: tuple[Question, ...]
    weights: tuple[DoubtfulWeight, ...]
    doubts: tuple[TextInDoubt, ...]
    question_count: int
    weight_count: int
    doubt_count: int
    failed_count: int

    @property
    def total(self) -> int:
        """How many things need a person."""
        return self.question_count + self.weight_count + self.doubt_count + self.failed_count


@dataclass(frozen=True, kw_only=True, slots=True)
class SilentLine:
    """A farmer of whom nothing has been heard for long.

    Attributes:
        heard_at: when they last texted; of one who never has, since when they are here.
    """

    id: int
    name: str
    district: str
    village: str | None
    heard_at: datetime
    never: bool


@dataclass(frozen=True, kw_only=True, slots=True)
class Cohort:
    """How many live plots were planted on one day."""

    planted_on: date
    plots: int


@dataclass(frozen=True, kw_only=True, slots=True)
class PlotLine:
    """A plot as the list of farmers shows it."""

    id: int
    farmer_id: int
    planted_on: date
    plants: int
    live: bool
    last_grams: int | None = None
    last_picked_on: date | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class FarmerLine:
    """A farmer as the list shows them, with their plots, the newest first."""

    id: int
    name: str
    district: str
    village: str | None
    group: str | None
    language: str
    state: str
    plots: tuple[PlotLine, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class Search:
    """What is looked for in the register; what is empty or None is not asked for.

    Attributes:
        words: folded, each a part of the name, or of village, group or district.
        paused_at: whose texts rest at that moment.
        ends: the last digits of a phone of theirs, three at most: no more is kept in clear.
        planted: first and last planting day, both included; None leaves that end open.
        page: counts from 1.
        size: farmers a page.
    """

    words: tuple[str, ...] = ()
    ends: str = ""
    district: int | None = None
    village: int | None = None
    group: int | None = None
    state: str = ""
    paused_at: datetime | None = None
    language: str = ""
    planted: tuple[date | None, date | None] | None = None
    page: int = 1
    size: int = 50


@dataclass(frozen=True, kw_only=True, slots=True)
class Holder:
    """A farmer whom a phone speaks for, and where they live."""

    id: int
    name: str
    village: str | None
    district: str


@dataclass(frozen=True, kw_only=True, slots=True)
class FarmerPage:
    """One page of the list, and how many farmers the whole list has."""

    lines: tuple[FarmerLine, ...]
    total: int


@dataclass(frozen=True, kw_only=True, slots=True)
class PhoneFacts:
    """A phone of a farmer's, or one that was asked whether it is; only its last digits are ever shown."""

    id: int
    last3: str
    role: str
    preferred: bool
    since: datetime
    until: datetime | None
    stopped: bool


@dataclass(frozen=True, kw_only=True, slots=True)
class ConsentFacts:
    """What was asked or answered last about being texted; `officer` went that way, if one did."""

    answer: str
    way: str
    at: datetime
    last3: str
    officer: str | None


@dataclass(frozen=True, kw_only=True, slots=True)
class FarmerFacts:
    """What is known of a farmer; `sharing` are the others whom their phones speak for."""

    id: int
    name: str
    language: str
    district_id: int
    district: str
    village: str | None
    group: str | None
    zone: str
    state: str
    pending_until: datetime | None
    text_hour: int
    added_at: datetime
    paused_until: datetime | None
    held_out: bool
    phones: tuple[PhoneFacts, ...]
    sharing: tuple[str, ...]
    consent: ConsentFacts | None


@dataclass(frozen=True, kw_only=True, slots=True)
class PlotFacts:
    """One stand of plants. Weekdays count from Monday, 0; sets of weekdays are bit masks."""

    id: int
    revision: int
    planted_on: date
    precision: str
    plants: int
    mulch_kind: str | None
    traits: int
    elevation_m: int | None
    zone: str
    calendar_id: str
    text_day: int
    picking_text_day: int
    pick_days: int
    prompt_days: int
    picking_early: bool
    live: bool
    closed_on: date | None
    collection_id: int | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class PastReminder:
    """A task that fell due. `ordinal` tells which occurrence of the task it was, from 0."""

    due_on: date
    task: str
    ordinal: int
    state: str
    why: str | None
    answer: str | None
    sent: str | None


@dataclass(frozen=True, kw_only=True, slots=True)
class Weight:
    """A weight as it was told.

    `state` says whether it counts, `in_hold` whether a spray forbade the picking, `officer` who entered it if no text
    brought it.
    """

    id: int
    picked_on: date
    grams: int
    state: str
    at: datetime
    in_hold: bool = False
    officer: str | None = None


class Way(StrEnum):
    """Which way a text went."""

    IN = "in"
    OUT = "out"


@dataclass(frozen=True, kw_only=True, slots=True)
class Said:
    """One text, either way. `reading` is how a text that came in was read, and why."""

    way: Way
    at: datetime
    text: str
    state: str
    kind: str | None = None
    parts: int | None = None
    why: str | None = None
    reading: Mapping[str, object] | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class TextedIn:
    """A text that came in from one phone, with the network's reference for it."""

    ref: str
    at: datetime
    text: str
