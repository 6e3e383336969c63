"""Setting a programme up, looking whether it is ready, and letting go of a hold: as an administrator types it."""

import json
import os
import re
import sqlite3
import stat
import tomllib
from contextlib import closing
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from service.cli.main import main
from service.clock import RealClock
from service.db.work import Database
from service.keys import open_or_make
from service.setting_file import write_settings_file
from service.use_cases.holding import HoldReason, begin_hold
from service.use_cases.restoring import PROVED_AT

ANSWERS = {
    "programme": "Zaruvi Berry Programme",
    "region": "TZ",
    "zone": "Africa/Dar_es_Salaam",
    "language": "sw",
    "districts": ["Zaruvi 1650", "Ketumali"],
    "emergency_number": "15099",
    "service_number": "15077",
    "cap_day": 5000,
    "gateway": "simulator",
    "administrator": "Grace in Ndaliro",
}


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An empty folder to be in."""
    monkeypatch.chdir(tmp_path)
    return tmp_path


def run(*arguments: str, typed: str | None = None) -> Result:
    """Type a command, and what it asks for."""
    return CliRunner().invoke(main, arguments, input=typed)


def answers(folder: Path, **more: object) -> str:
    """Write a file with answers and return its name."""
    given = {**ANSWERS, "data_dir": str(folder / "data"), **more}
    file = folder / "answers.toml"
    file.write_text(
        "\n".join(f"{name} = {json.dumps(value)}" for name, value in given.items()), encoding="utf-8"
    )
    return str(file)


def database(folder: Path) -> Database:
    """Open the programme's database."""
    return Database(
        f"sqlite:///{folder / 'data' / 'trussline.db'}", open_or_make(folder / "data" / "keys.json")[0]
    )


def test_answers_make_a_programme(folder: Path) -> None:
    """The settings, the keys, the database with its districts and administrator; the sheet and the code are shown."""
    made = run("setup", "--answers", answers(folder))

    assert 0 == made.exit_code, made.output
    said = tomllib.loads((folder / "trussline.toml").read_text(encoding="utf-8"))
    asked = {name for name in ANSWERS if name not in {"districts", "administrator"}}
    assert {name: said[name] for name in asked} == {name: ANSWERS[name] for name in asked}
    assert (folder / "data" / "keys.json").read_text(encoding="utf-8") in made.stdout
    assert re.search(r"One-time code for Grace in Ndaliro, administrator, good once within 24 hours: [A-Z2-9-]+\n",
                     made.stdout)  # fmt: skip
    opened = database(folder)
    with opened.look() as work:
        assert [("Zaruvi", 1650), ("Ketumali", None)] == [
            (one.name, one.elevation_m) for one in work.people.districts()
        ]
        assert [("Grace in Ndaliro", "administrator")] == [
            (one.name, one.role.value) for one in work.staff.officers()
        ]
    opened.close()


def test_what_is_secret_is_for_us_alone(folder: Path) -> None:
    """Settings may hold a password, keys open all numbers, and names lie in the database in clear."""
    run("setup", "--answers", answers(folder))

    modes = {
        name: stat.S_IMODE((folder / name).stat().st_mode)
        for name in ("trussline.toml", "data", "data/keys.json", "data/trussline.db")
    }
    assert {
        "trussline.toml": 0o600, "data": 0o700, "data/keys.json": 0o600, "data/trussline.db": 0o600,
    } == modes  # fmt: skip


def test_a_second_run_tells_no_secret_and_changes_nothing(folder: Path) -> None:
    """The same answers again: same file, no sheet, no code."""
    run("setup", "--answers", answers(folder))
    before = (folder / "trussline.toml").read_text(encoding="utf-8")

    again = run("setup", "--answers", answers(folder))

    assert 0 == again.exit_code
    assert before == (folder / "trussline.toml").read_text(encoding="utf-8")
    assert "Recovery sheet" not in again.stdout
    assert "One-time code" not in again.stdout


