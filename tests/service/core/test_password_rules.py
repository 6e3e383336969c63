"""What a password must be."""

import pytest

from service.core.password_rules import normal, what_is_wrong
from service.passwords import common_passwords

NAMES = ("Grace Mlima", "Zaruvi Berry Programme")


@pytest.mark.parametrize(
    ("password", "told"),
    [
        ("short words", "at least 12"),
        ("x" * 11, "at least 12"),
        ("ab" * 65, "at most 128"),
        ("password1234", "among the first"),
        ("PassWord 1234", "among the first"),
        ("qwertyuiopas", "among the first"),
        ("strawberryfieldsforever", "among the first"),
        ("aaaaaaaaaaaaaaaa", "among the first"),
        ("abababab abababab", "among the first"),
        ("gracemlima2026", "mostly a name"),
        ("Zaruvi Berry 1", "mostly a name"),
    ],
)
def test_password_that_is_guessed_first(password: str, told: str) -> None:
    """Too short, too long, on the list, a pattern or a name: each is told in its own sentence."""
    assert told in (what_is_wrong(password, common=common_passwords(), names=NAMES) or "")


@pytest.mark.parametrize(
    "password",
    [
        "kettle orbit mustard",
        "nine lazy goats",
        "mvua kubwa jana usiku",
        "correct-horse-9",
        "lllllllllllllllllllllll1234",
        "é" * 8 + "wxyz",
        "x7" + "abcdefg" * 18,
    ],
)
def test_no_kind_of_letter_is_asked_for(password: str) -> None:
    """Small letters alone do, spaces count, and any letter of the world may stand in a password."""
    wrong = what_is_wrong(password, common=common_passwords(), names=NAMES)

    assert None is wrong


def test_a_word_too_short_to_be_a_name_is_left_in() -> None:
    """A programme called "Zaruvi of Us" makes no password with "of" or "us" in it weaker."""
    assert None is what_is_wrong("us of us of us!", common=common_passwords(), names=("Zaruvi of Us",))


def test_same_letters_are_the_same_password() -> None:
    """A letter with its accent typed apart is the letter typed at once (Unicode NFC)."""
    assert normal("cafe\u0301") == normal("caf\u00e9")
