"""The outbox of a village as its tests use it: texts put in by hand, and a gateway that answers as it is told."""

from collections import deque
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from itertools import count
from typing import Any

from scheduler.sender import Sender
from service.core.gateway import Accepted, Event, Health, Limits, OutgoingText, Progress, Refused, Stage
from service.core.kinds import KINDS
from service.core.model import Claimed, NewMessage
from service.core.phone import read_number
from service.use_cases import resending, sending
from service.use_cases.receipts import take_receipt
from tests.village import ZONE, Village

Key = tuple[date, int]


@dataclass
class ScriptedGateway:
    """A gateway that answers the next text with the next thing in its script, and accepts when that is empty.

    Whatever is callable in the script is called with the text and its result, or error, is the answer.
    """

    script: deque[Any] = field(default_factory=deque)
    sent: list[OutgoingText] = field(default_factory=list)
    name: str = "simulator"
    limits: Limits = field(default_factory=lambda: Limits(per_second=1000.0, window=8))

    def send(self, text: OutgoingText) -> Accepted | Refused:
        """Answer as the script says."""
        self.sent.append(text)
        answer = self.script.popleft() if self.script else None
        if callable(answer) and not isinstance(answer, type):
            answer = answer(text)
        if isinstance(answer, Exception):
            raise answer
        if isinstance(answer, Refused):
            return answer
        return Accepted(gateway_ref=f"network-{len(self.sent)}", parts=1)

    def events(self, limit: int) -> tuple[Event, ...]:
        """Return nothing: receipts are handed in by hand."""
        return ()

    def acknowledge(self, event_ids: Iterable[str]) -> None:
        """Forget nothing."""

    def health(self) -> Health:
        """Be well."""
        return Health(up=True, detail="as scripted")

    def close(self) -> None:
        """Let go of nothing."""


@dataclass
class Postroom:
    """Puts texts into a village's outbox and looks at what becomes of them."""

    village: Village
    gateway: ScriptedGateway = field(default_factory=ScriptedGateway)
    sender: Sender = field(init=False)
    _numbers: Any = field(default_factory=lambda: count(1))

    def __post_init__(self) -> None:
        """Put a sender before the scripted gateway."""
        self.sender = self.new_sender()

    def new_sender(self) -> Sender:
        """Return a sender as a new process has it: it remembers nothing."""
        village = self.village
        return Sender(village.database, village.tools, self.gateway, village.clock, window=8, per_second=1000)

    @property
    def now(self) -> datetime:
        """The instant of the village's clock."""
        return self.village.clock.now()

    def wait(self, **time: float) -> None:
        """Let time pass; nothing else happens."""
        self.village.clock.advance(timedelta(**time))

    def phone(self) -> int:
        """Return the id of a new phone."""
        return self.phone_of(self.village.phone().number)

    def phone_of(self, number: str) -> int:
        """Return the id of the phone with that number."""
        with self.village.database.work() as work:
            phone_id = work.people.phone_for(read_number(number, "TZ"), self.now)
            work.commit()
        return phone_id

    def put(self, *, kind: str = "reminder", phone_id: int | None = None, **given: object) -> Key:
        """Queue one text and return its key; what is not given is invented."""
        (key,) = self.put_all([{"kind": kind, "phone_id": phone_id or self.phone(), **given}])
        return key

    def put_all(self, texts: Iterable[dict[str, object]]) -> list[Key]:
        """Queue texts in one transaction and return their keys."""
        messages = [self.message(given) for given in texts]
        with self.village.database.work() as work:
            work.outbox.queue(messages, gateway=self.gateway.name, kinds=KINDS, at=self.now)
            work.commit()
        return [(one.queued_on, one.id) for one in messages]

    def message(self, given: dict[str, Any]) -> NewMessage:
        """Return a text that is not queued yet; what is not given is invented."""
        number = next(self._numbers)
        not_before = given.get("not_before", self.now)
        values: dict[str, Any] = {
            "id": number,
            "queued_on": date(2026, 11, 25),
            "idem_key": f"test:{number}",
            "farmer_id": None,
            "language": "en",
            "text_id": "help",
            "text": f"Text number {number}.",
            "parts": 1,
            "zone": ZONE,
            "not_before": not_before,
            "expires_at": not_before + KINDS[given["kind"]].useful_for,
        }
        return NewMessage(**{**values, **given})

    def row(self, key: Key) -> dict[str, Any]:
        """Return all that is stored of a text."""
        return self.village.row(
            "SELECT * FROM message WHERE queued_on = :day AND id = :id", day=key[0], id=key[1]
        )

    def state(self, key: Key) -> str:
        """Return where a text stands."""
        return str(self.row(key)["state"])

    def outcomes(self, key: Key) -> list[str | None]:
        """Return what came of each try at a text, oldest first."""
        rows = self.village.rows(
            "SELECT outcome FROM attempt WHERE message_day = :day AND message_id = :id ORDER BY began_at, reference",
            day=key[0],
            id=key[1],
        )
        return [None if row["outcome"] is None else str(row["outcome"]) for row in rows]

    def claim(self, most: int = 8) -> tuple[Claimed, ...]:
        """Claim as the sender does, and send nothing."""
        with self.village.database.work() as work:
            return sending.claim(work, self.village.tools, self.now, most)

    def progress(
        self, stage: Stage, *, gateway_ref: str, our_ref: str | None = None, event_id: str | None = None
    ) -> Progress:
        """Return a receipt."""
        return Progress(
            event_id=event_id or f"event-{next(self._numbers)}",
            our_ref=our_ref,
            gateway_ref=gateway_ref,
            stage=stage,
            code=stage.value,
            at=self.now,
            final=stage not in {Stage.ACCEPTED, Stage.ENROUTE},
        )

    def hear(
        self, stage: Stage, *, gateway_ref: str, our_ref: str | None = None, event_id: str | None = None
    ) -> None:
        """Take in a receipt."""
        event = self.progress(stage, gateway_ref=gateway_ref, our_ref=our_ref, event_id=event_id)
        with self.village.database.work() as work:
            take_receipt(work, self.gateway.name, event, self.now)
            work.commit()

    def settle_doubts(self) -> int:
        """Do what each tick does about texts in doubt."""
        with self.village.database.work() as work:
            return resending.settle_doubts(work, self.now)

    def stop(self, phone_id: int) -> None:
        """Put a phone on the stop list, and leave its texts as they are: as a STOP that races them does."""
        with self.village.database.work() as work:
            work.people.stop(phone_id, self.now)
            work.commit()

    def states(self) -> dict[str, int]:
        """Return how many texts stand in each state."""
        rows = self.village.rows("SELECT state, count(*) AS texts FROM message GROUP BY state")
        return {str(row["state"]): int(str(row["texts"])) for row in rows}
