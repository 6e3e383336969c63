"""What the scripts find of the machine, and what they say if it is not there."""

from pathlib import Path

import pytest

from machine import apt_install, chromium, memory
from refusal import Refusal


def program(folder: Path, name: str) -> Path:
    """Put a program of that name into a folder."""
    path = folder / name
    path.write_text("#!/bin/sh\n")
    path.chmod(0o755)
    return path


@pytest.fixture
def bare(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A machine without any program; returns the folder where it looks for them."""
    monkeypatch.setenv("PATH", str(tmp_path))
    monkeypatch.delenv("TRUSSLINE_TEST_CHROMIUM", raising=False)
    return tmp_path


def test_named_browser_comes_first(bare: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A browser that was named is taken, whatever else there is."""
    program(bare, "chromium")
    monkeypatch.setenv("TRUSSLINE_TEST_CHROMIUM", "a-browser-of-ones-own")

    assert "a-browser-of-ones-own" == chromium()


@pytest.mark.parametrize("name", ["chromium", "chromium-browser", "google-chrome", "google-chrome-stable"])
def test_installed_browser_is_found(bare: Path, name: str) -> None:
    """Each name that a browser of the family goes by is known."""
    assert str(program(bare, name)) == chromium()


@pytest.mark.usefixtures("bare")
def test_missing_browser_is_a_refusal() -> None:
    """Without a browser and off Debian the sentence says what is missing and for what."""
    with pytest.raises(
        Refusal, match=r"^chromium is needed for the tests in a browser: please install it\.$"
    ):
        chromium()


@pytest.mark.usefixtures("bare")
def test_package_off_debian_is_a_refusal() -> None:
    """Off Debian a package is named, not installed."""
    with pytest.raises(Refusal, match=r"^postgresql is needed for the tests: please install it\.$"):
        apt_install("postgresql", needed_for="the tests")


def test_memory_is_used_where_there_is_room(tmp_path: Path) -> None:
    """A folder that is there and has room will do; one that has not, or is not there, leaves it to the disk."""
    assert str(tmp_path) == memory(tmp_path, room=1)
    assert memory(tmp_path, room=2**80) is None
    assert memory(tmp_path / "none", room=1) is None
