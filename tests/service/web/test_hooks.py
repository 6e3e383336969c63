"""The hooks: what a gateway posts is taken once, and only if it is signed."""

import base64
import json
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from flask.testing import FlaskClient
from sqlalchemy import text
from werkzeug.test import TestResponse

from service.db.engine import transaction
from service.db.work import Database
from service.gateways.signing import Keys, write_key
from service.web.app import create_app
from tests.stand_in_house import NOW, REAL_NOW, SEAL, StandInHouse, make_house

KEYS = Keys((b"k" * 32,))
PATH = "/hooks/v1/http"
NUMBER = "+255621234560"


class Gateway:
    """A gateway that posts to the pages of a house."""

    def __init__(self, house: StandInHouse) -> None:
        """Open the pages."""
        self.house = house
        self.client: FlaskClient = create_app(house).test_client()

    def post(
        self,
        body: object,
        *,
        id: str = "post-1",  # noqa: A002 - what the specification calls it
        path: str = PATH,
        keys: Keys = KEYS,
        **headers: str,
    ) -> TestResponse:
        """Post a body, signed at the moment of the house's real clock."""
        raw = body if isinstance(body, bytes) else json.dumps(body).encode()
        signed = keys.sign(id=id, at=self.house.real_clock.now(), body=raw)
        return self.client.post(path, data=raw, headers={**signed, **headers}, base_url="http://localhost")

    def rows(self, statement: str) -> list[dict[str, Any]]:
        """Look into the database."""
        with self.house.database.engine.connect() as connection:
            return [dict(row) for row in connection.execute(text(statement)).mappings()]


@pytest.fixture
def gateway(empty_file: Path, tmp_path: Path) -> Iterator[Gateway]:
    """A gateway that knows the key, before a programme that is no demo."""
    file = tmp_path / "trussline.db"
    file.write_bytes(empty_file.read_bytes())
    keys = tmp_path / "gateway-receive.keys"
    keys.write_text(write_key(KEYS.secrets[0]))
    keys.chmod(0o600)
    house = make_house(f"sqlite:///{file}", tmp_path, demo=False, gateway="http")
    yield Gateway(house)
    house.database.close()


def inbound(**given: object) -> dict[str, object]:
    """Return the body of a text that came in."""
    data = {
        "message_ref": "in-1",
        "source": NUMBER,
        "destination": "15077",
        "text": "HELP",
        "received_at": NOW.isoformat(),
        **given,
    }
    return {"type": "sms.inbound", "id": "post-1", "time": NOW.isoformat(), "gateway": "main", "data": data}


def without(post: dict[str, object], name: str) -> dict[str, object]:
    """Return a body whose data lack one field."""
    data = post["data"]
    assert isinstance(data, dict)
    return {**post, "data": {key: value for key, value in data.items() if key != name}}


def receipt(**given: object) -> dict[str, object]:
    """Return the body of a receipt."""
    data = {
        "our_ref": None,
        "gateway_ref": "g-1",
        "stage": "delivered",
        "part": None,
        "code": {"scheme": "smpp", "value": 2},
        "at": NOW.isoformat(),
        "final": True,
        **given,
    }
    return {"type": "sms.progress", "data": data}


def test_a_text_is_stored_before_it_is_acknowledged(gateway: Gateway) -> None:
    """After the 200 the text is in the database, with its bytes and its reference."""
    response = gateway.post(inbound(text="harvest 4"))

    assert (200, {"new": True}) == (response.status_code, response.json)
    assert [("in-1", "http", "harvest 4", b"harvest 4", "stored")] == [
        tuple(row.values()) for row in gateway.rows("SELECT ref, gateway, text, raw, state FROM inbound")
    ]


@pytest.mark.parametrize("later", [timedelta(), timedelta(minutes=10), timedelta(days=6)])
def test_a_post_that_comes_again_has_no_effect(gateway: Gateway, later: timedelta) -> None:
    """Posted again under its id, now, ten minutes or days later, it is acknowledged and changes nothing."""
    gateway.post(inbound())
    gateway.house.real_clock.advance(later)
    again = gateway.post(inbound())

    assert (200, {"new": False}) == (again.status_code, again.json)
    assert 1 == len(gateway.rows("SELECT id FROM inbound"))


