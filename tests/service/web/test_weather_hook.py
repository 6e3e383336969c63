"""The hook for weather: taken once, whole or not at all, and only if it is signed with its own keys."""

import json
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any, Final

import pytest
from standardwebhooks import Webhook
from werkzeug.test import TestResponse

from service.core.weather_ports import DayWeather
from service.gateways.signing import Keys, write_key
from service.web.app import create_app
from tests.stand_in_house import NOW, Planter, StandInHouse, make_house

KEYS: Final = Keys((b"w" * 32,))
TOMORROW: Final = date(2026, 11, 26)
FORECAST: Final[dict[str, Any]] = {
    "district": "Ketumali",
    "sender": "upper station",
    "issued_at": NOW.isoformat(),
    "days": [{"day": "2026-11-26", "tmin_c": 1.4, "tmax_c": 19}],
    "hours": [{"hour": "2026-11-26T05:00", "air_c": 1.5, "wet_minutes": 60}],
}


class Station:
    """A machine that posts weather to the pages of a house."""

    def __init__(self, house: StandInHouse) -> None:
        """Open the pages."""
        self.house = house
        self.client = create_app(house).test_client()

    def post(self, body: object, *, id: str = "post-1", keys: Keys = KEYS) -> TestResponse:  # noqa: A002 - the specification's word
        """Post a body, signed at the moment of the house's real clock."""
        raw = body if isinstance(body, bytes) else json.dumps(body).encode()
        signed = keys.sign(id=id, at=self.house.real_clock.now(), body=raw)
        return self.client.post("/hooks/v1/weather", data=raw, headers=signed, base_url="http://localhost")

    def batches(self) -> int:
        """Return how many batches came in."""
        with self.house.database.look() as work:
            return len(work.weather_batches.latest(None, 99))

    def tomorrow(self) -> DayWeather | None:
        """Return what is known of tomorrow in Ketumali."""
        with self.house.database.look() as work:
            home = next(one.id for one in work.people.districts() if one.name == "Ketumali")
            return work.weather.between(home, TOMORROW, TOMORROW).get(TOMORROW)


@pytest.fixture
def station(empty_file: Path, tmp_path: Path) -> Iterator[Station]:
    """A station that knows the key, and a programme with districts."""
    file = tmp_path / "trussline.db"
    file.write_bytes(empty_file.read_bytes())
    keys = tmp_path / "weather.keys"
    keys.write_text(write_key(KEYS.secrets[0]))
    keys.chmod(0o600)
    house = make_house(f"sqlite:///{file}", tmp_path, demo=False)
    Planter(house)
    yield Station(house)
    house.database.close()


def test_a_post_is_kept_once(station: Station) -> None:
    """Under its id; under another one it tells nothing new, which is no fault either."""
    answers = [station.post(FORECAST, id=one) for one in ("post-1", "post-1", "post-2")]

    assert [(200, {"new": True}), (200, {"new": False}), (200, {"new": False})] == [
        (answer.status_code, answer.json) for answer in answers
    ]
    assert 1 == station.batches()
    assert DayWeather(observed=False, issued_at=NOW, tmin_c=1.4, tmax_c=19.0) == station.tomorrow()


def test_what_a_second_library_signs_is_taken(station: Station) -> None:
    """Signed by the specification's own reference library, Standard Webhooks 1.0.0 (package `standardwebhooks`)."""
    now, raw = station.house.real_clock.now(), json.dumps(FORECAST)
    headers = {
        "webhook-id": "post-9",
        "webhook-timestamp": str(int(now.timestamp())),
        "webhook-signature": Webhook(write_key(KEYS.secrets[0])).sign("post-9", now, raw),
    }
    answer = station.client.post("/hooks/v1/weather", data=raw, headers=headers, base_url="http://localhost")

    assert 200 == answer.status_code


def test_keys_of_others_open_nothing(station: Station) -> None:
    """A gateway's key is none for weather."""
    answer = station.post(FORECAST, keys=Keys((b"k" * 32,)))

    assert (401, 0) == (answer.status_code, station.batches())


def changed(**given: object) -> dict[str, Any]:
    """Return the post with other values."""
    return {**FORECAST, **given}


@pytest.mark.parametrize(
    ("body", "sentence"),
    [
        pytest.param(b"{", "the body is no JSON", id="no JSON"),
        pytest.param([], "the body: Input should be", id="no object"),
        pytest.param(changed(district="Nowhere"), "no district of that name here", id="no such district"),
        pytest.param(changed(frost=True), "frost: is not known: take it out.", id="a field of its own"),
        pytest.param({"district": "Ketumali"}, "sender: is missing: add it.", id="a field missing"),
        pytest.param(changed(issued_at="2026-11-25T06:00"), "issued_at: ", id="a moment without a zone"),
        pytest.param(
            changed(issued_at="2026-11-26T00:00:00Z"), "issued_at is still to come", id="not issued yet"
        ),
        pytest.param(changed(days=[], hours=[]), "no day and of no hour", id="nothing told"),
        pytest.param(
            changed(days=[{"day": "2026-11-26", "tmin": 1}]),
            "day 1: there is no tmin: use day",
            id="no column",
        ),
        pytest.param(
            changed(days=[{"day": "2026-11-26", "tmin_c": 1e9}]),
            "day 1: tmin_c is 1000000000.0",
            id="too hot",
        ),
        pytest.param(
            b'{"district":"Ketumali","sender":"s","days":[{"day":"2026-11-25","rain_mm":NaN}]}',
            "day 1: rain_mm is nan, outside",
            id="no number at all",
        ),
        pytest.param(
            changed(days=[{"day": "2026-11-26", "tmin_c": 10**400}]),
            "day 1: tmin_c is 1000",
            id="beyond floats",
        ),
        pytest.param(
            changed(days=[{"day": "2026-11-26", "tmin_c": True}]),
            "day 1: tmin_c is 'True', which",
            id="a yes",
        ),
        pytest.param(changed(days=[{"tmin_c": 1}]), "day 1: day is 'None', which is no day", id="no day"),
        pytest.param(
            changed(hours=[{"hour": "2026-11-26T05:10", "air_c": 1}]),
            "hour 1: hour is 2026-11-26T05:10",
            id="ten past",
        ),
    ],
)
def test_what_cannot_be_taken_is_told_and_nothing_kept(station: Station, body: object, sentence: str) -> None:
    """In one sentence; mended, the same id is taken."""
    answer = station.post(body)
    mended = station.post(FORECAST)

    assert 400 == answer.status_code
    assert answer.json is not None
    assert sentence in answer.json["detail"]
    assert ({"new": True}, 1) == (mended.json, station.batches())


def test_without_keys_it_is_told(station: Station) -> None:
    """A programme that takes no weather from machines has no such file."""
    station.house.settings.weather_keys.unlink()

    assert 503 == station.post(FORECAST).status_code
