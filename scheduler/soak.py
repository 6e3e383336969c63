"""Sending an alert while its sender is killed again and again, and judging afterwards what came of it.

The sending process is a fork that is killed by the kernel, with nothing cleaned up: at a named point of its way, or
anywhere after a moment. The judge believes the other side's journal alone, which no kill touches.

Where and when to kill is drawn from the seed, so that a run can be tried again; a kill after a moment falls elsewhere
each time all the same.
"""

import os
import signal
import threading
import time
import traceback
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from pathlib import Path
from typing import Final

from scheduler.soak_luck import Luck
from scheduler.soak_peer import EXAMPLE_PEER, Peer, other_side
from scheduler.soak_programme import MORNING, Plan, Soaked, lives_apart
from scheduler.soak_verdict import Books, Verdict, judge
from service import ids
from service.core.alerts import AS_SHIPPED, Alert
from service.core.errors import Refused
from service.core.staff import Officer
from service.db.alert_books import books_of
from service.db.sealing import Seal
from service.db.work import Database
from service.faults import die_at
from service.logs import set_up

# Fewer, and the alert would be through before the kills are.
FARMERS_A_KILL: Final = 4
_POINTS: Final = ("claimed", "wired", "acked", "anywhere")
_WIDEST: Final = 8
# Where the rest is called off, so much of the audience is left for that.
_TAIL: Final = 0.2
_MOST_IDLE: Final = 5
_FEWEST_LAST: Final = 2
_LONGEST_SAID: Final = 2000
_START_SECONDS: Final = 0.02
_TEXT_SECONDS: Final = 0.005


@dataclass(frozen=True, kw_only=True, slots=True)
class Figures:
    """What was found.

    Attributes:
        audience, sent, failed, cancelled, in_doubt: phones by where they stand, as the pages tell them.
        duplicated: texts that the other side took beyond the first for a phone.
        lost: texts that count as sent and that the other side never took.
        doubts: how often a text was in doubt.
        kills, seed, seconds: how many kills there were, what they were drawn from, and how long all of it took.
        urgent: whether its texts go again after a doubt.
        called_off: whether the rest was called off near the end.
        peer: what the other side was.
        journal_agrees: whether the other side's journal bears out each figure.
        mistakes: what should not have been, a sentence each.
    """

    audience: int
    sent: int
    failed: int
    cancelled: int
    in_doubt: int
    duplicated: int
    lost: int
    doubts: int
    kills: int
    seed: int
    seconds: float
    urgent: bool
    called_off: bool
    peer: str
    journal_agrees: bool
    mistakes: tuple[str, ...]


def soak_alert(
    farmers: int, kills: int, seed: int, folder: Path, *, peer_program: Path = EXAMPLE_PEER
) -> Figures:
    """Send an alert to some of so many farmers, kill its sender so often, and judge what came of it.

    Raises:
        Refused: there are too few farmers for so many kills, or this system cannot fork.
    """
    if farmers < kills * FARMERS_A_KILL:
        raise Refused(
            f"Each kill needs {FARMERS_A_KILL} farmers to fall among: give --farmers {kills * FARMERS_A_KILL}."
        )
    if not hasattr(os, "fork"):
        raise Refused("The sender is a fork that is killed, and this system cannot fork.")
    began = time.monotonic()
    luck = Luck(seed)
    plan = Plan(
        farmers=farmers, districts=luck.among("districts", (1, 2)), urgent=luck.happens("urgent", 0.5)
    )
    seal = Seal(sealing_key=ids.key(), index_key=ids.key())

    def open_database() -> Database:
        return Database(f"sqlite:///{folder / 'soak.db'}", seal)

    with other_side(folder, seed, program=peer_program) as peer:
        soaked = Soaked(open_database, folder, peer)
        alert, officer = soaked.found(plan)
        run = _Run(
            soaked, luck, folder, alert, officer, apart=lives_apart(plan), kills=kills, urgent=plan.urgent
        )
        run.kill_all()
        run.finish()
    verdict = _judge(open_database, peer, soaked, alert, asked=kills, kills=run.killed)
    return _figures(verdict, peer, run, plan, seed, time.monotonic() - began)


def _judge(
    open_database: Callable[[], Database], peer: Peer, soaked: Soaked, alert: Alert, *, asked: int, kills: int
) -> Verdict:
    database = open_database()
    damage = database.damage()
    texts = books_of(database, alert.id)
    database.close()
    counted, ended = soaked.count(alert.id)
    books = Books(count=counted, ended=ended, texts=texts, damage=damage, kills_missing=asked - kills)
    return judge(books, peer.taken())