def test_nothing_is_changed_silently(folder: Path) -> None:
    """A differing answer is shown and refused; with --change it is written, and comments stay."""
    run("setup", "--answers", answers(folder))
    file = folder / "trussline.toml"
    file.write_text(f"# Ours.\n{file.read_text(encoding='utf-8')}# The end.\n", encoding="utf-8")
    before = file.read_text(encoding="utf-8")

    refused = run("setup", "--answers", answers(folder, cap_day=900))
    untouched = file.read_text(encoding="utf-8")
    changed = run("setup", "--answers", answers(folder, cap_day=900), "--change")

    assert 1 == refused.exit_code
    assert "cap_day: 5000 becomes 900" in refused.stdout
    assert "say --change if that is wanted" in refused.stderr
    assert before == untouched
    assert 0 == changed.exit_code
    assert before.replace("cap_day = 5000", "cap_day = 900") == file.read_text(encoding="utf-8")


def test_a_person_is_asked_again_until_it_fits(folder: Path) -> None:
    """A zone that is none, a district that is none, a budget in words: each is told, and asked for once more."""
    typed = [
        "Zaruvi Berry Programme", "tz", "Mars", "Africa/Dar_es_Salaam", "sw", "12", "", "Ndaliro at 2150 m; Zaruvi",
        "112, or 115", "15099", "15077", "plenty", "5000", "simulator", "data", "Grace",
    ]  # fmt: skip

    made = run("setup", typed="\n".join([*typed, ""]))

    assert 0 == made.exit_code, made.output
    for sentence in (
        "is no IANA time zone",
        "write a district's name",
        "name at least one, since farmers name theirs when they join",
        "Understood: Ndaliro, 2150 m; Zaruvi, height unknown",
        "write one number, in figures, as it is dialled",
        "'plenty' does not fit",
    ):
        assert sentence in made.output
    said = tomllib.loads((folder / "trussline.toml").read_text(encoding="utf-8"))
    assert (5000, str(folder / "data")) == (said["cap_day"], said["data_dir"])


@pytest.mark.parametrize(
    ("given", "sentence"),
    [
        ({"zonne": "Africa/Nairobi"}, "The answers name zonne, which nobody asks for: correct the spelling."),
        ({"zone": "Mars"}, "is no IANA time zone"),
        ({"cap_day": -1}, "cap_day"),
        ({"cap_day": "plenty"}, "cap_day: 'plenty' does not fit: write a whole number in figures."),
        (
            {"districts": [["Zaruvi", 1650]]},
            "districts is [['Zaruvi', 1650]], which does not fit: write one text",
        ),
        ({"districts": ["Zaruvi 1650 Ndaliro"]}, "and not 'Zaruvi 1650 Ndaliro'"),
        ({"districts": []}, "districts is empty, which does not fit: name at least one"),
        ({"administrator": "G" * 81}, "a name has at most 80 letters"),
        ({"emergency_number": "112, or 115"}, "write one number, in figures, as it is dialled"),
        ({"trial": "perhaps"}, "trial"),
    ],
    ids=[
        "misspelt",
        "no zone",
        "below nothing",
        "in words",
        "list in a list",
        "no comma",
        "no district",
        "long name",
        "two numbers",
        "no truth",
    ],
)
def test_answers_that_do_not_fit_make_nothing(folder: Path, given: dict[str, object], sentence: str) -> None:
    """They are told before anything is written."""
    refused = run("setup", "--answers", answers(folder, **given))

    assert 1 == refused.exit_code
    assert sentence in refused.stderr
    assert ["answers.toml"] == [path.name for path in folder.iterdir()]


def test_every_answer_that_does_not_fit_has_its_sentence(folder: Path) -> None:
    """A machine that fills the file in learns all at once what to correct."""
    refused = run("setup", "--answers", answers(folder, cap_day="plenty", zone="Mars", districts="12"))

    assert [True, True, True] == [
        any(word in line for line in refused.stderr.splitlines()) for word in ("plenty", "Mars", "'12'")
    ]
    assert 3 == len(refused.stderr.splitlines())


