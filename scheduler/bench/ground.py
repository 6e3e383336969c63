"""What every bench stands on: an invented programme, its throw-away databases, and somebody to tell how far it is."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Final

from flows.catalogue import load_catalogue
from service.bootstrap import gather_tools
from service.db.measuring.scratch import Scratch, scratch_in, scratch_on
from service.db.measuring.seeding import seed
from service.db.work import Database
from service.demo_data import PROGRAMME, REGION, ZONE
from service.ids import Ids
from service.keys import open_or_make
from service.settings import Settings, given_settings
from service.use_cases.tools import Tools

# A Wednesday, at one in the night where the farmers live: the hour in which a day is planned.
NIGHT: Final = datetime(2026, 11, 24, 22, 0, tzinfo=UTC)
# Eight in the morning there, when the texts of the day are on their way.
MORNING: Final = NIGHT + timedelta(hours=7)
# Caps are for money; here nothing is paid for.
_NO_CAP: Final = 100_000_000

Say = Callable[[str], None]


@dataclass(frozen=True, kw_only=True, slots=True)
class Ground:
    """What a bench stands on.

    Attributes:
        folder: where it may write; removed by whoever made it.
        settings: those of an invented programme.
        scratch: makes databases.
        tools: of that programme.
        rounds: how often each thing is timed, in turn with its floor.
        say: is told how far it is.
    """

    folder: Path
    settings: Settings
    scratch: Scratch
    tools: Tools
    rounds: int
    say: Say

    @contextmanager
    def seeded(self, farmers: int) -> Iterator[Database]:
        """Open a database with so many farmers."""
        self.say(f"making {farmers:,} farmers")
        with self.scratch.empty() as database:
            seed(database, self.scratch.seal, farmers, self.tools.calendar.id, NIGHT)
            yield database

    def turns(self) -> Iterator[int]:
        """Count the rounds from one on, and tell of each."""
        for number in range(1, self.rounds + 1):
            self.say(f"round {number} of {self.rounds}")
            yield number


def open_ground(folder: Path, *, address: str, rounds: int, say: Say) -> Ground:
    """Return the ground of one run.

    Args:
        folder: an empty folder.
        address: a PostgreSQL server on which databases may be made; empty for SQLite files in `folder`.
        rounds: how often each thing is timed.
        say: is told how far it is.

    Raises:
        SettingError: `address` is no address of a PostgreSQL server.
    """
    settings = given_settings(
        programme=PROGRAMME,
        region=REGION,
        zone=ZONE,
        data_dir=folder,
        cap_day=_NO_CAP,
        cap_alert=_NO_CAP,
        cap_officer=_NO_CAP,
    )
    seal, _ = open_or_make(settings.keys)
    return Ground(
        folder=folder,
        settings=settings,
        scratch=scratch_on(address, seal) if address else scratch_in(folder, seal),
        tools=tools_of(settings),
        rounds=rounds,
        say=say,
    )


def tools_of(settings: Settings) -> Tools:
    """Return the tools of the programme; each process has its own."""
    return gather_tools(settings, load_catalogue(default=settings.language), Ids())
