"""What makes the worker wait: its clock, its disk, and what a hold then lets through."""

from dataclasses import dataclass, field
from datetime import timedelta
from pathlib import Path
from types import SimpleNamespace
from typing import Any, cast

import pytest

from scheduler.minding import Minding
from scheduler.sender import Sender
from service.bootstrap import House
from service.clock import HandClock
from service.journal import FileJournal
from service.space import RESERVE_BYTES, Room
from service.use_cases.holding import HoldReason, begin_hold, end_disk_hold, release_hold, the_hold
from tests.postroom import Postroom
from tests.village import START, Village

MEGABYTE = 1024 * 1024
LEAST = 64 * MEGABYTE


@dataclass
class Machine:
    """A worker's minding, on a machine whose clocks and disk are moved by hand."""

    village: Village
    folder: Path
    free: int = 10**9
    demo: bool = False
    steady: HandClock = field(default_factory=lambda: HandClock(START))
    minding: Minding = field(init=False)
    room: Room = field(init=False)
    postroom: Postroom = field(init=False)

    def __post_init__(self) -> None:
        """Put the machine together."""
        self.room = Room(self.folder, LEAST, free=lambda: self.free)
        self.postroom = Postroom(self.village)
        self.minding = Minding(self._house())
        self.postroom.sender = Sender(
            self.village.database,
            self.village.tools,
            self.postroom.gateway,
            self.village.clock,
            window=8,
            per_second=1000,
            glance=self.minding.glance,
        )

    def _house(self) -> House:
        """Return as much of a house as is minded."""
        parts: dict[str, Any] = {
            "settings": SimpleNamespace(demo=self.demo, journal=self.folder / "journal"),
            "database": self.village.database,
            "real_clock": self.village.clock,
            "service_clock": self.village.clock,
            "steady_clock": self.steady,
            "journal": FileJournal(self.folder / "journal"),
            "room": self.room,
        }
        return cast("House", SimpleNamespace(**parts))

    def pass_time(self, *, clock: timedelta, steady: timedelta) -> None:
        """Let the two clocks go on, each by its own amount."""
        self.village.clock.advance(clock)
        self.steady.advance(steady)

    @property
    def held(self) -> HoldReason | None:
        """Why texts wait, if they do."""
        with self.village.database.look() as work:
            hold = the_hold(work)
        return hold.reason if hold else None

    def sent(self) -> list[str]:
        """Send what may leave; return the kinds of what did."""
        before = len(self.postroom.gateway.sent)
        self.postroom.sender.drain()
        return [one.text for one in self.postroom.gateway.sent[before:]]


@pytest.fixture
def machine(village: Village, tmp_path: Path) -> Machine:
    """A machine on which all is well."""
    made = Machine(village=village, folder=tmp_path)
    assert made.minding.tick()
    return made


def one_of_each(machine: Machine) -> None:
    """Queue an emergency answer, an answer and a reminder, all due."""
    for kind in ("emergency", "reply", "reminder"):
        machine.postroom.put(
            kind=kind, text=kind, expires_at=machine.village.clock.now() + timedelta(hours=5)
        )


HALF_MINUTE = timedelta(seconds=30)
JUMPS = {
    "forward": timedelta(hours=1),
    "back": timedelta(hours=-1),
}


@pytest.mark.parametrize("jump", JUMPS.values(), ids=JUMPS)
def test_after_a_jump_of_the_clock_nothing_is_pushed_until_a_person_says_so(
    machine: Machine, jump: timedelta
) -> None:
    """The jump falls between two ticks: the claim itself sees it. Answers go, and nothing is planned meanwhile."""
    machine.pass_time(clock=jump, steady=HALF_MINUTE)
    one_of_each(machine)

    first = machine.sent()
    trusted = machine.minding.tick()
    held = machine.held
    with machine.village.database.work() as work:
        release_hold(work, None, machine.village.clock.now())

    assert ["emergency", "reply"] == first
    assert (False, HoldReason.CLOCK) == (trusted, held)
    assert ["reminder"] == machine.sent()
    assert machine.minding.tick()


