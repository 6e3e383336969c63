"""Whatever is told of sprays, and whenever: no text asks for picking on a day on which a spray forbids it.

The judge is the definition, day by day, which knows no database and no text; it is told what the farmer told. The days
before harvest lie between the last application and the harvest: Univ. Vermont, page on re-entry and pre-harvest
intervals.
"""

import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Final
from zoneinfo import ZoneInfo

from hypothesis import given, settings
from hypothesis import strategies as st

from tests.depth import times
from tests.village import ZONE, Phone, Village, build_village

LONGEST: Final = 30
UNDO_WITHIN: Final = timedelta(hours=24)
SPEAKS_OF_PICKING: Final = ("Picking day", "Pick, weigh", "may be ripe", "ripe fruit again")
DAYS: Final = 16

TOLD = st.sampled_from(
    [None, None, ("sprayed 1", 1, 0), ("sprayed 3", 3, 0), ("sprayed 7 yesterday", 7, 1), ("undo", 0, 0)]
)
# What is told on each day: at two in the night, when the texts of the day are written, and in the morning.
SEASON = st.lists(st.tuples(TOLD, TOLD), min_size=DAYS, max_size=DAYS)
UNSURE = st.integers(0, DAYS - 1) | st.none()


@dataclass
class Told:
    """What the farmer has told, and not taken back: when, the day of the spray, and the days without picking."""

    sprays: list[tuple[datetime, date, int]] = field(default_factory=list)

    def take_in(self, now: datetime, words: tuple[str, int, int]) -> None:
        """Keep what was told, or let go of the last."""
        text, days, ago = words
        if text != "undo":
            sprayed_on = now.astimezone(ZoneInfo(ZONE)).date() - timedelta(days=ago)
            self.sprays.append((now, sprayed_on, days or LONGEST))
        elif self.sprays and self.sprays[-1][0] >= now - UNDO_WITHIN:
            self.sprays.pop()

    def forbids(self, day: date) -> bool:
        """Return whether nothing may be picked on a day."""
        return any(0 <= (day - sprayed_on).days < days for _, sprayed_on, days in self.sprays)


@contextmanager
def a_village(migrated_file: Path) -> Iterator[Village]:
    """A village of its own for each example."""
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "trussline.db"
        shutil.copy(migrated_file, file)
        village = build_village(f"sqlite:///{file}")
        yield village
        village.database.close()


def tick(village: Village, hour: int) -> None:
    """Let the next such hour come, and the worker do what there is to do."""
    here = village.clock.now().astimezone(ZoneInfo(ZONE))
    wanted = here.replace(hour=hour, minute=0, second=0, microsecond=0)
    village.clock.set(wanted if wanted > here else wanted + timedelta(days=1))
    village.work_through()


def say(phone: Phone, told: Told, words: tuple[str, int, int] | None) -> None:
    """Text it, and let the judge know."""
    if words is not None:
        phone.says(words[0])
        told.take_in(phone.village.clock.now(), words)


@settings(max_examples=times(12, each=8), deadline=None)
@given(season=SEASON, unsure=UNSURE, days_ago=st.sampled_from([132, 141, 200]))
def test_no_text_asks_for_picking_under_a_hold(
    migrated_file: Path,
    season: list[tuple[tuple[str, int, int] | None, tuple[str, int, int] | None]],
    unsure: int | None,
    days_ago: int,
) -> None:
    """Told before the day's text has left it counts for that day already; taken back it forbids nothing more."""
    with a_village(migrated_file) as village:
        phone, told = village.phone(), Told()
        phone.joins(days_ago=days_ago)
        for number, (at_night, at_morning) in enumerate(season):
            tick(village, 1)
            say(phone, told, at_night)
            seen = len(phone.texts)
            tick(village, 8)
            came = [words for words in phone.texts[seen:] if any(one in words for one in SPEAKS_OF_PICKING)]

            assert not (came and told.forbids(village.today)), came
            say(phone, told, at_morning)
            if number == unsure:
                say(phone, told, ("sprayed", 0, 0))
                phone.says("I do not know")
