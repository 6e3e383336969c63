"""The clock of a demo: its buttons keep a wish, and the worker does the rest."""

from datetime import UTC, datetime
from pathlib import Path

import pytest

from service.web.app import create_app
from tests.stand_in_house import StandInHouse, empty_database, make_house
from tests.web_desk import Desk


@pytest.mark.parametrize(
    ("steps", "hours"),
    [
        (["hour"], "1"),
        (["day"], "24"),
        (["week"], "168"),
        (["day", "hour", "hour"], "26"),
        (["week"] * 9, "1344"),
    ],
    ids=["hour", "day", "week", "adds up", "eight weeks at most"],
)
def test_buttons_keep_a_wish(steps: list[str], hours: str, desk: Desk, house: StandInHouse) -> None:
    """Each button adds to the hours that the worker still has to step."""
    for step in steps:
        assert 303 == desk.send("/clock", step=step).status_code

    assert hours == house.kept_setting("clock_wish")


@pytest.mark.parametrize(
    ("now", "left", "hours"),
    [
        ("2026-11-25T03:41", "0", "1"),
        ("2026-11-25T04:00", "0", "24"),
        ("2026-11-25T04:01", "0", "24"),
        ("2026-11-25T03:00", "0", "1"),
        ("2026-11-25T03:41", "1", "25"),
    ],
    ids=["06:41", "07:00", "07:01", "06:00", "after what is wished already"],
)
def test_next_morning(now: str, left: str, hours: str, desk: Desk, house: StandInHouse) -> None:
    """The morning button ends at 7 local time or less than an hour after it; at 7 it means tomorrow."""
    house.service_clock.set(datetime.fromisoformat(now).replace(tzinfo=UTC))
    house.setting("clock_wish", left)
    desk.send("/clock", step="morning")

    assert hours == house.kept_setting("clock_wish")


def test_page_shows_progress(desk: Desk, house: StandInHouse) -> None:
    """The page and its live part show service time, what is left and where it ends."""
    house.setting("clock_wish", "26")
    for path in ("/clock", "/clock/face"):
        page = desk.text(path)
        assert "<b>06:41</b> Wednesday 25 November 2026" in page
        assert "26 hours" in page
        assert "until Thu 26 Nov 08:41" in page


def test_unknown_step_is_refused(desk: Desk, house: StandInHouse) -> None:
    """A step that no button offers changes nothing."""
    assert 400 == desk.send("/clock", step="year").status_code
    assert house.kept_setting("clock_wish") is None


@pytest.mark.parametrize("path", ["/clock", "/clock/face", "/practice", "/practice/1", "/practice/1/thread"])
def test_real_service_has_neither_clock_nor_practice_phone(path: str, tmp_path: Path, desk: Desk) -> None:
    """Outside a demo these pages are not there, and no page leads to them."""
    url = f"sqlite:///{tmp_path / 'real.db'}"
    empty_database(url)
    real = make_house(url, tmp_path, demo=False)
    officer = type(desk)(house=real, app=create_app(real))
    officer.sign_in()

    assert 404 == officer.get(path).status_code
    assert "/practice" not in officer.text("/")
    real.database.close()
