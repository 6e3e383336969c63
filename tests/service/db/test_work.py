"""A unit of work: what can be asked in it is made when it is asked for."""

from pathlib import Path

from service.db.work import Database
from tests.stand_in_house import SEAL, empty_database


def test_queries_are_made_when_they_are_needed_and_once(tmp_path: Path) -> None:
    """Opening a unit of work costs nothing for what it does not use."""
    url = f"sqlite:///{tmp_path / 'trussline.db'}"
    empty_database(url)
    database = Database(url, SEAL)

    with database.work() as work:
        before = set(vars(work))
        same = work.plots is work.plots
        after = set(vars(work))

    assert same
    assert {"plots"} == after - before
    database.close()
