import pytest

from service.core.errors import KeyFileError
from service.db.sealing import Seal

# The example mobile number that phonenumbers gives for Tanzania: nobody has it.
NUMBER = "+255621234567"
SEAL = Seal(sealing_key=b"s" * 32, index_key=b"i" * 32)


def test_a_sealed_number_opens_with_the_same_keys_only() -> None:
    """What was sealed is read back; other keys, or a changed byte, are told in a sentence."""
    sealed = SEAL.close(NUMBER)
    others = Seal(sealing_key=b"o" * 32, index_key=b"i" * 32)
    changed = sealed[:-1] + bytes([sealed[-1] ^ 1])

    assert NUMBER == SEAL.open(sealed)
    for seal, value in ((others, sealed), (SEAL, changed)):
        with pytest.raises(KeyFileError, match="put back the key file that belongs to it"):
            seal.open(value)


def test_the_same_number_is_sealed_differently_each_time() -> None:
    """Whoever sees the table cannot tell from it that two rows are one number."""
    assert 50 == len({SEAL.close(NUMBER) for _ in range(50)})
    assert NUMBER.encode() not in SEAL.close(NUMBER)


def test_the_index_finds_a_number_and_gives_none_away() -> None:
    """One number has one index under one key, and another under another key."""
    other = Seal(sealing_key=b"s" * 32, index_key=b"x" * 32)

    assert SEAL.index(NUMBER) == SEAL.index(NUMBER)
    assert SEAL.index(NUMBER) != SEAL.index("+255621234568")
    assert SEAL.index(NUMBER) != other.index(NUMBER)


def test_the_index_is_the_published_function() -> None:
    """HMAC-SHA256 with the key and data of RFC 4231 section 4.3, test case 2."""
    seal = Seal(sealing_key=b"s" * 32, index_key=b"Jefe")

    expected = "5bdcc146bf60754e6a042426089575c75a003f089d2739839dec58b964ec3843"
    assert expected == seal.index("what do ya want for nothing?").hex()


def test_a_seal_shows_no_key() -> None:
    """Neither in a log nor in a traceback."""
    assert "Seal(...)" == repr(SEAL)
