"""The pages of a house, opened through Flask's test client."""

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.stand_in_house import Planter, StandInHouse, empty_database, make_house
from tests.web_desk import Desk, app_of


@pytest.fixture(scope="session")
def empty_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A database file with all tables and nothing in them; copying it is faster than making it."""
    file = tmp_path_factory.mktemp("empty") / "trussline.db"
    empty_database(f"sqlite:///{file}")
    return file


@pytest.fixture
def house(tmp_path: Path, empty_file: Path) -> Iterator[StandInHouse]:
    """An empty demo."""
    shutil.copy(empty_file, tmp_path / "trussline.db")
    made = make_house(f"sqlite:///{tmp_path / 'trussline.db'}", tmp_path)
    yield made
    made.database.close()


@pytest.fixture
def planter(house: StandInHouse) -> Planter:
    """Fills the house with what a test needs."""
    return Planter(house)


@pytest.fixture
def door(house: StandInHouse) -> Desk:
    """A browser with nobody signed in."""
    return Desk(house=house, app=app_of(house))


@pytest.fixture
def desk(door: Desk) -> Desk:
    """A browser with an officer signed in."""
    door.sign_in()
    return door
