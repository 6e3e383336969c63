"""What is kept of secrets that people type or browsers carry: digests.

A one-time code or recovery code has 130 random bits, a session token 256. A plain SHA-256 is enough for them because
nobody can run through so many; a password is another matter, see `Passwords`.
"""

import hashlib


def digest(secret: str) -> bytes:
    """Return what is kept of a token: SHA-256, FIPS 180-4."""
    return hashlib.sha256(secret.encode()).digest()


def code_digest(code: str) -> bytes:
    """Return what is kept of a one-time code; its groups, spaces and case do not matter."""
    return digest("".join(char for char in code.upper() if char.isalnum()))