def test_answers_as_people_write_them_are_understood(folder: Path) -> None:
    """Districts in one line, numbers without quotes, a country in small letters."""
    given = {"districts": "Ndaliro at 2150 m; Zaruvi", "emergency_number": 114, "region": "tz"}

    made = run("setup", "--answers", answers(folder, **given))

    assert 0 == made.exit_code, made.output
    assert "yes  An emergency number is set: 114" in run("ready").stdout
    assert "1. Ndaliro (Africa/Dar_es_Salaam, 2,150 m)\n2. Zaruvi" in run("district", "list").stdout


def test_the_example_of_the_help_is_one_that_fits(folder: Path) -> None:
    """The answers that --help shows, taken from there, make a programme."""
    shown = run("setup", "--help").stdout
    lines = [line.strip() for line in shown.splitlines() if re.match(r" +[a-z_]+ = ", line)]
    here = [line for line in lines if not line.startswith("data_dir")]
    (folder / "answers.toml").write_text("\n".join([*here, 'data_dir = "data"']), encoding="utf-8")

    made = run("setup", "--answers", "answers.toml")

    assert 6 == len(lines)
    assert 0 == made.exit_code, made.output


def test_a_real_gateway_gets_its_keys_and_a_trial_its_phones(folder: Path) -> None:
    """Both directions have a key of their own, and trial mode is on as long as there are phones to try with."""
    more = {
        "gateway": "http",
        "http_gateway_url": "https://gateway.example/v1",
        "trial_numbers": ["0621 234 567"],
    }

    made = run("setup", "--answers", answers(folder, **more))

    assert 0 == made.exit_code, made.output
    keys = [
        (folder / "data" / f"gateway-{way}.keys").read_text(encoding="ascii") for way in ("send", "receive")
    ]
    assert all(key.startswith("whsec_") for key in keys)
    assert keys[0] != keys[1]
    assert tomllib.loads((folder / "trussline.toml").read_text(encoding="utf-8"))["trial"] is True


def test_any_setting_may_stand_among_the_answers(folder: Path) -> None:
    """Also one that nobody is asked for, whatever its type: a pace with a fraction is kept as it is."""
    made = run("setup", "--answers", answers(folder, sender_rate=2.5, trial=True))

    assert 0 == made.exit_code, made.output
    said = tomllib.loads((folder / "trussline.toml").read_text(encoding="utf-8"))
    assert (2.5, True) == (said["sender_rate"], said["trial"])


def test_a_setting_is_changed_in_its_place(tmp_path: Path) -> None:
    """Strings with marks and slashes come back as they were; what is not named stays, to the letter."""
    file = tmp_path / "trussline.toml"
    file.write_text('# A note.\nzone="Africa/Nairobi"  # ours\n\nregion = "KE"\n', encoding="utf-8")

    write_settings_file(file, {"zone": r"a\1 \"quoted\" ’", "cap_day": 7})

    text = file.read_text(encoding="utf-8")
    assert {"zone": r"a\1 \"quoted\" ’", "region": "KE", "cap_day": 7} == tomllib.loads(text)
    assert text.startswith("# A note.\nzone = ")


def test_ready_says_what_is_missing_and_exits_with_one(folder: Path) -> None:
    """A fresh programme has no worker, no gateway and no tried backup; its words say what to do."""
    run("setup", "--answers", answers(folder))

    said = run("ready")
    told = run("ready", "--json")

    assert (1, 1) == (said.exit_code, told.exit_code)
    assert "NO   The worker runs: never seen\n      Start it: trussline up" in said.stdout
    assert "yes  An emergency number is set: 15099" in said.stdout
    points = {point["name"]: point["holds"] for point in json.loads(told.stdout)["points"]}
    assert json.loads(told.stdout)["ready"] is False
    assert (True, False) == (points["A daily budget was chosen"], points["A backup has been tried"])


