"""What the kill tests stand on: a fork server, a network in a process of its own, a judge who reads its journal.

The judge believes the network's journal alone: another process wrote it, which no kill of ours touches.
"""

import json
import sqlite3
import subprocess
import sys
from collections import Counter
from collections.abc import Sequence
from dataclasses import asdict, dataclass, field, replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any, Final

from service.core.kinds import KINDS, Policy
from service.core.model import NewMessage
from service.core.phone import read_number
from service.db.migrate import migrate
from service.db.sealing import Seal
from service.db.work import Database
from service.gateways.simulator_faults import Faults

ROOT: Final = Path(__file__).parents[2]
# Eight in the morning in the village.
MORNING: Final = datetime(2026, 11, 25, 5, 0, tzinfo=UTC)
DAY: Final = date(2026, 11, 25)
LIFE: Final = timedelta(minutes=11)
SIGKILL: Final = 9
WINDOW: Final = 8
_PATH: Final = f"import sys; sys.path.insert(0, {str(ROOT)!r})\n"
_NETWORK: Final = (
    _PATH
    + """
import json
from pathlib import Path
from service.gateways.simulator_faults import Faults
from service.gateways.simulator_server import run
log, faults, dedupe = sys.argv[1:]
run(port=0, log_path=Path(log), seed=1, faults=Faults(**json.loads(faults)), dedupe=dedupe == "yes")
"""
)


class ForkServer:
    """Lives lives on demand; see worker_forks.py."""

    def __init__(self) -> None:
        """Start it and wait until it has imported everything."""
        script = ROOT / "tests" / "faults" / "worker_forks.py"
        self._process = subprocess.Popen(
            [
                sys.executable,
                "-c",
                f"{_PATH}import runpy; runpy.run_path({str(script)!r}, run_name='__main__')",
            ],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            cwd=ROOT,
            text=True,
        )
        self._say("")

    def live(self, **life: object) -> int:
        """Return the signal that ended this life, 0 if it came to a natural end."""
        return int(self._say(json.dumps(life) + "\n"))

    def _say(self, line: str) -> str:
        assert self._process.stdin is not None
        assert self._process.stdout is not None
        self._process.stdin.write(line)
        self._process.stdin.flush()
        answer = self._process.stdout.readline()
        assert answer, "the fork server has died"
        return answer

    def close(self) -> None:
        """Let it end."""
        self._process.communicate()


@dataclass(frozen=True, kw_only=True)
class Judgement:
    """What really happened, by the network's journal, beside what the service says of it.

    Attributes:
        lost: texts sent at least once by policy that the network never took and the service does not hold open.
        silent: texts that never left and that the service does not show as in doubt.
        repeated: texts to be sent at most once that were sent more often.
        twice: copies beyond the first.
        untold: copies beyond the first that the service has not counted as doubts.
        doubts: how often a text was in doubt.
        states: how many texts stand where.
    """

    lost: list[str]
    silent: list[str]
    repeated: list[str]
    twice: int
    untold: list[str]
    doubts: int
    states: dict[str, int]


@dataclass
class Stage:
    """One database, one network, one fork server."""

    folder: Path
    forks: ForkServer
    faults: Faults = field(default_factory=Faults)
    dedupe: bool = False
    lives: int = 0
    kills: int = 0

    def __post_init__(self) -> None:
        """Start the network and make the database."""
        given = {name: value for name, value in asdict(self.faults).items() if isinstance(value, float)}
        self._network = subprocess.Popen(
            [
                sys.executable,
                "-c",
                _NETWORK,
                str(self.journal),
                json.dumps(given),
                "yes" if self.dedupe else "no",
            ],
            stdout=subprocess.PIPE,
            cwd=ROOT,
        )
        assert self._network.stdout is not None
        self.port = int(self._network.stdout.readline())
        self.database = Database(self.url, Seal(sealing_key=b"s" * 32, index_key=b"i" * 32))
        migrate(self.database.engine)

    @property
    def journal(self) -> Path:
        """Where the network writes what it took."""
        return self.folder / "network.jsonl"

    @property
    def file(self) -> Path:
        """The database."""
        return self.folder / "trussline.db"

    @property
    def url(self) -> str:
        """Where the service finds it."""
        return f"sqlite:///{self.file}"

    @property
    def now(self) -> datetime:
        """The instant of the present life; each begins later than a doubt lasts."""
        return MORNING + self.lives * LIFE

    def queue(self, count: int, *, once: int = 0) -> list[str]:
        """Queue reminders, `once` of them to be sent at most once; return their words."""
        words = [f"Text number {number}." for number in range(count)]
        at_most = {"reminder": replace(KINDS["reminder"], policy=Policy.AT_MOST_ONCE)}
        with self.database.work() as work:
            phone = work.people.phone_for(read_number("+255621234567", "TZ"), MORNING)
            for kinds, part in ((at_most, range(once)), (KINDS, range(once, count))):
                texts = [self._message(number, phone, words[number]) for number in part]
                work.outbox.queue(texts, gateway="simulator", kinds=kinds, at=MORNING)
            work.commit()
        self.database.close()
        return words

    @staticmethod
    def _message(number: int, phone: int, words: str) -> NewMessage:
        return NewMessage(
            id=number + 1,
            queued_on=DAY,
            idem_key=f"test:{number}",
            kind="reminder",
            phone_id=phone,
            farmer_id=None,
            language="en",
            text_id="help",
            text=words,
            parts=1,
            zone="Africa/Dar_es_Salaam",
            not_before=MORNING,
            expires_at=MORNING + timedelta(hours=48),
        )

    def live(self, kill: str = "", way: str = "work", *, check: bool = True, **more: object) -> int:
        """Live one life; return the signal that ended it, having looked whether the database is whole.

        Looking at it writes its log back into it; without `check` all stays as that life left it.
        """
        died_of = self.forks.live(
            way=way,
            kill=kill,
            database=self.url,
            folder=str(self.folder),
            port=self.port,
            now=self.now.isoformat(),
            **more,
        )
        self.lives += 1
        self.kills += died_of == SIGKILL
        if check:
            assert [("ok",)] == self.ask("PRAGMA integrity_check")
        return died_of

    def ask(self, statement: str) -> list[Any]:
        """Ask the database, past the service."""
        connection = sqlite3.connect(self.file)
        try:
            return connection.execute(statement).fetchall()
        finally:
            connection.close()

    def close(self) -> None:
        """End the network; its journal is whole then."""
        if self._network.poll() is None:
            self._network.terminate()
            self._network.communicate()
        self.database.close()

    def judge(self, words: Sequence[str]) -> Judgement:
        """Compare the network's journal with the service's books."""
        self.close()
        took = Counter(
            json.loads(line)["text"] for line in self.journal.read_text(encoding="utf-8").splitlines()
        )
        books = {
            text: (state, doubts, policy)
            for text, state, doubts, policy in self.ask("SELECT text, state, doubts, policy FROM message")
        }
        never = [text for text in words if not took[text]]
        return Judgement(
            lost=[text for text in never if books[text][2] == Policy.AT_LEAST_ONCE],
            silent=[text for text in never if books[text][0] != "in_doubt"],
            repeated=[text for text in words if took[text] > 1 and books[text][2] == Policy.AT_MOST_ONCE],
            twice=sum(count - 1 for count in took.values() if count > 1),
            untold=[text for text in words if took[text] - 1 > books[text][1]],
            doubts=sum(doubts for _, doubts, _ in books.values()),
            states=dict(Counter(state for state, _, _ in books.values())),
        )
