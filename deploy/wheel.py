"""Whether what is handed out is whole: built, installed where nothing else is, and started."""

import subprocess
import sys
import tempfile
import zipfile
from pathlib import Path
from typing import Final

from environment import FOR_DEMO, Environment, create
from installer import install
from refusal import Refusal

_PACKAGES: Final = ("flows", "service", "scheduler")


def try_wheel(root: Path, environment: Environment) -> None:
    """Build source archive and wheel, install the wheel in an environment of its own and ask it for help.

    Args:
        root: the checkout.
        environment: one that has the tools for building.

    Raises:
        Refusal: the wheel cannot be built or installed, lacks a file, or does not start.
    """
    with tempfile.TemporaryDirectory(prefix="trussline-wheel-") as name:
        folder = Path(name)
        print("Building the source archive, and the wheel from it.", flush=True)
        _run(environment.program("python"), "-m", "build", "--no-isolation", "--outdir", name, str(root))
        (wheel,) = folder.glob("*.whl")
        missing = missing_files(root, wheel)
        if missing:
            raise Refusal(f"The wheel lacks files of the checkout: {', '.join(missing)}.")
        clean = Environment(folder=folder / "clean")
        create(clean)
        install(
            clean.program("python"),
            [
                "--no-deps",
                "--require-hashes",
                "--only-binary=:all:",
                "--requirement",
                str(FOR_DEMO.path(root)),
            ],
            what=f"packages from deploy/{FOR_DEMO.file}",
        )
        install(clean.program("python"), ["--no-deps", "--no-index", str(wheel)], what=wheel.name)
        # From another folder, or the checkout's packages would be found first.
        _run(clean.program("trussline"), "--help", folder=folder)


def missing_files(root: Path, wheel: Path) -> list[str]:
    """Return the files of the packages in the checkout `root` that `wheel` does not hold, in order."""
    with zipfile.ZipFile(wheel) as archive:
        held = set(archive.namelist())
    there = {
        path.relative_to(root).as_posix()
        for package in _PACKAGES
        for path in (root / package).rglob("*")
        if path.is_file() and path.suffix != ".pyc"
    }
    return sorted(there - held)


def _run(*command: str, folder: Path | None = None) -> None:
    """Run a program and show what it said only if it failed."""
    finished = subprocess.run(
        command, cwd=folder, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, check=False
    )
    if finished.returncode:
        print(finished.stdout, file=sys.stderr)
        raise Refusal(f"{Path(command[0]).name} failed on the wheel, see above.")
