"""The environment that the commands run in: the folder `.venv` of the checkout, filled from locks.

A stamp inside says what it was made from. As long as that has not changed the environment is used as it
stands. What only lacks something is filled up: the demo's environment when the tests are to be run, any when
pyproject.toml has changed. In every other case it is made anew, so that nothing stays of an earlier lock. The
stamp is written last: an environment whose making was broken off has none.
"""

import hashlib
import json
import os
import platform
import shutil
import subprocess
import sys
from dataclasses import dataclass
from enum import Enum, auto
from importlib.util import find_spec
from pathlib import Path
from typing import Final

from installer import install
from machine import apt_install
from refusal import Refusal

_MEGABYTE: Final = 1_000_000
_PROJECT: Final = "pyproject.toml"
# What an environment rests on whichever lock fills it: its interpreter, its place, our own project.
_ALWAYS: Final = ("python", "place", _PROJECT)


@dataclass(frozen=True, kw_only=True, slots=True)
class Lock:
    """One of the locks of this folder.

    Attributes:
        file: its name.
        megabytes: the free space that its environment needs, with what is on the way while it is made.
    """

    file: str
    megabytes: int

    def path(self, root: Path) -> Path:
        """Return where it lies in the checkout `root`."""
        return root / "deploy" / self.file


FOR_DEMO: Final = Lock(file="lock.txt", megabytes=400)
FOR_TEST: Final = Lock(file="lock-test.txt", megabytes=1200)
# The libraries that calculators are held to, on top of the tests' tools.
FOR_ORACLES: Final = Lock(file="lock-oracles.txt", megabytes=700)
_LOCKS: Final = (FOR_DEMO, FOR_TEST, FOR_ORACLES)


@dataclass(frozen=True, kw_only=True, slots=True)
class Environment:
    """A Python environment.

    Attributes:
        folder: where it lies.
    """

    folder: Path

    def program(self, name: str) -> str:
        """Return the path of one of its programs."""
        return str(self._programs / (f"{name}.exe" if os.name == "nt" else name))

    def variables(self) -> dict[str, str]:
        """Return the variables with which its programs find each other, and nobody else's modules."""
        kept = {name: value for name, value in os.environ.items() if name not in {"PYTHONPATH", "PYTHONHOME"}}
        path = os.pathsep.join([str(self._programs), os.environ.get("PATH", os.defpath)])
        return {**kept, "VIRTUAL_ENV": str(self.folder), "PATH": path}

    @property
    def _programs(self) -> Path:
        return self.folder / ("Scripts" if os.name == "nt" else "bin")


class Work(Enum):
    """What has to be done for an environment to fit."""

    NOTHING = auto()
    FILL = auto()
    ANEW = auto()


def prepare(root: Path, *locks: Lock) -> Environment:
    """Make the environment of the checkout `root` ready with all that `locks` name, and say what is being done.

    Raises:
        Refusal: something of this machine stands in the way.
    """
    environment = Environment(folder=root / ".venv")
    stamp = environment.folder / "trussline-stamp.json"
    known = _read(stamp)
    now = origin(root)
    to_do = work(known, now, *locks)
    if to_do is Work.NOTHING:
        print("Using the environment in .venv as it stands.", flush=True)
        return environment

    _refuse_without_room(environment.folder, sum(lock.megabytes for lock in locks))
    stamp.unlink(missing_ok=True)
    if to_do is Work.ANEW:
        known = {}
        create(environment)
    _fill(environment, root, locks)
    held = {name: now[name] for name in (*_ALWAYS, *known, *(lock.file for lock in locks))}
    stamp.write_text(json.dumps(held, indent=2), encoding="utf-8")
    return environment


def origin(root: Path) -> dict[str, str]:
    """Return all that an environment of the checkout `root` can be made from, as the stamp names it."""
    return {
        "python": f"{platform.python_version()} {sys.base_prefix}",
        "place": str(root),
        _PROJECT: _digest(root / _PROJECT),
    } | {lock.file: _digest(lock.path(root)) for lock in _LOCKS}


def work(known: dict[str, str], now: dict[str, str], *locks: Lock) -> Work:
    """Tell what an environment needs.

    Args:
        known: what it was made from, by its stamp; empty if there is none.
        now: what it would be made from today.
        locks: what it has to hold.
    """
    changed = {name for name, value in known.items() if now.get(name) != value}
    if not known or changed - {_PROJECT}:
        return Work.ANEW
    lacking = {lock.file for lock in locks} - known.keys()
    return Work.FILL if changed or lacking else Work.NOTHING


def create(environment: Environment, *, modules: tuple[str, ...] = ("venv", "ensurepip")) -> None:
    """Make an environment with nothing but pip in it, in place of what may be there.

    Args:
        environment: which one.
        modules: what this Python needs for it. Debian hands some of them out apart.

    Raises:
        Refusal: this Python cannot.
    """
    if not all(map(find_spec, modules)):
        major, minor = sys.version_info[:2]
        try:
            apt_install(f"python{major}.{minor}-venv", needed_for="making an environment")
        except Refusal as refusal:
            raise Refusal(f"{refusal} On Debian and Ubuntu: apt install python3-venv") from refusal
    print(
        f"Making the environment {environment.folder.name} with Python {platform.python_version()}.",
        flush=True,
    )
    made = subprocess.run(
        [sys.executable, "-m", "venv", "--clear", str(environment.folder)],
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        check=False,
    )
    if made.returncode:
        print(made.stdout, file=sys.stderr)
        raise Refusal(
            f"This Python could not make an environment in {environment.folder}, see above; "
            "on Debian and Ubuntu it may lack a package: apt install python3-venv"
        )


def _fill(environment: Environment, root: Path, locks: tuple[Lock, ...]) -> None:
    # The locks are whole, so pip has nothing to look for: left to look, an old pip prefers a newer release of
    # what an extra names, and then refuses it because the lock does not.
    for lock in locks:
        install(
            environment.program("python"),
            ["--no-deps", "--require-hashes", "--only-binary=:all:", "--requirement", str(lock.path(root))],
            what=f"packages from deploy/{lock.file}",
            count=_packages(lock.path(root)),
        )
    install(
        environment.program("python"),
        ["--no-deps", "--no-build-isolation", "--editable", str(root)],
        what="Trussline itself",
    )


def _read(stamp: Path) -> dict[str, str]:
    try:
        return dict(json.loads(stamp.read_text(encoding="utf-8")))
    except (OSError, ValueError):
        return {}


def _digest(file: Path) -> str:
    return hashlib.sha256(file.read_bytes()).hexdigest()


def _packages(lock: Path) -> int:
    """Count the packages that a lock names, some of them for other machines only."""
    return sum("==" in line for line in lock.read_text(encoding="utf-8").splitlines() if line[:1].isalnum())


def _refuse_without_room(folder: Path, megabytes: int) -> None:
    # Asking for the right is not enough: root has it on a disk mounted read-only too.
    try:
        folder.mkdir(exist_ok=True)
        probe = folder / "trussline-probe"
        probe.touch()
        probe.unlink()
    except OSError as error:
        raise Refusal(
            f"Nothing can be written to {folder}: copy Trussline to a folder of your own."
        ) from error
    free = shutil.disk_usage(folder).free // _MEGABYTE
    if free < megabytes:
        raise Refusal(f"There are {free} MB free in {folder}, and {megabytes} MB are needed: make some room.")
