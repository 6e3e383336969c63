"""What of the machine the scripts need: who runs them, which packages it can add, which browser it has."""

import os
import shutil
import subprocess
from pathlib import Path
from typing import Final

from refusal import Refusal

# A folder in memory on Linux: "Filesystem Hierarchy Standard" leaves it to the system, from memory.
_MEMORY: Final = Path("/dev/shm")  # noqa: S108 - folders of ours are made in it under names nobody can foresee
_ROOM: Final = 2 * 1024**3
_BROWSERS: Final = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")


def is_root() -> bool:
    """Tell whether this runs with all rights. There is no such thing to ask on Windows."""
    return hasattr(os, "geteuid") and os.geteuid() == 0


def apt_install(package: str, *, needed_for: str) -> None:
    """Install one of Debian's packages.

    Args:
        package: its name.
        needed_for: what it is for, to fit into "X is needed for ...".

    Raises:
        Refusal: this is no Debian, we may not install, or it failed.
    """
    if shutil.which("apt-get") is None:
        raise Refusal(f"{package} is needed for {needed_for}: please install it.")
    if not is_root():
        raise Refusal(f"{package} is needed for {needed_for}: sudo apt-get install {package}.")
    print(f"Installing {package} for {needed_for}.", flush=True)
    quietly = {**os.environ, "DEBIAN_FRONTEND": "noninteractive"}
    for command in (["update"], ["install", "--yes", "--no-install-recommends", package]):
        finished = subprocess.run(
            ["apt-get", "--quiet=2", *command], env=quietly, stdout=subprocess.DEVNULL, check=False
        )
        if finished.returncode:
            raise Refusal(
                f"{package} is needed for {needed_for}, and apt-get could not install it, see above."
            )


def chromium() -> str:
    """Return the path of the browser for the tests: named by TRUSSLINE_TEST_CHROMIUM, found, or installed.

    Raises:
        Refusal: there is none and it cannot be installed.
    """
    named = os.environ.get("TRUSSLINE_TEST_CHROMIUM")
    if named:
        return named
    found = _installed()
    if found is None:
        apt_install("chromium", needed_for="the tests in a browser")
        found = _installed()
    if found is None:
        raise Refusal("No Chromium was found for the tests: set TRUSSLINE_TEST_CHROMIUM to its path.")
    return found


def memory(folder: Path = _MEMORY, *, room: int = _ROOM) -> str | None:
    """Return a folder that lies in memory; None if there is none that has `room` bytes and may hold programs.

    The tests sync to disk some hundred thousand times, and on a disk wait for it longer than they work.
    """
    if not os.access(folder, os.W_OK) or shutil.disk_usage(folder).free < room:
        return None
    return None if os.statvfs(folder).f_flag & os.ST_NOEXEC else str(folder)


def _installed() -> str | None:
    return next(filter(None, map(shutil.which, _BROWSERS)), None)