def _figures(  # noqa: PLR0917 - all there is to tell of a run
    verdict: Verdict, peer: Peer, run: "_Run", plan: Plan, seed: int, seconds: float
) -> Figures:
    counted = verdict.count
    return Figures(
        audience=counted.audience,
        sent=counted.sent,
        failed=counted.failed,
        cancelled=counted.cancelled,
        in_doubt=counted.in_doubt,
        duplicated=verdict.duplicated,
        lost=verdict.lost,
        doubts=verdict.doubts,
        kills=run.killed,
        seed=seed,
        seconds=round(seconds, 2),
        urgent=plan.urgent,
        called_off=run.cancels,
        peer=peer.name,
        journal_agrees=verdict.journal_agrees,
        mistakes=verdict.mistakes,
    )


@dataclass
class _Run:
    """The lives of the process that sends, one after the other."""

    soaked: Soaked
    luck: Luck
    folder: Path
    alert: Alert
    officer: Officer
    apart: timedelta = field(kw_only=True)
    kills: int = field(kw_only=True)
    urgent: bool = field(kw_only=True)
    killed: int = field(default=0, init=False)
    _lives: int = field(default=0, init=False)

    def __post_init__(self) -> None:
        """Settle what is drawn once."""
        self.cancels = self.luck.happens("cancel", 0.5)
        phones, _ = self.soaked.count(self.alert.id)
        self._window = max(1, min(_WIDEST, phones.waiting // max(1, self.kills) // 2))
        self._tail = round(phones.waiting * _TAIL) if self.cancels else 0

    @property
    def now(self) -> datetime:
        """The instant of the present life; the first one finds the waiting time over."""
        return MORNING + AS_SHIPPED.wait + self._lives * self.apart

    def kill_all(self) -> None:
        """Live and be killed as often as was asked, as far as there is something left to send."""
        idle = 0
        while self.killed < self.kills and idle < _MOST_IDLE:
            counted, _ = self.soaked.count(self.alert.id)
            again = counted.in_doubt if self.urgent else 0
            left = counted.waiting + again - self._tail
            share = max(1, left // (self.kills - self.killed + 1))
            was_killed = self._live(*self._fate(share))
            self.killed += was_killed
            idle = 0 if was_killed else idle + 1

    def finish(self) -> None:
        """Call off the rest, if that was drawn, and live on until nothing waits any more."""
        if self.cancels:
            self._live(meanwhile=self._cancel)
        # The first of them may find doubts that are too fresh to be sent again.
        for _ in range(_FEWEST_LAST):
            self._live()
        for _ in range(_MOST_IDLE):
            counted, ended = self.soaked.count(self.alert.id)
            if ended and not counted.waiting:
                break
            self._live()

    def _fate(self, share: int) -> tuple[str, int]:
        """Draw where a life is to end, so that it sends about `share` texts before."""
        name = f"life {self._lives}"
        # A moment is too coarse where a life may send a text or two.
        where = self.luck.among(f"{name} where", _POINTS if share > self._window else _POINTS[:-1])
        passings = self.luck.up_to(f"{name} when", max(1, 2 * share - 1))
        return where, -(-passings // self._window) if where == "claimed" else passings

    def _live(
        self, where: str = "", passings: int = 0, *, meanwhile: Callable[[], None] | None = None
    ) -> bool:
        """Live one life in a fork; return whether it was killed."""
        child = os.fork()
        if child == 0:
            self._be_the_sender(where, passings)
        if where == "anywhere":
            moment = passings * _TEXT_SECONDS * self.luck.share(f"life {self._lives} moment")
            threading.Event().wait(_START_SECONDS + moment)
            # Not waited for yet, the number cannot be another process's.
            os.kill(child, signal.SIGKILL)
        if meanwhile:
            meanwhile()
        _, status = os.waitpid(child, 0)
        self._lives += 1
        if os.WIFEXITED(status) and os.WEXITSTATUS(status):
            raise Refused(
                f"The sending process failed of itself:\n{self._log.read_text(encoding='utf-8')[-_LONGEST_SAID:]}"
            )
        return os.WIFSIGNALED(status)

    @property
    def _log(self) -> Path:
        return self.folder / "sender.log"

    def _be_the_sender(self, where: str, passings: int) -> None:
        """Live in the fork; never return from it."""
        status = 1
        with self._log.open("a", encoding="utf-8") as log:
            try:
                set_up(log)
                if where and where != "anywhere":
                    die_at(where, passings)
                self.soaked.live(self.now, self._window)
                status = 0
            except BaseException:  # noqa: BLE001 - the parent tells of it
                traceback.print_exc(file=log)
            finally:
                log.flush()
                os._exit(status)

    def _cancel(self) -> None:
        """Call off while the sender is at it: a moment later it might be through."""
        threading.Event().wait(_START_SECONDS * 2 * self.luck.share("cancel moment"))
        self.soaked.cancel(self.officer, self.alert.id, self.now)
