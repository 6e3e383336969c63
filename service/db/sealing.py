"""Phone numbers at rest: sealed for sending, indexed for finding, and readable by neither without the keys."""

import hashlib
import hmac
from dataclasses import dataclass

from cryptography.exceptions import InvalidTag
from cryptography.hazmat.primitives.ciphers.aead import AESGCM

from service import ids
from service.core.errors import KeyFileError

_NONCE = 12


@dataclass(frozen=True, slots=True)
class Seal:
    """The two keys of one programme.

    AES-256-GCM (NIST SP 800-38D) seals a number; HMAC-SHA256 (RFC 2104) makes the value it is found by. A plain
    hash would not do: nine digits are guessed in seconds.
    """

    sealing_key: bytes
    index_key: bytes

    def __repr__(self) -> str:
        """Never show a key."""
        return "Seal(...)"

    def close(self, e164: str) -> bytes:
        """Seal a number."""
        nonce = ids.nonce()
        return nonce + AESGCM(self.sealing_key).encrypt(nonce, e164.encode(), None)

    def open(self, sealed: bytes) -> str:
        """Open a sealed number.

        Raises:
            KeyFileError: the number was sealed with other keys.
        """
        try:
            return AESGCM(self.sealing_key).decrypt(sealed[:_NONCE], sealed[_NONCE:], None).decode()
        except InvalidTag as error:
            raise KeyFileError(
                "A phone number in the database was sealed with other keys: put back the key file that belongs to it."
            ) from error

    def index(self, e164: str) -> bytes:
        """Return the value by which a number is found."""
        return hmac.digest(self.index_key, e164.encode(), hashlib.sha256)

    @property
    def mark(self) -> str:
        """Return a word that tells these keys from others and gives nothing of them away."""
        return self.index("the keys of this database").hex()