def test_time_that_has_really_passed_holds_nothing(machine: Machine) -> None:
    """A machine that slept for hours goes on."""
    machine.pass_time(clock=timedelta(hours=3), steady=timedelta(hours=3))
    one_of_each(machine)

    assert ["emergency", "reply", "reminder"] == machine.sent()
    assert machine.held is None


def test_the_demo_minds_no_clock(village: Village, tmp_path: Path) -> None:
    """Its clock is moved on purpose."""
    demo = Machine(village=village, folder=tmp_path, demo=True)
    assert demo.minding.tick()
    demo.pass_time(clock=timedelta(hours=1), steady=HALF_MINUTE)
    one_of_each(demo)

    assert ["emergency", "reply", "reminder"] == demo.sent()


def test_while_the_disk_is_nearly_full_only_answers_go_and_then_all_by_itself(machine: Machine) -> None:
    """No person is needed: with room again the rest goes."""
    machine.free = LEAST - 1
    assert machine.minding.tick()
    one_of_each(machine)

    answers, held = machine.sent(), machine.held
    machine.free = LEAST
    machine.minding.tick()

    assert (["emergency", "reply"], HoldReason.DISK) == (answers, held)
    assert machine.held is None
    assert ["reminder"] == machine.sent()


def test_a_full_disk_is_given_the_reserve_and_the_reserve_filled_again(machine: Machine) -> None:
    """Next to no room: the reserve goes, so that a STOP can be stored. It comes back with the room."""
    reserve = machine.folder / "reserve"
    there = [reserve.exists()]
    for free in (RESERVE_BYTES - 1, LEAST, LEAST + RESERVE_BYTES):
        machine.free = free
        machine.minding.tick()
        there.append(reserve.exists())

    assert [True, False, False, True] == there
    assert RESERVE_BYTES == reserve.stat().st_blocks * 512


def test_a_clock_hold_outlasts_a_full_disk(machine: Machine) -> None:
    """What needs a person is not lifted because there is room again."""
    machine.free = LEAST - 1
    machine.minding.tick()
    machine.pass_time(clock=timedelta(hours=1), steady=HALF_MINUTE)
    machine.minding.tick()
    machine.free = 10**9

    machine.minding.tick()

    assert HoldReason.CLOCK is machine.held


def test_room_on_the_disk_lifts_no_hold_that_came_between(machine: Machine) -> None:
    """A hold that somebody else has begun in that moment, or none, is left as it is."""
    now = machine.village.clock.now()
    with machine.village.database.work() as work:
        lifted = [end_disk_hold(work)]
        begin_hold(work, HoldReason.RESTORED, "A backup was put back.", now)
        lifted.append(end_disk_hold(work))
        work.commit()

    assert [False, False] == lifted
    assert HoldReason.RESTORED is machine.held


def test_who_stops_is_kept_outside_the_database(machine: Machine) -> None:
    """A tick takes over who is on the stop list, and who has left it."""
    phone_id = machine.postroom.phone()
    journal = FileJournal(machine.folder / "journal")
    machine.postroom.stop(phone_id)
    machine.minding.tick()
    stopped = journal.refusals().stopped
    with machine.village.database.work() as work:
        work.people.unstop(phone_id)
        work.commit()
    machine.minding.tick()

    assert 1 == len(stopped)
    assert frozenset() == journal.refusals().stopped


def test_a_journal_that_cannot_be_written_stops_no_tick(machine: Machine) -> None:
    """Who has stopped cannot be kept outside the database for now: the next tick that can catches up."""
    journal = machine.folder / "journal"
    journal.mkdir(exist_ok=True)
    (journal / "refusals.jsonl").mkdir()
    machine.postroom.stop(machine.postroom.phone())

    trusted = machine.minding.tick()
    (journal / "refusals.jsonl").rmdir()
    machine.minding.tick()

    assert trusted
    assert 1 == len(FileJournal(journal).refusals().stopped)
