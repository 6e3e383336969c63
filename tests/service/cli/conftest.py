"""Programmes that commands are typed in."""

from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from service.agronomy.calendar import load_calendar
from service.bootstrap import build
from service.cli.main import main
from service.clock import RealClock
from service.db.measuring.seeding import seed, seed_weights
from service.db.work import Database
from service.keys import open_or_make
from service.settings import Settings, given_settings
from service.use_cases.districts import add_district


@pytest.fixture
def settings(tmp_path: Path) -> Settings:
    """A programme with one district."""
    given = given_settings(data_dir=tmp_path / "data")
    house = build(given)
    house.ready_database()
    with house.database.work() as work:
        add_district(work, name="Ndaliro", zone=given.zone, elevation_m=2150)
    house.close()
    return given


@pytest.fixture
def eighty(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[[int], Callable[..., Result]]:
    """Open a terminal in a programme of eighty farmers, who have told weights for that many weeks."""

    def terminal(weeks: int) -> Callable[..., Result]:
        monkeypatch.chdir(tmp_path)
        given = given_settings(data_dir=tmp_path / "data")
        runner = CliRunner(env={"TRUSSLINE_DATA_DIR": str(given.data_dir)})
        assert 0 == runner.invoke(main, ["migrate"]).exit_code
        seal, _ = open_or_make(given.keys)
        database, now = Database(given.database, seal), RealClock().now()
        seed(database, seal, 80, load_calendar().id, now)
        assert seed_weights(database, now, 7 * weeks) > 80
        database.close()
        return lambda *words: runner.invoke(main, words)

    return terminal
