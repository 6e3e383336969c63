"""The second factor: six digits that change every thirty seconds, RFC 6238 over RFC 4226 with HMAC-SHA-1."""

import base64
import hashlib
import hmac
from datetime import datetime
from typing import Final

STEP: Final = 30
DIGITS: Final = 6
# One step either way, for clocks that differ and people who type slowly (RFC 6238 section 5.2).
_DRIFT: Final = (0, -1, 1)


def counter_at(now: datetime) -> int:
    """Return the number of whole steps since 1970 (RFC 6238 section 4.2)."""
    return int(now.timestamp()) // STEP


def digits_at(secret: bytes, counter: int, length: int = DIGITS) -> str:
    """Return the digits of one step (RFC 4226 section 5.3, with its dynamic truncation)."""
    mac = hmac.digest(secret, counter.to_bytes(8, "big"), hashlib.sha1)
    at = mac[-1] & 0xF
    number = int.from_bytes(mac[at : at + 4], "big") & 0x7FFFFFFF
    return f"{number % 10**length:0{length}d}"


def matching_counter(secret: bytes, typed: str, now: datetime) -> int | None:
    """Return the step whose digits were typed, None if it is none of this one and its two neighbours.

    The caller keeps the step: one that was used, and any before it, must not open anything again.
    """
    plain = "".join(typed.split())
    here = counter_at(now)
    found = (
        here + drift
        for drift in _DRIFT
        if hmac.compare_digest(digits_at(secret, here + drift).encode(), plain.encode())
    )
    return next(found, None)


def secret_text(secret: bytes) -> str:
    """Return a secret as apps take it when it is typed: base 32 (RFC 4648) in groups of four."""
    plain = base64.b32encode(secret).decode().rstrip("=")
    return " ".join(plain[at : at + 4] for at in range(0, len(plain), 4))
