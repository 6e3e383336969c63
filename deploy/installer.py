"""pip, with its progress in a line and its failures in a sentence."""

import subprocess
import sys
from collections.abc import Iterable, Iterator
from typing import Final

from refusal import Refusal

# What is the matter, and the words by which pip shows it. One cause brings the next, so the first that fits
# is told: without a network there is also no matching distribution.
_CAUSES: Final = {
    "The disk is full: free some space and start again.": ("No space left on device",),
    "The disk cannot be written to: copy Trussline to a folder of your own.": ("Read-only file system",),
    "The environment is not yours to change: delete the folder .venv and start again.": (
        "Permission denied",
    ),
    "A package is not the one that the lock names; it was not installed: try again, then tell us.": (
        "DO NOT MATCH THE HASHES",
    ),
    "Nothing could be fetched: is there a network, or a proxy to set?": (
        "NewConnectionError",
        "Failed to establish a new connection",
        "connection broken by",
        "Max retries exceeded",
        "Temporary failure in name resolution",
        "Name or service not known",
        "Network is unreachable",
        "Connection refused",
        "timed out",
        "NameResolutionError",
        "ConnectTimeoutError",
        "ReadTimeoutError",
        "ProxyError",
        "SSLError",
        "Connection broken",
        "Connection reset",
        "HTTP error",
    ),
    "Nothing could be fetched: is there a network, or a proxy to set? If there is, a package is not to be had "
    "ready-made: try another Python or another source of packages.": ("No matching distribution found",),
}


def install(python: str, arguments: list[str], *, what: str, count: int = 0) -> None:
    """Install with the pip of an environment, and show how far it is.

    Args:
        python: the environment's interpreter.
        arguments: what to install, in pip's words.
        what: the same in ours, to fit into "Installing ...".
        count: of how many packages at most.

    Raises:
        Refusal: it failed; the cause is the most likely one by what pip said.
    """
    print(f"Installing {what}.", flush=True)
    command = [python, "-m", "pip", "install", "--disable-pip-version-check", "--no-input", *arguments]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True) as pip:
        said = list(_shown(pip.stdout or (), count))
    if pip.returncode:
        print(*said[-12:], sep="", file=sys.stderr)
        raise Refusal(cause("".join(said)))


def cause(said: str) -> str:
    """Return the sentence that fits what pip said when it failed."""
    fitting = (sentence for sentence, marks in _CAUSES.items() if any(mark in said for mark in marks))
    return next(fitting, "The packages could not be installed, see above.")


def _shown(lines: Iterable[str], count: int) -> Iterator[str]:
    """Pass pip's lines on, and count on the screen the packages it has come to.

    On a terminal the count is one line that changes; in a file it is a line now and then.
    """
    live = sys.stdout.isatty()
    step, end = (1, "\r") if live else (20, "\n")
    seen = 0
    for line in lines:
        found = line.startswith(("Collecting ", "Processing "))
        seen += found
        if count and found and seen % step == 0:
            print(f"  {seen} of {count} at most", end=end, flush=True)
        elif count and line.startswith("Installing collected"):
            print(f"  {seen} packages are here and are now unpacked", flush=True)
        yield line
