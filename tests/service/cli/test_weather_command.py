"""Weather from the terminal: a file looked at, kept, shown and taken back."""

from datetime import timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from click.testing import CliRunner, Result

from service.cli.weather import weather
from service.clock import RealClock
from service.core.errors import Refused
from service.settings import Settings


@pytest.fixture
def file(tmp_path: Path, settings: Settings) -> Path:
    """A file that tells of yesterday and the day before."""
    today = RealClock().now().astimezone(ZoneInfo(settings.zone)).date()
    days = [today - timedelta(days=ago) for ago in (2, 1)]
    made = tmp_path / "week.csv"
    made.write_text("day,tmin_c,tmax_c\n" + "".join(f"{day},9,21\n" for day in days), encoding="utf-8")
    return made


def run(settings: Settings, *arguments: str) -> Result:
    """Type a command of `trussline weather`."""
    return CliRunner(env={"TRUSSLINE_DATA_DIR": str(settings.data_dir)}).invoke(weather, arguments)


def said(settings: Settings, *arguments: str) -> str:
    """Return what a command that must do its work prints."""
    result = run(settings, *arguments)
    assert 0 == result.exit_code, result.output
    return result.stdout


def test_looked_at_kept_shown_and_taken_back(settings: Settings, file: Path) -> None:
    """Nothing is kept before --apply; the number that is printed takes it back."""
    bring = ("import", str(file), "--district", "ndaliro")
    looked_at = said(settings, *bring)
    before = said(settings, "show", "--district", "Ndaliro")
    kept = said(settings, *bring, "--apply")
    shown = said(settings, "show", "--district", "Ndaliro")
    undone = said(settings, "undo", "1")
    after = said(settings, "show", "--district", "Ndaliro")

    assert "nothing -> lowest 9 °C, highest 21 °C" in looked_at
    assert "2 lines: 2 add, 0 replace, 0 change nothing.\nNothing is kept yet" in looked_at
    assert "No temperatures for 14 of the 14 days before today." in before
    assert "Kept as import 1. To take it back: trussline weather undo 1" in kept
    assert "measured  lowest 9 °C, highest 21 °C" in shown
    assert "No temperatures for 12 of the 14 days before today." in shown
    assert "Import 1 of Ndaliro is taken back: week.csv" in undone
    assert "No temperatures for 14 of the 14 days before today." in after
    assert "taken back" in after.splitlines()[-1]


def test_a_cold_night_is_told_to_whoever_brings_it(settings: Settings, file: Path) -> None:
    """The command says that officers have something to look at."""
    now = RealClock().now().astimezone(ZoneInfo(settings.zone))
    file.write_text(f"day,tmin_c\n{now.date() + timedelta(days=1)},-2\n", encoding="utf-8")
    issued = now.replace(minute=0).strftime("%Y-%m-%dT%H:%M")
    given = ("--district", "Ndaliro", "--forecast", "--issued", issued, "--apply")

    assert "Dangers found: 1. They wait on the page Today" in said(settings, "import", str(file), *given)


def test_faults_are_told_by_line(settings: Settings, file: Path) -> None:
    """At most fifty of them, and how many more there are."""
    file.write_text("day,rain_mm\n" + "2020-01-32,1\n" * 60, encoding="utf-8")
    result = run(settings, "import", str(file), "--district", "Ndaliro", "--apply")

    lines = str(result.exception).splitlines()
    assert isinstance(result.exception, Refused)
    assert "Line 2: day is '2020-01-32', which is no day: write it like 2026-03-25." == lines[0]
    assert (50 + 2, "And 10 more.", "Nothing was kept.") == (len(lines), lines[-2], lines[-1])


@pytest.mark.parametrize(
    ("more", "sentence"),
    [
        pytest.param(("--forecast",), "needs both --forecast and --issued", id="nobody issued it"),
        pytest.param(
            ("--issued", "2026-11-28T06:00"), "needs both --forecast and --issued", id="issued only"
        ),
        pytest.param(
            ("--forecast", "--issued", "2999-01-01T06:00"), "still to come: correct --issued", id="tomorrow's"
        ),
        pytest.param(("--district", "Nowhere"), "There is no district Nowhere", id="no such district"),
    ],
)
def test_what_cannot_be_meant_is_told(
    settings: Settings, file: Path, more: tuple[str, ...], sentence: str
) -> None:
    """With what to give instead."""
    result = run(settings, "import", str(file), "--district", "Ndaliro", *more)

    assert 0 != result.exit_code
    assert sentence in f"{result.output}{result.exception}"


def test_an_import_that_is_not_there_cannot_be_taken_back(settings: Settings) -> None:
    """The sentence says where the numbers stand."""
    result = run(settings, "undo", "7")

    assert "There is no import 7" in str(result.exception)
