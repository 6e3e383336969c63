"""Whatever is posted to the hook by who knows the key: an answer, never a fault of ours."""

import base64
import json
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from flask.testing import FlaskClient
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from service.gateways.signing import Keys, write_key
from service.use_cases.receiving import clean
from service.web.app import create_app
from tests.depth import times
from tests.stand_in_house import NOW, StandInHouse, make_house

KEYS = Keys((b"k" * 32,))
STRANGER = Keys((b"x" * 32,))
PATH = "/hooks/v1/http"
TAKEN, REFUSED = 200, 400


class Poster:
    """Posts bodies, each under an id of its own."""

    def __init__(self, house: StandInHouse) -> None:
        """Open the pages of `house`."""
        self.house = house
        self.client: FlaskClient = create_app(house).test_client()
        self.posts = 0

    def post(self, raw: bytes, *, keys: Keys = KEYS) -> int:
        """Post a signed body; return the status."""
        self.posts += 1
        signed = keys.sign(id=f"post-{self.posts}", at=self.house.real_clock.now(), body=raw)
        return self.client.post(PATH, data=raw, headers=signed, base_url="http://localhost").status_code

    def inbound(self, **data: object) -> int:
        """Post a text of a phone."""
        whole = {
            "message_ref": f"in-{self.posts}",
            # No phone of these floods us: that is another story.
            "source": f"+25562123{self.posts:04d}",
            "received_at": NOW.isoformat(),
            **data,
        }
        return self.post(json.dumps({"type": "sms.inbound", "data": whole}).encode())

    def newest(self) -> tuple[str, bytes]:
        """Return the newest text as it is read, and its bytes."""
        with self.house.database.engine.connect() as connection:
            row = connection.exec_driver_sql("SELECT text, raw FROM inbound ORDER BY id DESC LIMIT 1").one()
        return str(row.text), bytes(row.raw)

    def stored(self) -> int:
        """Return how many texts are stored."""
        with self.house.database.engine.connect() as connection:
            return int(connection.exec_driver_sql("SELECT count(*) FROM inbound").scalar_one())


@pytest.fixture(scope="module")
def poster(migrated_file: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Poster]:
    """A gateway that knows the key, before a programme that is no demo."""
    folder = tmp_path_factory.mktemp("hook")
    file = Path(shutil.copy(migrated_file, folder / "trussline.db"))
    keys = folder / "gateway-receive.keys"
    keys.write_text(write_key(KEYS.secrets[0]))
    keys.chmod(0o600)
    house = make_house(f"sqlite:///{file}", folder, demo=False, gateway="http")
    yield Poster(house)
    house.database.close()


# What JSON can hold, half a character and numbers beyond all bounds among it.
ODD = st.sampled_from(
    ["", "\ud800", "\x00", 10**400, -1, 1e308, "0001-01-01T00:00:00+14:00", "9" * 5000, "ucs2"]
)
LEAVES = st.none() | st.booleans() | st.floats() | st.integers() | st.text(max_size=20) | ODD
NAMES = (
    "message_ref",
    "source",
    "text",
    "octets_b64",
    "coding",
    "received_at",
    "part",
    "our_ref",
    "gateway_ref",
)
MORE_NAMES = (
    "stage",
    "code",
    "at",
    "final",
    "dialogue",
    "turn",
    "up",
    "ref",
    "number",
    "total",
    "scheme",
    "value",
)
VALUES = st.recursive(
    LEAVES,
    lambda inner: (
        st.lists(inner, max_size=3) | st.dictionaries(st.sampled_from(NAMES + MORE_NAMES), inner, max_size=8)
    ),
    max_leaves=12,
)
TYPES = st.sampled_from(["sms.inbound", "sms.progress", "ussd.turn", "link.state"])
WHOLE: dict[str, Any] = {
    "message_ref": "in",
    "source": "0621234560",
    "text": "HELP",
    "received_at": NOW.isoformat(),
    "gateway_ref": "g",
    "stage": "delivered",
    "at": NOW.isoformat(),
    "dialogue": "d",
    "turn": 1,
    "up": True,
}
ALMOST = st.builds(
    lambda without, odd: {**{name: WHOLE[name] for name in WHOLE if name not in without}, **odd},
    st.sets(st.sampled_from(sorted(WHOLE)), max_size=2),
    st.dictionaries(st.sampled_from(NAMES + MORE_NAMES), VALUES, max_size=3),
)
POSTS = st.fixed_dictionaries({"type": TYPES | LEAVES, "data": ALMOST | VALUES})
MANY = settings(
    max_examples=times(150, each=40),
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)


@MANY
@given(raw=st.binary(max_size=200))
@example(raw=b"")
@example(raw=b"[" * 60_000)
@example(raw=b"9" * 60_000)
@example(raw='{"type": "sms.inbound"'.encode("utf-16"))
def test_any_bytes_are_answered(poster: Poster, raw: bytes) -> None:
    """Bytes that are no post of ours are refused, whatever they are."""
    assert REFUSED == poster.post(raw)


@MANY
@given(post=POSTS)
@example(post={"type": "sms.inbound", "data": {name: WHOLE[name] for name in WHOLE if name != "text"}})
def test_anything_like_a_post_is_answered(poster: Poster, post: object) -> None:
    """Fields that lack, are of another type or out of all bounds: taken or refused, never a fault of ours."""
    assert poster.post(json.dumps(post).encode()) in {TAKEN, REFUSED}


@MANY
@given(
    text=st.text(max_size=300)
    | st.text(st.characters(categories=["Cs", "Cc", "Cf", "Co", "Mn", "So"]), max_size=60)
)
def test_any_text_is_taken_as_it_came(poster: Poster, text: str) -> None:
    """Every text a phone could send is acknowledged; its bytes are kept, and what is read does no screen harm."""
    assert TAKEN == poster.inbound(text=text)
    assert (clean(text), text.encode("utf-8", "surrogatepass")) == poster.newest()


@MANY
@given(octets=st.binary(max_size=140), coding=st.sampled_from(["ucs2", "utf8", "latin1"]))
def test_any_octets_are_taken(poster: Poster, octets: bytes, coding: str) -> None:
    """What a gateway does not decode may be broken: it is read as far as it goes."""
    assert TAKEN == poster.inbound(octets_b64=base64.b64encode(octets).decode(), coding=coding)


@settings(MANY, max_examples=times(1000, each=100))
@given(raw=st.binary(max_size=80) | POSTS.map(lambda post: json.dumps(post).encode()))
def test_nothing_of_a_stranger_is_kept(poster: Poster, raw: bytes) -> None:
    """Posts signed with another key: each is refused, and none leaves a trace."""
    before = poster.stored()

    assert 401 == poster.post(raw, keys=STRANGER)
    assert before == poster.stored()
