"""What puts the service on a machine, each by its own linter: systemd's for the units, hadolint, the compose spec's.

No container engine is needed for it, and none of this says that an image was built.
"""

import re
import shutil
import subprocess
import sys
import tomllib
from pathlib import Path
from typing import Final

import pytest
from compose_spec import PyCompose

from machine import apt_install
from service.settings import Settings

DEPLOY: Final = Path(__file__).parents[2] / "deploy"
SERVICES: Final = ("web", "worker", "backup")
PROGRAM: Final = "/usr/local/lib/trussline/bin/trussline"


@pytest.fixture(scope="session")
def systemd_analyze() -> str:
    """Systemd's own linter, installed by apt where we may."""
    if shutil.which("systemd-analyze") is None:
        apt_install("systemd", needed_for="the check of the systemd units")
    return shutil.which("systemd-analyze") or "systemd-analyze"


@pytest.fixture
def units(tmp_path: Path) -> Path:
    """The units as they stand, but for the program, which is not installed here."""
    for file in (DEPLOY / "systemd").iterdir():
        text = file.read_text(encoding="utf-8")
        assert PROGRAM in text or file.suffix == ".timer"
        (tmp_path / file.name).write_text(text.replace(PROGRAM, "/bin/true"), encoding="utf-8")
    return tmp_path


def said(*command: object) -> tuple[int, str]:
    """Run a linter; return its exit code and what it said."""
    done = subprocess.run([str(part) for part in command], capture_output=True, text=True, check=False)
    return done.returncode, f"{done.stdout}{done.stderr}"


def test_systemd_finds_nothing_wrong_with_the_units(systemd_analyze: str, units: Path) -> None:
    """Every line is understood, and every program named is there."""
    assert (0, "") == said(systemd_analyze, "verify", "--man=no", *sorted(units.iterdir()))


def test_systemd_would_find_a_wrong_line(systemd_analyze: str, units: Path) -> None:
    """The check above could fail: a setting that systemd does not know is named."""
    file = units / "trussline-web.service"
    file.write_text(
        file.read_text(encoding="utf-8").replace("ProtectHome=", "ProtectHouse="), encoding="utf-8"
    )

    assert "ProtectHouse" in said(systemd_analyze, "verify", "--man=no", file)[1]


@pytest.mark.parametrize("service", SERVICES)
def test_a_unit_is_let_do_little(systemd_analyze: str, units: Path, service: str) -> None:
    """Systemd's own measure of exposure, 0 to 10, stays below 2."""
    code, words = said(
        systemd_analyze, "security", "--offline=yes", "--threshold=20", units / f"trussline-{service}.service"
    )

    assert 0 == code, words


@pytest.mark.parametrize("service", SERVICES)
def test_a_unit_runs_a_command_that_there_is(service: str) -> None:
    """The command stands among those of pyproject.toml."""
    text = (DEPLOY / "systemd" / f"trussline-{service}.service").read_text(encoding="utf-8")
    project = tomllib.loads((DEPLOY.parent / "pyproject.toml").read_text(encoding="utf-8"))["project"]

    commands = set(re.findall(rf"{PROGRAM} (\w+)", text))
    assert {service} == commands
    assert commands <= project["entry-points"]["trussline.commands"].keys()


def test_hadolint_finds_nothing_wrong_with_the_containerfile() -> None:
    """Every finding is seen to, or silenced on its line with the reason above it."""
    hadolint = Path(sys.executable).with_name("hadolint")

    assert (0, "") == said(hadolint, "--no-color", DEPLOY / "Containerfile")


def test_hadolint_would_find_something(tmp_path: Path) -> None:
    """The check above could fail: an image without a version is named."""
    file = tmp_path / "Containerfile"
    file.write_text("FROM python\n", encoding="utf-8")

    assert "DL3006" in said(Path(sys.executable).with_name("hadolint"), "--no-color", file)[1]


@pytest.fixture
def compose() -> PyCompose:
    """The compose file, read and held against the Compose Specification."""
    made = PyCompose.from_yaml((DEPLOY / "compose.yaml").read_text(encoding="utf-8"))
    made.to_spec()
    made.validate()
    return made


def test_the_compose_file_is_one_by_the_specification(compose: PyCompose) -> None:
    """One machine: a database, the migration, the worker and the pages, each with a volume that is declared."""
    assert {"database", "migrate", "worker", "web"} == set(compose.service_names())
    assert {"database", "data", "journal", "backups"} == set(compose.volumes or {})


@pytest.mark.parametrize(
    "wrong",
    ["comand: [web]", "restart: sometimes", "ports: ['127.0.0.1:99999:1']"],
    ids=["a misspelt key", "a word that is none", "a port that is none"],
)
def test_a_compose_file_that_is_none_would_be_found(wrong: str) -> None:
    """The check above could fail."""
    with pytest.raises(ValueError, match=r"services\.one"):
        PyCompose.from_yaml(f"services: {{one: {{image: 'x:1', {wrong}}}}}")


def test_what_the_containers_lean_on_is_there(compose: PyCompose) -> None:
    """Every volume is declared, and every service that another waits for is one of them."""
    services = compose.to_dict()["services"]
    mounted = {str(volume).partition(":")[0] for one in services.values() for volume in one["volumes"]} - {
        "./trussline.toml"
    }
    waited_for = {name for one in services.values() for name in one.get("depends_on", {})}

    assert {"database", "data", "journal", "backups"} == mounted
    assert {"database", "migrate"} == waited_for


@pytest.mark.parametrize("service", ["migrate", "worker", "web"])
def test_a_new_volume_belongs_to_the_service(compose: PyCompose, service: str) -> None:
    """A volume takes its owner from the image's folder below it; where there is none it belongs to root."""
    volumes = [str(volume).split(":") for volume in compose.to_dict()["services"][service]["volumes"]]
    image = (DEPLOY / "Containerfile").read_text(encoding="utf-8")

    (made,) = re.findall(r"install -d -o trussline -g trussline -m 700 (.+)", image)
    assert [folder for name, folder, *_ in volumes if not name.startswith(".")] == made.split()


@pytest.mark.parametrize("service", ["migrate", "worker", "web"])
def test_a_container_is_given_settings_that_there_are(compose: PyCompose, service: str) -> None:
    """A misspelt variable would be silently without effect."""
    given = compose.to_dict()["services"][service]["environment"]

    known = {f"TRUSSLINE_{name.upper()}" for name in Settings.model_fields} | {"TRUSSLINE_FILE"}
    assert set(given) <= known
    assert {"TRUSSLINE_DATABASE_URL", "TRUSSLINE_FILE", "TRUSSLINE_JOURNAL_DIR"} <= set(given)


def test_nothing_but_the_pages_is_reached_and_they_from_this_machine_only(compose: PyCompose) -> None:
    """A reverse proxy with https stands before them."""
    services = compose.to_dict()["services"]

    assert ["127.0.0.1:8080:8080"] == services["web"]["ports"]
    assert [] == [name for name, one in services.items() if name != "web" and one.get("ports")]
    for name in ("migrate", "worker", "web"):
        assert services[name]["read_only"] is True
        assert ["ALL"] == services[name]["cap_drop"]
