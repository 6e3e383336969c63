"""Hashing passwords with Argon2id (RFC 9106), never more than two at once, and the list of those tried first.

One hash takes 64 MiB and a good part of a second on a small machine. Were there no limit, a few dozen people at the
sign-in page could take all of its memory; so two are hashed at a time, others wait a little, and past that they are
told to come back.
"""

import threading
from base64 import b64encode
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Final

from argon2 import PasswordHasher
from argon2.exceptions import VerificationError
from argon2.low_level import ARGON2_VERSION

from service.core.errors import Refused
from service.core.password_rules import normal

_AT_ONCE: Final = 2
_PATIENCE_S: Final = 5.0
_COMMON: Final = Path(__file__).parent / "core" / "data" / "common_passwords.txt"


class Busy(Refused):
    """Too many passwords are being looked at; nothing was tried."""

    def __init__(self) -> None:
        """Say what to do."""
        super().__init__("Many people are signing in just now. Try again in a minute.")


class Argon2:
    """Hashes passwords and compares them; keeps the promises of `service.core.staff_ports.Passwords`."""

    def __init__(
        self,
        hasher: PasswordHasher | None = None,
        *,
        at_once: int = _AT_ONCE,
        patience_s: float = _PATIENCE_S,
    ) -> None:
        """Hash with `hasher`, by default with the second choice of RFC 9106 section 4: 64 MiB, three passes."""
        self._hasher = hasher or PasswordHasher()
        self._room = threading.BoundedSemaphore(at_once)
        self._patience_s = patience_s
        # Compared with where there is no such account, so that an answer takes the same time either way.
        self._nobody = _nobody_s(self._hasher)

    def hash(self, password: str) -> str:
        """Return what is kept of a password.

        Raises:
            Busy: too many wait already.
        """
        with self._turn():
            return self._hasher.hash(normal(password))

    def matches(self, kept: str | None, password: str) -> bool:
        """Return whether `kept` was made of `password`; None matches nothing, after the same time.

        Raises:
            Busy: too many wait already.
        """
        with self._turn():
            try:
                self._hasher.verify(kept or self._nobody, normal(password))
            except VerificationError:
                return False
        return kept is not None

    @contextmanager
    def _turn(self) -> Iterator[None]:
        if not self._room.acquire(timeout=self._patience_s):
            raise Busy
        try:
            yield
        finally:
            self._room.release()


def _nobody_s(hasher: PasswordHasher) -> str:
    """Write down, as the hasher would, what no password comes to: 256 bits of zero.

    Comparing with it is the same work as with any other. Making it is none, so that a command need not hash first.
    """
    salt, tag = (
        b64encode(bytes(length)).decode().rstrip("=") for length in (hasher.salt_len, hasher.hash_len)
    )
    work = f"m={hasher.memory_cost},t={hasher.time_cost},p={hasher.parallelism}"
    return f"$argon2{hasher.type.name.lower()}$v={ARGON2_VERSION}${work}${salt}${tag}"


def common_passwords() -> frozenset[str]:
    """Return the passwords that are tried first, in small letters and without spaces."""
    lines = _COMMON.read_text(encoding="utf-8").splitlines()
    return frozenset(line.strip() for line in lines if line.strip() and not line.startswith("#"))
