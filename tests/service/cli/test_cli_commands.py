"""The commands that do one thing and end: migrate, officer, district, keys, calendar, simulator."""

import socket
from pathlib import Path

import pytest
from click.testing import CliRunner

from service.cli.main import main
from service.clock import RealClock
from service.core.staff import Session
from service.db.work import Database
from service.keys import open_or_make
from service.settings import Settings, given_settings
from service.use_cases.sign_in import Attempt, sign_in


@pytest.fixture
def settings(tmp_path: Path) -> Settings:
    """The settings of a programme whose data lie in the test's folder."""
    return given_settings(data_dir=tmp_path / "data")


@pytest.fixture
def runner(settings: Settings, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> CliRunner:
    """A terminal with those settings."""
    monkeypatch.chdir(tmp_path)
    return CliRunner(env={"TRUSSLINE_DATA_DIR": str(settings.data_dir)})


def _run(runner: CliRunner, *arguments: str) -> str:
    result = runner.invoke(main, arguments)
    assert 0 == result.exit_code, result.output
    return result.stdout


def test_migrating_again_does_no_harm(runner: CliRunner) -> None:
    """The first time makes keys and says so; the second finds all in place."""
    first = runner.invoke(main, ["migrate"])
    second = runner.invoke(main, ["migrate"])

    assert (0, 0) == (first.exit_code, second.exit_code)
    assert first.stdout == second.stdout
    assert "New keys were made" in first.stderr
    assert "" == second.stderr


def test_an_officer_signs_in_with_the_code_once(runner: CliRunner, settings: Settings) -> None:
    """The code on the terminal opens a session, and no second one."""
    _run(runner, "migrate")
    said = _run(runner, "officer", "add", "Grace in Ndaliro")
    code = said.split()[-1]
    database = Database(settings.database, open_or_make(settings.keys)[0])
    now = RealClock().now()

    def attempt(number: int) -> object:
        with database.work() as work:
            made = Attempt(code=code, address="127.0.0.1", token=f"t{number}", csrf="c", row_id=number)
            return sign_in(work, made, now)

    first, second = attempt(1), attempt(2)
    database.close()

    assert isinstance(first, Session)
    assert "Grace in Ndaliro" == first.officer.name
    assert not isinstance(second, Session)
    assert "24 hours" in said


def test_a_name_without_letters_is_refused(runner: CliRunner) -> None:
    """An officer has a name."""
    _run(runner, "migrate")

    result = runner.invoke(main, ["officer", "add", "  "])

    assert 1 == result.exit_code
    assert "An officer's name has 1 to 80 letters.\n" == result.stderr


def test_districts_keep_the_order_they_were_added_in(runner: CliRunner) -> None:
    """Farmers answer with a number, which must not move when a district is added twice."""
    _run(runner, "migrate")
    _run(runner, "district", "add", "Zaruvi", "--elevation", "1650")
    _run(runner, "district", "add", "Ketumali")

    again = _run(runner, "district", "add", "Zaruvi")

    assert "Districts, as farmers see them numbered: Zaruvi, Ketumali\n" == again


@pytest.mark.parametrize(
    "name", [" ", "12", "Ndaliro ya Juu na ya Chini"], ids=["blank", "digits", "too-long"]
)
def test_a_district_needs_a_name_that_fits_a_text(runner: CliRunner, name: str) -> None:
    """What stands in texts is short, and nothing that could be taken for an answer's number."""
    _run(runner, "migrate")

    result = runner.invoke(main, ["district", "add", name])

    assert 1 == result.exit_code
    assert "A district's name has 1 to 20 letters: it stands in texts to farmers.\n" == result.stderr


@pytest.mark.parametrize("command", ["district", "officer"])
def test_a_name_that_texts_cannot_write_is_kept_only_if_that_is_wanted(
    runner: CliRunner, command: str
) -> None:
    """The letter and what texts make of it are said before anything is kept."""
    _run(runner, "migrate")

    result = runner.invoke(main, [command, "add", "Žarovi"])
    before = _run(runner, command, "list")
    _run(runner, command, "add", "Žarovi", "--as-written")

    assert 1 == result.exit_code
    assert (
        "“Ž” would double the cost of each text that names it, so texts will say “Zarovi”. "
        "Write it so, or add --as-written to keep it as it is.\n"
    ) == result.stderr
    assert "" == before
    assert "Žarovi" in _run(runner, command, "list")


def test_a_district_is_listed_with_its_place(runner: CliRunner) -> None:
    """Elevation and latitude decide how much water is advised, so they can be looked up."""
    _run(runner, "migrate")
    _run(runner, "district", "add", "Zaruvi", "--elevation", "1650", "--latitude", "-3.44")
    _run(runner, "district", "add", "Ketumali")

    assert (
        "1. Zaruvi (Africa/Dar_es_Salaam, 1,650 m, latitude -3.4)\n2. Ketumali (Africa/Dar_es_Salaam)\n"
        == _run(runner, "district", "list")
    )


def test_a_districts_zone_must_exist(runner: CliRunner) -> None:
    """A misspelt zone would let every text come at a wrong hour."""
    _run(runner, "migrate")

    result = runner.invoke(main, ["district", "add", "Ndaliro", "--zone", "Africa/Ndaliro"])

    assert 2 == result.exit_code
    assert "Africa/Ndaliro is no IANA time zone" in result.stderr


def test_the_recovery_sheet_holds_the_keys(runner: CliRunner, settings: Settings) -> None:
    """What is printed is enough to make the key file again."""
    _run(runner, "migrate")

    sheet = _run(runner, "keys")

    assert settings.keys.read_text(encoding="utf-8") in sheet


def test_a_season_is_told_in_the_asked_language_without_a_database(
    runner: CliRunner, settings: Settings
) -> None:
    """Planted on a Wednesday, the first weeks' jobs fall on the Mondays asked for, and nothing is made on disk."""
    said = _run(
        runner, "calendar", "2026-03-25", "--text-day", "mon", "--language", "sw", "--from", "2026-03-26",
        "--to", "2026-04-13",
    )  # fmt: skip

    lines = said.splitlines()
    assert all(" Mon  day " in line for line in lines)
    assert {"2026-03-30", "2026-04-06", "2026-04-13"} == {line.split()[0] for line in lines}
    assert "2026-04-13 Mon  day   19  Magugu" in lines
    assert not settings.data_dir.exists()


def test_a_day_for_flowers_to_stay_keeps_no_text_day(runner: CliRunner) -> None:
    """The one job on an exact day comes on day 120, whatever the weekday: common practice, no source."""
    said = _run(
        runner, "calendar", "2026-03-25", "--text-day", "mon", "--from", "2026-07-23", "--to", "2026-07-23"
    )

    assert said.startswith("2026-07-23 Thu  day  120  ")
    assert 1 == len(said.splitlines())


def test_pick_days_move_the_picking_prompts(runner: CliRunner) -> None:
    """A year on, Tuesdays and Fridays are asked after and no other day is."""
    said = _run(
        runner, "calendar", "2026-03-25", "--pick-day", "tue", "--pick-day", "fri", "--from", "2026-11-01",
        "--to", "2026-11-30", "--language", "en",
    )  # fmt: skip

    picking = {line.split()[1] for line in said.splitlines() if "Pick" in line}
    assert {"Tue", "Fri"} == picking


def test_the_simulator_names_a_taken_port(runner: CliRunner) -> None:
    """Two networks cannot share a port; the sentence says which it is."""
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = taken.getsockname()[1]
        result = runner.invoke(main, ["simulator", "--port", str(port)])

    assert 1 == result.exit_code
    assert f"cannot start on port {port}" in result.stderr


def test_a_phone_without_a_network_says_how_to_start_one(runner: CliRunner) -> None:
    """Nobody listens on the port: that is told before anything can be typed."""
    _run(runner, "migrate")
    with socket.create_server(("127.0.0.1", 0)) as unused:
        port = unused.getsockname()[1]

    result = runner.invoke(main, ["phone", "0621 234 567"], env={"TRUSSLINE_SIMULATOR_PORT": str(port)})

    assert 1 == result.exit_code
    assert "start it with trussline up or trussline demo" in result.stderr


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [("12", "That is not a phone number"), ("O621 234 567", "A phone number has digits only")],
    ids=["short", "letter-o"],
)
def test_a_phone_needs_a_number_that_can_be_texted(runner: CliRunner, typed: str, sentence: str) -> None:
    """The sentence says what to give instead, and the number is not repeated."""
    _run(runner, "migrate")

    result = runner.invoke(main, ["phone", typed])

    assert 2 == result.exit_code
    assert sentence in result.stderr