def test_a_tried_backup_is_a_point_that_holds(folder: Path) -> None:
    """The trial of a backup stands in the settings, and the checklist sees it."""
    run("setup", "--answers", answers(folder))
    run("backup", "monday.db")

    run("restore", "monday.db", "--trial")

    assert "yes  A backup has been tried: last on" in run("ready").stdout
    opened = database(folder)
    with opened.look() as work:
        assert work.staff.setting(PROVED_AT)
    opened.close()


def test_a_hold_is_shown_asked_about_and_let_go(folder: Path) -> None:
    """The terminal says why; without a yes all stays held; letting go is noted."""
    run("setup", "--answers", answers(folder))
    nothing = run("hold", "release", "--yes")
    opened = database(folder)
    with opened.work() as work:
        begin_hold(work, HoldReason.CLOCK, "The clock was put back.", RealClock().now())
        work.commit()

    shown, as_json = run("hold", "show"), run("hold", "show", "--json")
    kept = run("hold", "release", typed="n\n")
    still = run("hold", "show")
    let_go = run("hold", "release", typed="y\n")

    assert (1, "Nothing is held: texts may leave.\n") == (nothing.exit_code, nothing.stderr)
    assert "The clock was put back." in shown.stdout
    assert "clock" == json.loads(as_json.stdout)["reason"]
    assert 1 == kept.exit_code
    assert shown.stdout == still.stdout
    assert (0, "Nothing is held: texts may leave.\n") == (let_go.exit_code, run("hold", "show").stdout)
    with opened.look() as work:
        assert "hold.released" in {row.action for row in work.audit.rows()}
    opened.close()


def test_a_setup_that_is_broken_off_says_that_nothing_was_made(folder: Path) -> None:
    """Whoever leaves in the middle finds all as it was, and is told so."""
    left = run("setup", typed="Zaruvi Berry Programme\nTZ\n")

    assert 1 == left.exit_code
    assert "Nothing was changed or made: run trussline setup again when you are ready." in left.stderr
    assert [] == list(folder.iterdir())


def test_a_folder_that_cannot_be_is_told_when_it_is_asked_for(folder: Path) -> None:
    """Also a number that is none is told in plain words; each is asked for again."""
    (folder / "taken").write_text("a file", encoding="utf-8")
    typed = ["", "", "", "", "Zaruvi", "", "", "many", "500", "", str(folder / "taken" / "data"), "", "Grace"]

    done = run("setup", typed="\n".join([*typed, ""]))

    assert "'many' does not fit: write a whole number in figures." in done.output
    assert f"{folder / 'taken'} is a file, so no folder can be there." in done.output
    assert 0 == done.exit_code


def test_what_is_in_the_way_of_a_backup_or_a_restore_is_told(folder: Path) -> None:
    """A journal and a lock that cannot be written to, and a database that is busy: a sentence each, never a trace."""
    run("setup", "--answers", answers(folder))
    data = folder / "data"
    with closing(sqlite3.connect(data / "trussline.db", isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        busy = run("district", "add", "Ndaliro")
    (data / "journal").write_text("a file", encoding="utf-8")
    unknown = run("backup", "one.backup")
    (data / "journal").unlink()
    (data / "trussline.db.worker").mkdir()
    shut = run("restore", "one.backup", "--force")

    assert busy.output.startswith(
        "The database cannot be used just now (database is locked): see that it runs"
    )
    assert unknown.output.startswith("The backup one.backup is whole, but ")
    assert shut.output.startswith(f"The worker's lock {data / 'trussline.db.worker'} cannot be opened")
    assert [1, 1, 1] == [one.exit_code for one in (busy, unknown, shut)]


def test_a_restore_by_root_leaves_the_database_to_whom_its_folder_belongs(folder: Path) -> None:
    """The service runs as that user, and would else be shut out from its own database."""
    run("setup", "--answers", answers(folder))
    run("backup", "one.backup")
    data = folder / "data"
    if os.geteuid() == 0:
        os.chown(data, 65534, 65534)

    done = run("restore", "one.backup", "--force")

    assert 0 == done.exit_code, done.output
    owner = data.stat().st_uid
    assert [owner, owner] == [(data / name).stat().st_uid for name in ("trussline.db", "trussline.db.worker")]
