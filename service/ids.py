"""The one home of ids and randomness.

Rows carry integers; what leaves the service (a reference on the wire, a session token) carries a UUIDv7 or a
random secret, so that no one can count or guess it. Integers made here are ordered by time and unique over
processes: 42 bits of milliseconds, 10 bits drawn once a process, 11 bits of counter (63 in all).
"""

import itertools
import secrets
import threading
import time
import uuid
from collections.abc import Iterator

# Without look-alikes: no O, 0, I or 1.
_CODE_LETTERS = "ABCDEFGHJKLMNPQRSTUVWXYZ23456789"
_PROCESS_BITS = 10
_COUNTER_BITS = 11
_COUNTER_SIZE = 1 << _COUNTER_BITS
# 2020-01-01T00:00:00Z in milliseconds: 42 bits then last until the year 2159.
_EPOCH_MS = 1_577_836_800_000


class Ids:
    """Makes row ids, wire references and secrets."""

    def __init__(self) -> None:
        """Draw the process part once."""
        self._lock = threading.Lock()
        self._process = secrets.randbits(_PROCESS_BITS)
        self._last = 0

    def row(self) -> int:
        """Return one new row id."""
        return next(self.rows(1))

    def rows(self, count: int) -> Iterator[int]:
        """Return `count` new row ids in rising order.

        A millisecond holds 2,048 ids; a larger block borrows from the milliseconds that follow.
        """
        now = (time.time_ns() // 1_000_000 - _EPOCH_MS) * _COUNTER_SIZE
        with self._lock:
            first = max(now, self._last + 1)
            self._last = first + count - 1
        return (self._spread(ticket) for ticket in range(first, first + count))

    def _spread(self, ticket: int) -> int:
        milliseconds, counter = divmod(ticket, _COUNTER_SIZE)
        return ((milliseconds << _PROCESS_BITS) | self._process) << _COUNTER_BITS | counter

    def reference(self) -> str:
        """Return a UUIDv7 (RFC 9562 section 5.7) as 36 characters."""
        milliseconds = time.time_ns() // 1_000_000
        value = (milliseconds << 80) | (0x7 << 76) | (secrets.randbits(12) << 64) | (0b10 << 62)
        return str(uuid.UUID(int=value | secrets.randbits(62)))

    def code(self) -> str:
        """Return four letters and digits that a person can text back; the caller sees to it that they are unused."""
        return "".join(secrets.choice(_CODE_LETTERS) for _ in range(4))


class CountingIds(Ids):
    """Ids that repeat exactly from run to run: for tests and for seeded demo data."""

    def __init__(self) -> None:
        """Start at one."""
        super().__init__()
        self._next = itertools.count(1)

    def rows(self, count: int) -> Iterator[int]:
        """Return the next `count` integers."""
        return (next(self._next) for _ in range(count))

    def reference(self) -> str:
        """Return a well-formed UUIDv7 made of the next integer."""
        return str(uuid.UUID(int=(0x7 << 76) | (0b10 << 62) | next(self._next)))

    def code(self) -> str:
        """Return the next integer as a code."""
        return f"Q{next(self._next)}"


def one_time_code() -> str:
    """Return a code of 130 random bits for reading off a terminal: letters and digits without look-alikes."""
    letters = "".join(secrets.choice(_CODE_LETTERS) for _ in range(26))
    return "-".join(letters[at : at + 5] for at in range(0, 26, 5)).removesuffix("-")


def second_factor_secret() -> bytes:
    """Return a secret of 160 bits for a second factor, as long as its HMAC-SHA-1 (RFC 4226 section 4, R6)."""
    return secrets.token_bytes(20)


def token() -> str:
    """Return a session token of 256 random bits, safe in a cookie."""
    return secrets.token_urlsafe(32)


def key() -> bytes:
    """Return a fresh 256-bit key."""
    return secrets.token_bytes(32)


def nonce() -> bytes:
    """Return a fresh 96-bit nonce for AES-GCM (NIST SP 800-38D recommends this length)."""
    return secrets.token_bytes(12)
