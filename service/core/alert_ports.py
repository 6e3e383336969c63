"""What the use cases of alerts ask of the database, with the values that go to and fro."""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, Protocol, Unpack

from service.core.alert_states import ENDED, AlertState
from service.core.alerts import Alert, Answer, Audience, Reach
from service.core.columns import AlertChange
from service.core.kinds import Kind, MessageState
from service.core.rights import Role


@dataclass(frozen=True, kw_only=True, slots=True)
class AlertLine:
    """An alert as a list shows it.

    Attributes:
        values: what its form was filled with.
        left: whether a text of it has left, or may have.
    """

    id: int
    template: str | None
    kind: str
    state: str
    made_at: datetime
    send_at: datetime
    useless_after: datetime
    why: str | None
    officer: str
    values: Mapping[str, Any]
    districts: tuple[str, ...]
    left: bool

    @property
    def came_to_nothing(self) -> bool:
        """Return whether it is over and no text of it has left."""
        return self.state in ENDED and not self.left


@dataclass(frozen=True, kw_only=True, slots=True)
class Writer:
    """An officer as one who stands for an alert; `districts` is None for all there are."""

    name: str
    role: Role
    active: bool
    districts: frozenset[int] | None


@dataclass(frozen=True, kw_only=True, slots=True)
class Answered:
    """A farmer who answered an alert."""

    farmer_id: int
    name: str
    district: str
    last3: str
    at: datetime


@dataclass(frozen=True, kw_only=True, slots=True)
class OtherAlerts:
    """The other alerts that keep a phone from one: those of `kinds` on the local day from `begins` to `ends`."""

    kinds: tuple[str, ...]
    day: date
    begins: datetime
    ends: datetime


@dataclass(frozen=True, kw_only=True, slots=True)
class Touch:
    """Another alert of that day and how many phones of an audience it has, or will have, texted.

    Attributes:
        phones: those it has texted or will text.
        waiting: those of them whose text has not left yet.
        at: when the first of its texts left, or may leave.
    """

    alert_id: int
    phones: int
    waiting: int
    at: datetime


@dataclass(frozen=True, kw_only=True, slots=True)
class Tally:
    """How many phones of one alert stand alike.

    Attributes:
        state: that of their messages; None for those without one.
        closed: whether they are in doubt and are not sent again.
    """

    excluded: str | None
    answer: str | None
    state: MessageState | None
    closed: bool
    phones: int


@dataclass(frozen=True, kw_only=True, slots=True)
class Stretch:
    """Recipients that become messages in one statement, and what these have in common.

    Attributes:
        first_turn: the first recipient's; the last one's is `last_turn`.
        first_id: the first message's; the others follow in turn.
        day: the local day the messages belong to.
        not_before: by time zone of the farmer's district.
        opens: the question the texts ask, as the outbox keeps it.
    """

    alert_id: int
    first_turn: int
    last_turn: int
    first_id: int
    day: date
    text_id: str
    not_before: Mapping[str, datetime]
    expires_at: datetime
    opens: Mapping[str, Any] | None


class AlertRows(Protocol):
    """Alerts, their texts and their states."""

    def add(self, new: Alert) -> bool: ...
    def replace(self, changed: Alert) -> None: ...
    def get(self, alert_id: int) -> Alert | None: ...
    def look(self, alert_id: int) -> Alert | None: ...
    def the(self, alert_id: int) -> Alert: ...
    def by_key(self, idem_key: str) -> Alert | None: ...
    def set_state(self, alert_id: int, state: AlertState, **values: Unpack[AlertChange]) -> None: ...
    def running(self, states: Iterable[AlertState]) -> tuple[int, ...]: ...
    def scheduled_by(self, officer_id: int) -> tuple[int, ...]: ...
    def lines(self, districts: Collection[int] | None, limit: int) -> tuple[AlertLine, ...]: ...
    def writer(self, officer_id: int) -> Writer: ...
    def hold(self, alert_id: int, until: datetime) -> None: ...
    def release(self, alert_id: int, now: datetime) -> None: ...
    def end_due(self, alert_id: int, state: MessageState, why: str, now: datetime) -> None: ...
    def withdraw(self, phone_id: int, now: datetime) -> None: ...
    def answer(self, alert_id: int, phone_id: int, answer: Answer | str, at: datetime) -> None: ...
    def answered(self, alert_id: int, answer: Answer, limit: int) -> tuple[Answered, ...]: ...
    def queue_ahead(self, priority: int, now: datetime) -> int: ...


class RecipientRows(Protocol):
    """Whom alerts go to."""

    def reach(self, audience: Audience, *, others: OtherAlerts, now: datetime) -> Reach: ...
    def touched(self, audience: Audience, *, others: OtherAlerts, now: datetime) -> tuple[Touch, ...]: ...
    def write_down(
        self,
        alert_id: int,
        audience: Audience,
        *,
        languages: Collection[str],
        others: OtherAlerts,
        now: datetime,
    ) -> int: ...
    def withhold(self, alert_id: int, others: OtherAlerts) -> None: ...
    def unwritten(self, alert_id: int) -> tuple[int, int] | None: ...
    def write(self, stretch: Stretch, *, kind: Kind, gateway: str, now: datetime) -> None: ...
    def tally(self, alert_id: int) -> tuple[Tally, ...]: ...