def test_a_recorded_post_is_refused_after_five_minutes(gateway: Gateway) -> None:
    """Whoever plays back what was on the wire, signature and all, is told that its time has passed."""
    raw = json.dumps(inbound()).encode()
    recorded = KEYS.sign(id="post-9", at=REAL_NOW, body=raw)
    gateway.house.real_clock.advance(timedelta(minutes=10))
    response = gateway.client.post(PATH, data=raw, headers=recorded, base_url="http://localhost")

    assert 401 == response.status_code
    assert [] == gateway.rows("SELECT id FROM inbound")


def test_another_id_for_the_same_text_is_one_text(gateway: Gateway) -> None:
    """The network's reference counts, whatever the post is called."""
    gateway.post(inbound(), id="post-1")

    assert {"new": False} == gateway.post(inbound(), id="post-2").json
    assert 1 == len(gateway.rows("SELECT id FROM inbound"))


FORGED: dict[str, dict[str, Any]] = {
    "another key": {"keys": Keys((b"x" * 32,))},
    "another signature": {"headers": {"webhook-signature": "v1,AAAA"}},
    "no signature": {"headers": {"webhook-signature": ""}},
    "another time": {"headers": {"webhook-timestamp": "1"}},
    "another id": {"headers": {"webhook-id": "post-2"}},
}


@pytest.mark.parametrize("forged", FORGED.values(), ids=FORGED.keys())
def test_what_is_not_signed_is_refused_and_nothing_kept(gateway: Gateway, forged: dict[str, Any]) -> None:
    """A forged post gets a problem and leaves no trace; the key is in no answer."""
    response = gateway.post(inbound(), keys=forged.get("keys", KEYS), **forged.get("headers", {}))

    assert (401, "application/problem+json") == (response.status_code, response.mimetype)
    assert "urn:trussline:problem:bad-signature" == response.json["type"]  # type: ignore[index]
    assert [] == gateway.rows("SELECT id FROM inbound")
    assert [] == gateway.rows("SELECT webhook_id FROM hook_seen")


def test_a_signature_over_what_is_no_json_is_looked_at_first(gateway: Gateway) -> None:
    """Nothing reads a body before its signature is known to be good."""
    assert 401 == gateway.post(b"{", keys=Keys((b"x" * 32,))).status_code
    assert 400 == gateway.post(b"{").status_code


def test_a_body_above_64_kib_is_refused(gateway: Gateway) -> None:
    """Memory is bounded; the longest body still goes through."""
    fits = inbound(text="x" * 60_000)

    assert 413 == gateway.post(b" " * (64 * 1024 + 1)).status_code
    assert 200 == gateway.post(fits).status_code
    assert [{"letters": 1600}] == gateway.rows("SELECT length(text) AS letters FROM inbound")


BAD: dict[str, object] = {
    "no object": [],
    "no type": {"data": {}},
    "an unknown type": {"type": "sms.exploded", "data": {}},
    "no data": {"type": "sms.inbound"},
    "a text that is none": inbound(text=7),
    "no text": inbound(text=None),
    "nothing said of a text": without(inbound(), "text"),
    "a type that is a number": {"type": NUMBER, "data": {}},
    "an instant without zone": inbound(received_at="2026-11-25T09:00:00"),
    "an instant of another age": inbound(received_at="0001-01-01T00:00:00+14:00"),
    "a reference with a line end": inbound(message_ref="a\nb"),
    "a reference with nul": inbound(message_ref="a\x00b"),
    "a part beyond its total": inbound(part={"ref": "7", "number": 3, "total": 2}),
    "a part that is none": inbound(part={"ref": "7", "number": 0, "total": 2}),
    "octets without coding": inbound(text=None, octets_b64="AAAA"),
    "octets that are none": inbound(text=None, octets_b64="!", coding="ucs2"),
    "a stage that is none": receipt(stage="lost"),
    "a receipt without reference": receipt(gateway_ref=""),
    "a part of a receipt that is none": receipt(part=256),
}


