"""Signatures by Standard Webhooks, checked against the published example and the specification's own library."""

import base64
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
import standardwebhooks
from hypothesis import given, settings
from hypothesis import strategies as st

from service.core.errors import SettingError
from service.gateways.signing import BadSignature, Keys, parse_keys, read_keys, write_key

NOW = datetime(2026, 11, 25, 9, 0, tzinfo=UTC)
OLD, NEW = Keys((b"o" * 24,)), Keys((b"n" * 64,))
BOTH = Keys(NEW.secrets + OLD.secrets)
BODY = b'{"type":"sms.inbound"}'


def test_the_published_example() -> None:
    """The example that the specification's libraries are tested with (Standard Webhooks; written from memory)."""
    keys = parse_keys(["whsec_MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw"])

    signed = keys.sign(
        id="msg_p5jXN8AQM9LWM0D4loKWxJek",
        at=datetime.fromtimestamp(1614265330, tz=UTC),
        body=b'{"test": 2432232314}',
    )

    assert "v1,g0hM9SsE+OTPJTGt/tmIKtSyZlE3uFJELVlNIOLJ1OE=" == signed["webhook-signature"]


@settings(max_examples=50)
@given(st.binary(min_size=24, max_size=64), st.text(min_size=0, max_size=60))
def test_the_specifications_library_agrees(secret: bytes, text: str) -> None:
    """What we sign, the reference library verifies, and signs alike (standardwebhooks, MIT)."""
    body = text.encode("utf-8", "replace")
    other = standardwebhooks.Webhook(base64.b64encode(secret).decode())
    at = datetime.now(tz=UTC)  # noqa: TID251 - the library looks at the real clock

    signed = Keys((secret,)).sign(id="post-1", at=at, body=body)

    assert signed["webhook-signature"] == other.sign("post-1", at, body.decode())
    headers = {**signed, "content-type": "application/json"}
    if body and _is_json(body):
        other.verify(body, headers)


def _is_json(body: bytes) -> bool:
    return body.isdigit() and body.isascii() and not body.startswith(b"0")


CHANGES = {
    "one key": (OLD, OLD),
    "we sign with both, the other side knows the old one": (BOTH, OLD),
    "we sign with both, the other side knows the new one": (BOTH, NEW),
    "the other side knows both": (OLD, BOTH),
}


@pytest.mark.parametrize(("signer", "verifier"), CHANGES.values(), ids=CHANGES.keys())
def test_a_key_is_changed_without_a_pause(signer: Keys, verifier: Keys) -> None:
    """While both sides change their keys one after the other, every signature goes on being good."""
    signed = signer.sign(id="post-1", at=NOW, body=BODY)

    assert "post-1" == verifier.verify(signed, BODY, now=NOW)


SIGNED = OLD.sign(id="post-1", at=NOW, body=BODY)
FORGERIES: dict[str, tuple[dict[str, str], bytes, timedelta]] = {
    "another body": (SIGNED, BODY + b" ", timedelta()),
    "another id": ({**SIGNED, "webhook-id": "post-2"}, BODY, timedelta()),
    "another time": ({**SIGNED, "webhook-timestamp": str(int(NOW.timestamp()) + 1)}, BODY, timedelta()),
    "another key": (NEW.sign(id="post-1", at=NOW, body=BODY), BODY, timedelta()),
    "another version": (
        {**SIGNED, "webhook-signature": SIGNED["webhook-signature"].replace("v1,", "v1a,")},
        BODY,
        timedelta(),
    ),
    "too late": (SIGNED, BODY, timedelta(seconds=301)),
    "too early": (SIGNED, BODY, timedelta(seconds=-301)),
    "no signature": ({**SIGNED, "webhook-signature": ""}, BODY, timedelta()),
    "no id": ({**SIGNED, "webhook-id": ""}, BODY, timedelta()),
    "no time": ({**SIGNED, "webhook-timestamp": ""}, BODY, timedelta()),
    "a time that is none": ({**SIGNED, "webhook-timestamp": "9" * 30}, BODY, timedelta()),
    "a negative time": ({**SIGNED, "webhook-timestamp": "-1"}, BODY, timedelta()),
    "letters that are no base64": ({**SIGNED, "webhook-signature": "v1,\u00fc\u00fc"}, BODY, timedelta()),
    "nothing at all": ({}, BODY, timedelta()),
}


@pytest.mark.parametrize(("headers", "body", "later"), FORGERIES.values(), ids=FORGERIES.keys())
def test_forgeries_are_refused(headers: dict[str, str], body: bytes, later: timedelta) -> None:
    """Whatever was changed, or left out, or came too late, is not taken."""
    with pytest.raises(BadSignature):
        OLD.verify(headers, body, now=NOW + later)


@pytest.mark.parametrize("seconds", [-300, 0, 300])
def test_clocks_may_differ_by_five_minutes(seconds: int) -> None:
    """A post is good for five minutes either way."""
    assert "post-1" == OLD.verify(SIGNED, BODY, now=NOW + timedelta(seconds=seconds))


@settings(max_examples=200)
@given(st.binary(max_size=80), st.integers(0, 2**33), st.text(max_size=80))
def test_no_guess_is_ever_taken(body: bytes, stamp: int, guess: str) -> None:
    """A guessed signature is refused, whatever it looks like, and trips nothing."""
    headers = {"webhook-id": "post-1", "webhook-timestamp": str(stamp), "webhook-signature": guess}

    with pytest.raises(BadSignature):
        OLD.verify(headers, body, now=datetime.fromtimestamp(stamp, tz=UTC))


def test_keys_are_read_from_a_file_of_their_owner(tmp_path: Path) -> None:
    """A line is a key; the first is the newest."""
    file = tmp_path / "gateway.keys"
    file.write_text("".join(f"{write_key(secret)}\n" for secret in BOTH.secrets))
    file.chmod(0o600)

    assert BOTH == read_keys(file)
    assert "nnnn" not in repr(read_keys(file))


BAD_FILES = {
    "open to others": (write_key(b"k" * 32), 0o640, "open to other users"),
    "empty": ("", 0o600, "no key"),
    "too short": (write_key(b"k" * 23), 0o600, "24 to 64 bytes"),
    "too long": (write_key(b"k" * 65), 0o600, "24 to 64 bytes"),
    "no base64": ("whsec_!!!", 0o600, "no base64"),
    "no ascii": ("whsec_\u00fc", 0o600, "cannot be read"),
}


@pytest.mark.parametrize(("text", "mode", "words"), BAD_FILES.values(), ids=BAD_FILES.keys())
def test_a_bad_key_file_is_refused_in_a_sentence(tmp_path: Path, text: str, mode: int, words: str) -> None:
    """What is wrong is said, and no key stands in it."""
    file = tmp_path / "gateway.keys"
    file.write_text(text, encoding="utf-8")
    file.chmod(mode)

    with pytest.raises(SettingError, match=words) as refused:
        read_keys(file)

    assert "whsec_" not in str(refused.value).replace("a line is whsec_", "")


def test_a_missing_key_file_is_refused(tmp_path: Path) -> None:
    """The sentence says how to make one."""
    with pytest.raises(SettingError, match="trussline gateway key"):
        read_keys(tmp_path / "none.keys")
