"""A STOP races the text it is against: once it is committed, only what was claimed already may still leave."""

import threading
from dataclasses import dataclass, field
from random import Random  # noqa: TID251 - seeded, for a test

import pytest

from scheduler.sender import Sender
from service.core.gateway import Accepted, InboundText, OutgoingText, Refused
from service.use_cases.receiving import store
from tests.depth import times
from tests.postroom import Postroom, ScriptedGateway
from tests.village import SERVICE_NUMBER, Village

pytestmark = pytest.mark.slow

WINDOW = 8
RACES = times(125, each=25)
# Texts that may leave while one STOP is taken in; its phone is some places ahead of the text on the wire.
LET_GO = 4
AHEAD = 16
TEXTS = RACES * LET_GO + AHEAD
PATIENCE = 20


@dataclass
class Gate(ScriptedGateway):
    """A gateway that lets our texts through one by one, as it is told; answers go through at once."""

    permits: threading.Semaphore = field(default_factory=lambda: threading.Semaphore(0))
    pushed: list[str] = field(default_factory=list)

    def send(self, text: OutgoingText) -> Accepted | Refused:
        """Wait to be told, and remember to whom a text of ours went."""
        if text.text.startswith("Text number"):
            assert self.permits.acquire(timeout=PATIENCE)
            self.pushed.append(text.destination)
        return super().send(text)


class Race:
    """Texts leave on one thread, and on another their phones say stop."""

    def __init__(self, village: Village, seed: int) -> None:
        """Queue a text for each of many phones."""
        self.village = village
        self.gate = Gate()
        self.postroom = Postroom(village, gateway=self.gate)
        self.luck = Random(seed)  # noqa: S311 - luck, not secrets
        self.numbers = [f"+25562100{place:04d}" for place in range(TEXTS)]
        self.postroom.put_all(
            {"kind": "reminder", "phone_id": self.postroom.phone_of(number)} for number in self.numbers
        )
        # How many texts had left when a phone's STOP was known to be committed.
        self.left_at_stop: dict[str, int] = {}

    def run(self) -> None:
        """Send and stop at once, then let the rest leave."""
        village = self.village
        sender = Sender(
            village.database, village.tools, self.gate, village.clock, window=WINDOW, per_second=1e6
        )
        sending = threading.Thread(target=sender.run)
        sending.start()
        for _ in range(RACES):
            self.stop(self.chosen())
        self.gate.permits.release(TEXTS)
        while village.rows("SELECT id FROM message WHERE state IN ('due', 'submitting') LIMIT 1"):
            sending.join(0.05)
        sender.stop()
        sending.join(PATIENCE)

    def chosen(self) -> str:
        """Return a phone whose text is about to leave."""
        place = self.numbers.index(self.gate.pushed[-1]) + 1 if self.gate.pushed else 0
        near = [number for number in self.numbers[place:] if number not in self.left_at_stop]
        return self.luck.choice(near[:AHEAD])

    def stop(self, number: str) -> None:
        """Let some texts leave, and the phone say stop meanwhile, as a gateway hands it over."""
        now = self.postroom.now
        event = InboundText(
            event_id=number,
            message_ref=number,
            source=number,
            destination=SERVICE_NUMBER,
            text="STOP",
            received_at=now,
        )
        self.gate.permits.release(self.luck.randint(1, LET_GO))
        with self.village.database.work() as work:
            store(work, self.village.tools, event, now, now)
            work.commit()
        self.village.receiver.answer_all()
        self.left_at_stop[number] = len(self.gate.pushed)


@pytest.mark.parametrize("seed", [1, 2, 3, 4])
def test_no_text_is_claimed_for_a_phone_that_has_stopped(village: Village, seed: int) -> None:
    """In a thousand races, over seeds and engines, no text leaves but those claimed when STOP was committed."""
    race = Race(village, seed)
    race.run()

    places = {number: place for place, number in enumerate(race.gate.pushed)}
    stopped = race.left_at_stop
    late = {number for number, left in stopped.items() if places.get(number, -1) >= left + WINDOW}
    assert set() == late
    assert RACES == len(stopped)
    assert set(stopped) & set(places), "some text was to be quicker than its STOP"
    assert set(stopped) - set(places), "some STOP was to be quicker than its text"
    assert set(race.numbers) == set(places) | set(stopped)
    assert len(places) == len(race.gate.pushed)