@pytest.mark.parametrize("body", BAD.values(), ids=BAD.keys())
def test_what_is_not_agreed_is_refused_in_a_problem(gateway: Gateway, body: object) -> None:
    """The answer says where, repeats nothing of it, and nothing is kept."""
    response = gateway.post(body)

    assert (400, "application/problem+json") == (response.status_code, response.mimetype)
    assert response.json["detail"]  # type: ignore[index]
    assert NUMBER[-6:] not in response.text
    assert [] == gateway.rows("SELECT webhook_id FROM hook_seen")


ODD = {
    "half a character": ("\ud83c", ""),
    "nul": ("a\x00b", "ab"),
    "right to left": ("harvest\u202e 4", "harvest 4"),
    "an emoji": ("\U0001f353", "\U0001f353"),
    "empty": ("", ""),
}


@pytest.mark.parametrize(("sent", "kept"), ODD.values(), ids=ODD.keys())
def test_odd_characters_come_through(gateway: Gateway, sent: str, kept: str) -> None:
    """Whatever a phone can send is taken; the bytes are kept, and what harms a screen is not."""
    assert 200 == gateway.post(inbound(text=sent)).status_code
    assert [{"text": kept, "raw": sent.encode("utf-8", "surrogatepass")}] == gateway.rows(
        "SELECT text, raw FROM inbound"
    )


@pytest.mark.parametrize(
    ("coding", "encoding"), [("ucs2", "utf-16-be"), ("utf8", "utf-8"), ("latin1", "latin-1")]
)
def test_octets_are_decoded(gateway: Gateway, coding: str, encoding: str) -> None:
    """A gateway that does not decode hands over octets and says how they are coded."""
    octets = base64.b64encode("d\u00e9j\u00e0 12".encode(encoding)).decode()

    assert 200 == gateway.post(inbound(text=None, octets_b64=octets, coding=coding)).status_code
    assert [{"text": "d\u00e9j\u00e0 12"}] == gateway.rows("SELECT text FROM inbound")


FORMS = ("+255621234560", "0621234560", "255621234560", "00255621234560")


def test_one_number_in_every_form_is_one_farmer(gateway: Gateway) -> None:
    """A gateway may write numbers as it likes; the programme's region reads the national ones."""
    for place, form in enumerate(FORMS):
        gateway.post(inbound(source=form, message_ref=f"in-{place}"), id=f"post-{place}")

    assert [{"texts": 4, "phones": 1}] == gateway.rows(
        "SELECT count(*) AS texts, count(DISTINCT phone_id) AS phones FROM inbound"
    )


@pytest.mark.parametrize("source", ["15077", "ZARUVI", ""])
def test_a_sender_that_is_no_phone_is_acknowledged_and_not_kept(gateway: Gateway, source: str) -> None:
    """Posting it again would change nothing, so it is not asked for."""
    response = gateway.post(inbound(source=source))

    assert (200, {"new": False}) == (response.status_code, response.json)
    assert [] == gateway.rows("SELECT id FROM inbound")
    assert 1 == len(gateway.rows("SELECT webhook_id FROM hook_seen"))


def test_parts_are_put_together(gateway: Gateway) -> None:
    """A gateway that hands parts over one by one gives one text."""
    for number, piece in ((2, "4.5"), (1, "harvest ")):
        part = {"ref": "7", "number": number, "total": 2}
        gateway.post(inbound(text=piece, part=part, message_ref=f"in-{number}"), id=f"post-{number}")

    assert [{"text": "harvest 4.5"}] == gateway.rows("SELECT text FROM inbound")


def test_a_receipt_for_nobody_is_parked(gateway: Gateway) -> None:
    """It may be early; nothing is changed by it."""
    assert 200 == gateway.post(receipt()).status_code
    assert [("http", "g-1", "delivered", "smpp:2", None)] == [
        tuple(row.values())
        for row in gateway.rows("SELECT gateway, gateway_ref, stage, code, message_id FROM receipt")
    ]


