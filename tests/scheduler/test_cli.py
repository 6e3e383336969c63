"""The scheduler's commands: a look at a day, and the versions of the calendar a worker has used."""

from collections import Counter
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import pytest
from click.testing import CliRunner
from structlog.testing import capture_logs

from flows.catalogue import load_catalogue
from scheduler.preview import count_day
from scheduler.receiver import Receiver
from scheduler.sweep import plan_day
from scheduler.versions import fingerprint, keep_version
from service.agronomy.calendar import DEFAULT_CALENDAR, CalendarError, load_calendar
from service.bootstrap import gather_tools
from service.cli.main import main
from service.ids import CountingIds
from service.settings import given_settings
from tests.village import ZONE, Village


@pytest.mark.parametrize("ahead", [0, 2, 3, 7, 28], ids=lambda ahead: f"in-{ahead}-days")
def test_a_days_preview_is_what_planning_it_makes(village: Village, ahead: int) -> None:
    """Each task is counted as often as planning that very day then inserts it; looking has written nothing.

    The days are a text day, the exact day of a job, a picking day, and text days further on.
    """
    for days_ago in (15, 58, 96, 118, 141, 212, 330, 402, 640):
        village.phone().joins(name="Asha", days_ago=days_ago)
    day = village.today + timedelta(days=ahead)
    before = village.row("SELECT count(*) AS n FROM reminder")

    seen = count_day(village.database, village.tools.calendar, ZONE, day)

    assert before == village.row("SELECT count(*) AS n FROM reminder")
    plan_day(village.database, village.tools.calendar, ZONE, day, village.clock.now())
    made = village.rows("SELECT task, count(*) AS n FROM reminder WHERE due_on = :day GROUP BY task", day=day)
    assert seen == Counter({row["task"]: row["n"] for row in made})
    assert seen.total() > 0


@pytest.fixture
def runner(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> CliRunner:
    """A terminal with an empty database."""
    runner = CliRunner(env={"TRUSSLINE_DATA_DIR": str(tmp_path / "data")})
    monkeypatch.chdir(tmp_path)
    assert 0 == runner.invoke(main, ["migrate"]).exit_code
    return runner


def test_nothing_to_plan_is_said(runner: CliRunner) -> None:
    """Without farmers there is no table to show."""
    result = runner.invoke(main, ["plan", "--on", "2026-11-25"])

    assert 1 == result.exit_code
    assert "No farmer's plot is planned yet: nothing falls due on any day.\n" == result.stderr


def test_a_worker_needs_the_database(tmp_path: Path) -> None:
    """A worker does not make the database by itself: two that start at once would."""
    result = CliRunner(env={"TRUSSLINE_DATA_DIR": str(tmp_path / "none")}).invoke(main, ["worker"])

    assert 1 == result.exit_code
    assert result.stderr.endswith("else correct TRUSSLINE_FILE.\n")


def test_a_calendar_version_is_kept_once(village: Village) -> None:
    """The first day of use stays, however often a worker starts."""
    calendar = village.tools.calendar

    assert keep_version(village.database, calendar, date(2026, 11, 25))
    assert keep_version(village.database, calendar, date(2026, 12, 1))
    (kept,) = village.rows("SELECT calendar_id, version, fingerprint, first_used_on FROM calendar_version")
    assert (calendar.id, str(calendar.version), fingerprint(calendar), "2026-11-25") == tuple(
        str(value) for value in kept.values()
    )


def test_a_calendar_changed_under_its_version_is_noticed(village: Village, tmp_path: Path) -> None:
    """Whoever edits a figure and forgets the version is reminded in the log; what was kept stays."""
    shipped = village.tools.calendar
    keep_version(village.database, shipped, date(2026, 11, 25))
    edited = tmp_path / "calendar.toml"
    text = DEFAULT_CALENDAR.read_text(encoding="utf-8")
    edited.write_text(text.replace("riding_moves = 14", "riding_moves = 15"), encoding="utf-8")

    with capture_logs() as logs:
        same = keep_version(village.database, load_calendar(edited), date(2026, 11, 26))

    assert not same
    assert ["calendar_changed_under_its_version"] == [line["event"] for line in logs]
    kept = village.row("SELECT fingerprint FROM calendar_version")
    assert fingerprint(shipped) == kept["fingerprint"]


def test_jobs_that_left_the_calendar_trip_nothing(village: Village) -> None:
    """A calendar without scouting takes over from one with it: texts, lists and answers go on without that job."""
    phone = village.phone()
    phone.joins(days_ago=200)
    village.pass_days(1)
    assert village.rows("SELECT 1 FROM reminder WHERE task = 'scout' AND state IN ('due', 'texted')")
    shipped = village.tools.calendar
    without = replace(shipped, tasks=tuple(task for task in shipped.tasks if task.id != "scout"))
    village.tools = replace(village.tools, calendar=without)
    village.receiver = Receiver(village.database, village.tools, village.gateway, village.clock)

    keep_version(village.database, without, village.today)
    village.pass_days(7)

    assert "pest" not in phone.says("JOBS").lower()
    assert [] == village.rows("SELECT 1 FROM reminder WHERE task = 'scout' AND state IN ('due', 'texted')")


def test_a_job_without_a_text_is_refused(tmp_path: Path) -> None:
    """A calendar may not name a job that nobody could be told: the sentence says which, and what to do."""
    own = tmp_path / "own.toml"
    text = DEFAULT_CALENDAR.read_text(encoding="utf-8")
    own.write_text(text.replace('id = "scout"', 'id = "netting"'), encoding="utf-8")

    with pytest.raises(CalendarError, match=r"own\.toml, task 'netting': no text says this job yet"):
        gather_tools(given_settings(calendar_file=own), load_catalogue(), CountingIds())


def test_a_comment_does_not_change_a_calendar(tmp_path: Path) -> None:
    """The fingerprint is of what the calendar says, not of its file."""
    commented = tmp_path / "calendar.toml"
    commented.write_text("# mine\n" + DEFAULT_CALENDAR.read_text(encoding="utf-8"), encoding="utf-8")

    assert fingerprint(load_calendar()) == fingerprint(load_calendar(commented))
