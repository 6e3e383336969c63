"""Signatures of what passes between a gateway and us, by the published specification Standard Webhooks 1.0.0.

Both sides share a secret of 24 to 64 bytes. What is signed is `id.timestamp.body`, by HMAC-SHA256; the header may
carry several signatures, and either side may know several keys, so that a key can be changed without a pause.

A key is written as `whsec_` and its bytes in base64, one a line in a file that only its owner may read. The first key
of a file is the newest. Nothing here ever puts a key into a message, a repr or a log.
"""

import base64
import binascii
import hmac
import stat
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Final

from service.core.errors import SettingError

ID: Final = "webhook-id"
TIMESTAMP: Final = "webhook-timestamp"
SIGNATURE: Final = "webhook-signature"
# What the specification recommends, and what the reference libraries allow for clocks that differ.
TOLERANCE: Final = timedelta(minutes=5)
_PREFIX: Final = "whsec_"
_VERSION: Final = "v1,"
_FEWEST: Final = 24
_MOST: Final = 64
# More signatures than any change of keys needs would only buy guesses.
_MOST_SIGNATURES: Final = 8
_LONGEST_ID: Final = 256


class BadSignature(ValueError):
    """A request does not come from who knows the key, or not from now; the message says what is the matter."""


@dataclass(frozen=True, slots=True)
class Keys:
    """The keys of one direction, the newest first.

    Raises:
        ValueError: if there is none, or one is shorter or longer than the specification allows.
    """

    secrets: tuple[bytes, ...] = field(repr=False)

    def __post_init__(self) -> None:
        """Refuse keys that are too easily guessed."""
        if not self.secrets:
            raise ValueError("no key is given")
        if any(not _FEWEST <= len(secret) <= _MOST for secret in self.secrets):
            raise ValueError(f"a key has {_FEWEST} to {_MOST} bytes")

    def sign(self, *, id: str, at: datetime, body: bytes) -> dict[str, str]:  # noqa: A002 - the specification's word
        """Return the three headers that sign a body, with one signature a key."""
        stamp = str(int(at.timestamp()))
        signatures = (_signature(secret, id, stamp, body) for secret in self.secrets)
        return {ID: id, TIMESTAMP: stamp, SIGNATURE: " ".join(signatures)}

    def verify(self, headers: Mapping[str, str], body: bytes, *, now: datetime) -> str:
        """Return the id of a request that was signed with one of these keys, not long before or after `now`.

        Raises:
            BadSignature: if it was not.
        """
        id_, stamp = headers.get(ID, ""), headers.get(TIMESTAMP, "")
        if not id_ or len(id_) > _LONGEST_ID or not id_.isascii() or not id_.isprintable():
            raise BadSignature(f"{ID} is missing, or is no id")
        if abs(now - _instant(stamp)) > TOLERANCE:
            raise BadSignature(f"{TIMESTAMP} is more than five minutes from now")
        offered = [one.encode() for one in headers.get(SIGNATURE, "").split(" ", _MOST_SIGNATURES)]
        wanted = [_signature(secret, id_, stamp, body).encode() for secret in self.secrets]
        # All pairs are compared, each in constant time: how long it takes tells nothing of how near a guess was.
        matches = [hmac.compare_digest(one, other) for one in offered for other in wanted]
        if not any(matches):
            raise BadSignature(f"{SIGNATURE} is none of ours")
        return id_


def read_keys(path: Path) -> Keys:
    """Read a file of keys.

    Raises:
        SettingError: it cannot be read, is open to other users, or holds something that is no key.
    """
    try:
        mode, text = path.stat().st_mode, path.read_text(encoding="ascii")
    except (OSError, ValueError) as error:
        raise SettingError(
            f"The keys in {path} cannot be read: make the file with trussline gateway key."
        ) from error
    if mode & (stat.S_IRWXG | stat.S_IRWXO):
        raise SettingError(f"The keys in {path} are open to other users: run chmod 600 on it.")
    try:
        return parse_keys(text.split())
    except ValueError as error:
        raise SettingError(
            f"{path} holds no keys of a gateway ({error}): a line is whsec_ and 24 to 64 bytes in base64."
        ) from error


def parse_keys(words: Iterable[str]) -> Keys:
    """Read keys as they are written.

    Raises:
        ValueError: one is no key; the message does not show it.
    """
    try:
        found = tuple(base64.b64decode(word.removeprefix(_PREFIX), validate=True) for word in words)
    except binascii.Error as error:
        raise ValueError("a line is no base64") from error
    return Keys(found)


def write_key(secret: bytes) -> str:
    """Return a key as it is written."""
    return _PREFIX + base64.b64encode(secret).decode()


def _signature(secret: bytes, id_: str, stamp: str, body: bytes) -> str:
    signed = b".".join((id_.encode(), stamp.encode(), body))
    return _VERSION + base64.b64encode(hmac.digest(secret, signed, "sha256")).decode()


def _instant(stamp: str) -> datetime:
    if not (stamp.isascii() and stamp.isdigit()):
        raise BadSignature(f"{TIMESTAMP} is missing, or is no whole number of seconds")
    try:
        return datetime.fromtimestamp(int(stamp), tz=UTC)
    except (OverflowError, OSError, ValueError) as error:
        raise BadSignature(f"{TIMESTAMP} is no time") from error
