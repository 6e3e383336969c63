"""One fork server for all kill tests, and a stage for each."""

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.faults.stage import ForkServer, Stage


@pytest.fixture(scope="session")
def forks() -> Iterator[ForkServer]:
    """One fork server for all kill tests."""
    server = ForkServer()
    yield server
    server.close()


@pytest.fixture
def stage(forks: ForkServer, tmp_path: Path) -> Iterator[Callable[..., Stage]]:
    """Set stages, and clear them away."""
    made: list[Stage] = []

    def build(**given: Any) -> Stage:  # noqa: ANN401 - the fields of a stage
        made.append(Stage(folder=tmp_path, forks=forks, **given))
        return made[-1]

    yield build
    for one in made:
        one.close()
