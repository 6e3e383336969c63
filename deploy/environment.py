"""The environment that the commands run in: the folder `.venv` of the checkout, filled from a lock.

A stamp inside says what it was made from. As long as that has not changed the environment is used as it
stands. When the demo's environment is asked to run the tests too, what is missing is added; in every other
case it is made anew, so that nothing stays of an earlier lock. The stamp is written last: an environment
whose making was broken off has none.
"""

import hashlib
import json
import os
import platform
import shutil
import subprocess
import sys
from dataclasses import dataclass
from importlib.util import find_spec
from pathlib import Path
from typing import Final

from installer import install
from machine import apt_install
from refusal import Refusal

_MEGABYTE: Final = 1_000_000


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


def prepare(root: Path, lock: Lock) -> Environment:
    """Make the environment of the checkout `root` ready, and say what is being done.

    Raises:
        Refusal: something of this machine stands in the way.
    """
    environment = Environment(folder=root / ".venv")
    stamp = environment.folder / "trussline-stamp.json"
    known = _read(stamp)
    wanted = _foundation(root) | {lock.file: _digest(lock.path(root))}
    if wanted.items() <= known.items():
        print("Using the environment in .venv as it stands.", flush=True)
        return environment

    _refuse_without_room(root, lock)
    if known and _still_holds(known, root):
        stamp.unlink()
    else:
        known = {}
        create(environment)
    install(
        environment.program("python"),
        ["--require-hashes", "--only-binary=:all:", "--requirement", str(lock.path(root))],
        what=f"packages from deploy/{lock.file}",
        count=_packages(lock.path(root)),
    )
    install(
        environment.program("python"),
        ["--no-deps", "--no-build-isolation", "--editable", str(root)],
        what="Trussline itself",
    )
    stamp.write_text(json.dumps(known | wanted, indent=2), encoding="utf-8")
    return environment


def create(environment: Environment) -> None:
    """Make an environment with nothing but pip in it, in place of what may be there.

    Raises:
        Refusal: this Python cannot.
    """
    if find_spec("venv") is None or find_spec("ensurepip") is None:
        major, minor = sys.version_info[:2]
        apt_install(f"python{major}.{minor}-venv", needed_for="making an environment")
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
        raise Refusal(f"This Python could not make an environment in {environment.folder}, see above.")


def _foundation(root: Path) -> dict[str, str]:
    """Return what an environment rests on, whichever lock fills it."""
    return {
        "python": f"{platform.python_version()} {sys.base_prefix}",
        "place": str(root),
        "pyproject.toml": _digest(root / "pyproject.toml"),
    }


def _still_holds(known: dict[str, str], root: Path) -> bool:
    """Tell whether all that an environment was made from is as it was, its locks included."""
    now = _foundation(root) | {
        lock.file: _digest(lock.path(root)) for lock in (FOR_DEMO, FOR_TEST) if lock.file in known
    }
    return known == now


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


def _refuse_without_room(root: Path, lock: Lock) -> None:
    # Asking for the right is not enough: root has it on a disk mounted read-only too.
    try:
        (root / ".venv").mkdir(exist_ok=True)
        probe = root / ".venv" / "trussline-probe"
        probe.touch()
        probe.unlink()
    except OSError as error:
        raise Refusal(f"Nothing can be written to {root}: copy Trussline to a folder of your own.") from error
    free = shutil.disk_usage(root).free // _MEGABYTE
    if free < lock.megabytes:
        raise Refusal(
            f"There are {free} MB free in {root}, and {lock.megabytes} MB are needed: make some room."
        )
