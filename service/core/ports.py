"""What the use cases ask of the database: the fewest methods that work, by what they are about.

`service.db` keeps these promises on SQLite and on PostgreSQL, and one suite of tests runs over both; SQLite in
memory is the twin that tests use where no file is needed. The gateway's port is `service.core.gateway`.
"""

from collections.abc import Iterable, Mapping, Sequence
from datetime import date, datetime
from typing import Any, Protocol

from flows.facts import FarmerState, Weights
from flows.states import Conversation
from service.core.gateway import Progress
from service.core.kinds import Kind, MessageState
from service.core.model import (
    Candidate,
    District,
    Doubt,
    HarvestState,
    Inbound,
    InboundState,
    NewMessage,
    PersonOnPhone,
    Picked,
    Plot,
    Reminder,
    ReminderKey,
    ReminderState,
)
from service.core.phone import PhoneNumber


class People(Protocol):
    """Phones, farmers, districts, consent and the stop list."""

    def phone_for(self, number: PhoneNumber, now: datetime) -> int: ...
    def on_phone(self, phone_id: int) -> tuple[PersonOnPhone, ...]: ...
    def has_stopped(self, phone_id: int) -> bool: ...
    def stop(self, phone_id: int, now: datetime) -> None: ...
    def unstop(self, phone_id: int) -> None: ...
    def districts(self) -> tuple[District, ...]: ...
    def add_farmer(
        self,
        *,
        id: int,  # noqa: A002 - the column's name
        name: str,
        language: str,
        district_id: int,
        state: FarmerState,
        now: datetime,
        pending_until: datetime | None,
    ) -> None: ...
    def link_phone(
        self, farmer_id: int, phone_id: int, *, role: str, preferred: bool, now: datetime
    ) -> None: ...
    def set_state(self, farmer_id: int, state: FarmerState) -> None: ...
    def forget(self, farmer_id: int) -> None: ...
    def add_consent(
        self,
        *,
        id: int,  # noqa: A002 - the column's name
        phone_id: int,
        farmer_id: int,
        answer: str,
        text_id: str | None,
        text_shown: str | None,
        inbound_id: int,
        at: datetime,
        on_day: date,
    ) -> None: ...


class Plots(Protocol):
    """Plots and their changes."""

    def add(self, **values: Any) -> int: ...
    def get(self, plot_id: int) -> Plot | None: ...
    def of_farmer(self, farmer_id: int) -> tuple[Plot, ...]: ...
    def set(self, plot_id: int, **values: Any) -> None: ...
    def set_live(self, farmer_id: int, *, live: bool) -> None: ...
    def keep_change(
        self,
        *,
        id: int,  # noqa: A002 - the column's name
        plot_id: int,
        at: datetime,
        who: str,
        before: Mapping[str, Any],
        after: Mapping[str, Any],
    ) -> None: ...


class Planning(Protocol):
    """Reminders of one plot; whole days are planned by the scheduler, set by set."""

    def insert_for_plot(
        self, day: date, plot_id: int, revision: int, due: Iterable[tuple[str, int]]
    ) -> None: ...


class Reminders(Protocol):
    """Reminders as a farmer's jobs."""

    def open_for(self, farmer_id: int, on: date, since: date) -> tuple[Reminder, ...]: ...
    def place(self, farmer_id: int, places: Sequence[tuple[ReminderKey, int]]) -> None: ...
    def mark_answered(self, key: ReminderKey, answer: str, at: datetime) -> None: ...
    def add_done(self, **values: Any) -> None: ...
    def last_done(
        self, plot_ids: Sequence[int], since: datetime
    ) -> tuple[int, Reminder, datetime] | None: ...
    def undo_done(self, report_id: int, inbound_id: int) -> None: ...
    def end_waiting(self, plot_id: int, state: ReminderState, why: str) -> None: ...
    def add_scout(self, **values: Any) -> None: ...


class Harvests(Protocol):
    """Weights."""

    def weights(self, plot_id: int, on: date) -> Weights: ...
    def add(
        self,
        *,
        id: int,  # noqa: A002 - the column's name
        plot_id: int,
        picked_on: date,
        grams: int,
        state: HarvestState,
        inbound_id: int,
        phone_id: int,
        at: datetime,
    ) -> None: ...
    def count(self, harvest_id: int, grams: int) -> tuple[int, date] | None: ...
    def void(self, harvest_id: int, inbound_id: int) -> None: ...
    def void_day(self, plot_id: int, on: date, inbound_id: int) -> None: ...
    def last_saved(self, phone_id: int, since: datetime) -> tuple[int, int, date, int, datetime] | None: ...
    def picked_since(self, plot_id: int, since: date) -> tuple[Picked, ...]: ...


class Inbox(Protocol):
    """Texts that came in."""

    def seen(self, gateway: str, ref: str, inbound_id: int, at: datetime) -> bool: ...
    def add(self, **values: Any) -> None: ...
    def same_text_since(self, phone_id: int, text_hash: bytes, since: datetime) -> bool: ...
    def unread(self, most: int) -> tuple[Inbound, ...]: ...
    def mark_read(self, inbound_id: int, read: Mapping[str, Any], farmer_id: int | None) -> None: ...
    def mark_tried(self, inbound_id: int, state: InboundState) -> None: ...


class Talks(Protocol):
    """Conversations and questions."""

    def open_on(self, phone_id: int, now: datetime) -> Conversation: ...
    def put(self, phone_id: int, talk: Conversation, *, asked_by: str, expires_at: datetime) -> None: ...
    def code_is_free(self, code: str) -> bool: ...
    def add_question(self, **values: Any) -> None: ...


class Outbox(Protocol):
    """Texts on their way out."""

    def queue(
        self, messages: Iterable[NewMessage], *, gateway: str, kinds: Mapping[str, Kind], at: datetime
    ) -> int: ...
    def candidates(self, now: datetime, priority: int, most: int) -> tuple[Candidate, ...]: ...
    def begin_attempt(
        self, key: tuple[date, int], number: int, reference: str, gateway: str, at: datetime
    ) -> str: ...
    def end_attempt(
        self,
        reference: str,
        outcome: str,
        at: datetime,
        *,
        code: str | None = None,
        gateway_ref: str | None = None,
    ) -> None: ...
    def set_state(
        self,
        key: tuple[date, int],
        state: MessageState,
        at: datetime,
        *,
        why: str | None = None,
        not_before: datetime | None = None,
        more_tries: int = 0,
        more_doubts: int = 0,
    ) -> None: ...
    def state_of(self, key: tuple[date, int]) -> MessageState: ...
    def doubt_all_submitting(self, at: datetime) -> int: ...
    def in_doubt(self) -> tuple[Doubt, ...]: ...
    def keep_receipt(self, gateway: str, event: Progress, stored_at: datetime) -> tuple[date, int] | None: ...
    def parked_stages(self, gateway: str, gateway_ref: str, key: tuple[date, int]) -> tuple[str, ...]: ...
    def cancel_pushed(self, phone_id: int, at: datetime) -> None: ...


class Work(Protocol):
    """One transaction: what is not committed is undone."""

    @property
    def people(self) -> People: ...
    @property
    def plots(self) -> Plots: ...
    @property
    def planning(self) -> Planning: ...
    @property
    def reminders(self) -> Reminders: ...
    @property
    def harvests(self) -> Harvests: ...
    @property
    def inbox(self) -> Inbox: ...
    @property
    def talks(self) -> Talks: ...
    @property
    def outbox(self) -> Outbox: ...
    def commit(self) -> None: ...
