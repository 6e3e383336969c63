"""What the use cases hand to each other: plain values, units in the names or the docstrings."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum

from flows.facts import FarmerState
from service.core.alert_states import AlertState


class HarvestState(StrEnum):
    """Whether a weight counts."""

    COUNTED = "counted"
    IN_QUESTION = "in_question"
    VOIDED = "voided"


class ReminderState(StrEnum):
    """Where a reminder stands; all but DUE and TEXTED are its end."""

    DUE = "due"
    TEXTED = "texted"
    ANSWERED = "answered"
    DROPPED = "dropped"
    CANCELLED = "cancelled"


class InboundState(StrEnum):
    """Where a text that came in stands."""

    STORED = "stored"
    READ = "read"
    CORRUPT = "corrupt"
    LOOKED_AT = "looked_at"
    """Could not be read, and an officer has seen it."""


@dataclass(frozen=True, kw_only=True, slots=True)
class District:
    """A district, and what its farmers' days depend on; `latitude` in tenths of a degree, south negative."""

    id: int
    name: str
    zone: str
    elevation_m: int | None
    latitude: int | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class PersonOnPhone:
    """A farmer this phone speaks for; `added_by` is the officer who added them, if one did.

    `asked` says that the phone was only asked whether it is theirs: the farmer is pending here, and only here.
    """

    id: int
    name: str
    language: str
    state: FarmerState
    zone: str
    preferred: bool
    district: str
    added_at: datetime
    added_by: str | None
    paused_until: datetime | None
    asked: bool = False
    held_out: bool = False


@dataclass(frozen=True, kw_only=True, slots=True)
class Plot:
    """One stand of plants. Weekdays count from Monday, 0; sets of them are bit masks.

    Attributes:
        traits: plant type, stock, mulch, water method and mother rows as `service.agronomy.traits` puts them in bits.
        collection_id: the collection whose evenings before are the prompt days, None where there is none.
    """

    id: int
    farmer_id: int
    planted_on: date
    precision: str
    plants: int
    plant_type: str | None
    stock: str | None
    mulch_kind: str | None
    water_method: str | None
    mother_rows: str | None
    traits: int
    bed_width_cm: int | None
    path_width_cm: int | None
    bed_rows: int | None
    spacing_cm: int | None
    elevation_m: int | None
    zone: str
    calendar_id: str
    revision: int
    text_day: int
    picking_text_day: int
    pick_days: int
    prompt_days: int
    picking_early: bool
    live: bool
    closed_on: date | None
    collection_id: int | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class ReminderKey:
    """Names one reminder."""

    due_on: date
    task: str
    plot_id: int
    revision: int

    def __str__(self) -> str:
        """Return the key as one word, for the conversation's data."""
        return f"{self.due_on.isoformat()}/{self.task}/{self.plot_id}/{self.revision}"

    @classmethod
    def parse(cls, word: str) -> "ReminderKey":
        """Read what `str` wrote.

        Raises:
            ValueError: it is no such word.
        """
        day, task, plot_id, revision = word.split("/")
        return cls(due_on=date.fromisoformat(day), task=task, plot_id=int(plot_id), revision=int(revision))


def keys_word(keys: Iterable[ReminderKey]) -> str:
    """Return several keys as one word: a job in a list may stand for one task on several plots."""
    return "+".join(str(key) for key in keys)


def parse_keys(word: str) -> tuple[ReminderKey, ...]:
    """Read what `keys_word` wrote."""
    return tuple(ReminderKey.parse(part) for part in word.split("+"))


@dataclass(frozen=True, kw_only=True, slots=True)
class Reminder:
    """One task due for one plot on one day; `traits` are the plot's."""

    key: ReminderKey
    ordinal: int
    state: ReminderState
    place: int | None
    planted_on: date
    traits: int
    mulch_kind: str | None
    elevation_m: int | None
    plants: int = 0


@dataclass(frozen=True, kw_only=True, slots=True)
class Picked:
    """One weight that counts, in grams."""

    on: date
    grams: int


@dataclass(frozen=True, kw_only=True, slots=True)
class Inbound:
    """A text that came in and waits to be read."""

    id: int
    phone_id: int
    gateway: str
    text: str
    received_at: datetime
    tries: int
    text_hash: bytes = b""
    incomplete: bool = False


@dataclass(frozen=True, kw_only=True, slots=True)
class NewMessage:
    """A text to be queued. `opens` is the question it opens on the phone when it leaves."""

    id: int
    queued_on: date
    idem_key: str
    kind: str
    phone_id: int
    farmer_id: int | None
    language: str
    text_id: str
    text: str
    parts: int
    zone: str
    not_before: datetime
    expires_at: datetime
    inbound_id: int | None = None
    opens: dict[str, object] | None = None
    alert_id: int | None = None
    arm: str | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class Candidate:
    """A text whose time has come, with what decides whether it may leave now.

    `officer_id` is whose alert it is of, if it is of one; `alert_open_until` is until when an alert waits for the
    phone's answer, if one does; `farmer_stopped` is whether the farmer it is for has ended all texts, on whatever phone.
    """

    queued_on: date
    id: int
    kind: str
    phone_id: int
    farmer_id: int | None
    destination: str
    text: str
    zone: str
    tries: int
    expires_at: datetime
    stopped: bool
    choosing_stop: bool
    opens: Mapping[str, object] | None
    alert_open_until: datetime | None = None
    alert_id: int | None = None
    alert_state: AlertState | None = None
    officer_id: int | None = None
    parts: int = 1
    doubts: int = 0
    farmer_stopped: bool = False

    def __repr__(self) -> str:
        """Never show number or text."""
        return f"Candidate({self.id}, {self.kind})"


@dataclass(frozen=True, kw_only=True, slots=True)
class Claimed:
    """A text taken for sending: committed as submitting under `reference` before a byte leaves.

    Attributes:
        reference: names this try.
        our_ref: what the network is told, the same for every try at the text.
        tries: how many there have been with this one.
        valid_until: from then on it may neither leave nor be delivered.
        scopes: the purses in which its parts are reserved; none if it is not paid from the budget.
        paid_on: the day in whose purses they are.
        doubts: how many tries before this one may have left.
    """

    queued_on: date
    id: int
    kind: str
    reference: str
    our_ref: str
    destination: str
    text: str
    tries: int
    valid_until: datetime
    paid_on: date
    parts: int = 1
    scopes: tuple[str, ...] = ()
    doubts: int = 0

    def __repr__(self) -> str:
        """Never show number or text."""
        return f"Claimed({self.id}, {self.kind}, {self.reference})"
