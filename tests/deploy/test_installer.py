"""pip's failures in a sentence, where it can be had from the real pip."""

import socket
import sys
from pathlib import Path

import pytest

from installer import cause, install
from refusal import Refusal

ABSENT = "a-package-that-is-not-there"


def test_package_that_is_not_to_be_had(capfd: pytest.CaptureFixture[str]) -> None:
    """A package that no source has ends in its sentence, and pip's own last words are shown."""
    with pytest.raises(
        Refusal, match=r"^Nothing could be fetched: is there a network, .* a package is not to be had"
    ):
        install(sys.executable, ["--no-index", f"{ABSENT}==1"], what="it")

    assert f"No matching distribution found for {ABSENT}==1" in capfd.readouterr().err


def test_source_that_does_not_answer() -> None:
    """Without a network the sentence speaks of the network, not of the package that pip then lacks."""
    with socket.socket() as closed:
        # Bound, but not listening: nobody else can answer here either.
        closed.bind(("127.0.0.1", 0))
        source = f"http://127.0.0.1:{closed.getsockname()[1]}/"
        unanswered = ["--isolated", "--retries=1", "--index-url", source]

        with pytest.raises(
            Refusal, match=r"^Nothing could be fetched: is there a network, or a proxy to set\?$"
        ):
            install(sys.executable, [*unanswered, f"{ABSENT}==1"], what="it")


def test_package_that_is_not_the_lock_s(tmp_path: Path) -> None:
    """Another file of the same name and version is not installed."""
    (tmp_path / "berry-1-py3-none-any.whl").write_bytes(b"not what was locked")
    lock = tmp_path / "lock.txt"
    lock.write_text(f"berry==1 --hash=sha256:{'0' * 64}\n")

    with pytest.raises(Refusal, match=r"^A package is not the one that the lock names"):
        install(
            sys.executable,
            ["--no-index", "--find-links", str(tmp_path), "--require-hashes", "--requirement", str(lock)],
            what="it",
        )


@pytest.mark.parametrize(
    ("said", "sentence"),
    [
        pytest.param(
            "ERROR: Could not install packages due to an OSError: [Errno 28] No space left on device",
            "The disk is full: free some space and start again.",
            id="full disk",
        ),
        pytest.param(
            "ERROR: Could not install packages due to an OSError: [Errno 30] Read-only file system: '/x'",
            "The disk cannot be written to: copy Trussline to a folder of your own.",
            id="disk for reading only",
        ),
        pytest.param(
            "WARNING: Retrying after connection broken by 'X': [Errno -3] Temporary failure in name resolution\n"
            "ERROR: No matching distribution found for flask==3.1.2",
            "Nothing could be fetched: is there a network, or a proxy to set?",
            id="no network",
        ),
        pytest.param("something new", "The packages could not be installed, see above.", id="anything else"),
    ],
)
def test_cause_is_told_in_a_sentence(said: str, sentence: str) -> None:
    """What cannot be brought about here is recognised by the words pip uses for it."""
    assert sentence == cause(said)