def test_a_dialogue_is_ended_politely(gateway: Gateway) -> None:
    """Menus by code are not served yet: the phone is told what to do instead, in one screen."""
    body = {
        "type": "ussd.turn",
        "data": {"dialogue": "d-81", "turn": 3, "phase": "open", "subscriber": NUMBER},
    }
    response = gateway.post(body)

    assert response.json is not None
    assert ("d-81", 3, "finish") == tuple(response.json[name] for name in ("dialogue", "turn", "next"))
    assert "15077" in response.json["screen"]


def test_the_state_of_a_link_is_taken(gateway: Gateway) -> None:
    """A gateway may say that its own link is down."""
    assert 200 == gateway.post({"type": "link.state", "data": {"up": False}}).status_code


@pytest.mark.parametrize("path", ["/hooks/v1/simulator", "/hooks/v1/other"])
def test_another_gateway_has_no_hook(gateway: Gateway, path: str) -> None:
    """Only the gateway of the settings posts here; the simulator never does."""
    assert 404 == gateway.post(inbound(), path=path).status_code


def test_a_demo_has_no_hook(house: StandInHouse) -> None:
    """Where only the simulator is reached, nobody posts, signed or not."""
    assert 404 == Gateway(house).post(inbound(), path="/hooks/v1/simulator").status_code


def test_keys_that_cannot_be_read_ask_for_the_post_again(gateway: Gateway, tmp_path: Path) -> None:
    """A slip of ours costs no text: it is to be posted again when the keys are back."""
    (tmp_path / "gateway-receive.keys").chmod(0o644)
    response = gateway.post(inbound())

    assert 503 == response.status_code
    assert "5" == response.headers["Retry-After"]


def test_a_key_is_changed_while_the_pages_run(gateway: Gateway, tmp_path: Path) -> None:
    """A new line in the file counts at once; a line taken out does not count any more."""
    new = Keys((b"n" * 32,))
    file = tmp_path / "gateway-receive.keys"
    file.write_text(f"{write_key(new.secrets[0])}\n{write_key(KEYS.secrets[0])}\n")
    both = [
        gateway.post(inbound(), id=f"post-{name}", keys=keys).status_code
        for name, keys in (("a", KEYS), ("b", new))
    ]
    file.write_text(write_key(new.secrets[0]))

    assert [200, 200] == both
    assert 401 == gateway.post(inbound(), id="post-c").status_code


class BusyDatabase(Database):
    """A database that gives up waiting at once."""

    @contextmanager
    def work(self) -> Iterator[Any]:
        """Open a unit of work without patience."""
        with transaction(self.engine, reading=True) as connection:
            connection.exec_driver_sql("PRAGMA busy_timeout=1")
        with super().work() as work:
            yield work


def test_while_the_database_is_busy_the_post_is_asked_for_again(gateway: Gateway) -> None:
    """A 503 keeps the text with the gateway; posted again it is stored once."""
    url = gateway.house.database.engine.url.render_as_string(hide_password=False)
    busy = Gateway(replace(gateway.house, database=BusyDatabase(url, SEAL)))
    with gateway.house.database.work() as work:
        work.staff.put_setting("held", "by another")
        refused = busy.post(inbound())

    assert (503, "5") == (refused.status_code, refused.headers["Retry-After"])
    assert [] == gateway.rows("SELECT id FROM inbound")
    assert 200 == busy.post(inbound()).status_code
    assert 1 == len(gateway.rows("SELECT id FROM inbound"))
    busy.house.database.close()


def test_no_session_and_no_form_of_ours_is_asked_for(gateway: Gateway) -> None:
    """The signature is the permission: a foreign origin is no hindrance, and no cookie is set."""
    response = gateway.post(inbound(), Origin="https://gateway.example")

    assert 200 == response.status_code
    assert "Set-Cookie" not in response.headers


@pytest.mark.parametrize("when", [datetime.fromisoformat("2026-11-25T09:00:00+03:00")])
def test_instants_of_any_zone_are_taken(gateway: Gateway, when: datetime) -> None:
    """What the network says is kept as the instant it is, but never as one that is still to come."""
    gateway.post(inbound(received_at=when.isoformat()))

    assert ["2026-11-25 03:41:00.000000"] == [
        row["received_at"] for row in gateway.rows("SELECT received_at FROM inbound")
    ]
