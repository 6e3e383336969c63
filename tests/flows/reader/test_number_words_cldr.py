"""Number words against Unicode CLDR's rule-based number formats, as unicode-rbnf ships them."""

import pytest
from unicode_rbnf import RbnfEngine

from flows.reader.normalise import plain, tokens
from flows.reader.number_words import said
from flows.reader.pack import read_packs

WORDS = {pack.language: pack.numbers for pack in read_packs()}
NUMBERS = range(10_000)


@pytest.mark.slow
@pytest.mark.parametrize("language", ["en", "sw"])
def test_numbers_below_ten_thousand_come_back(language: str) -> None:
    """A number written out by CLDR's rules is read as that number, to its last word."""
    engine = RbnfEngine.for_language(language)
    wrong = []
    for number in NUMBERS:
        row = tokens(plain(engine.format_number(number).text))
        read = said(row, 0, WORDS[language])
        if read is None or (int(read.value), read.end) != (number, len(row)):
            wrong.append((number, read))

    assert [] == wrong


@pytest.mark.parametrize(
    ("text", "value", "other"),
    [
        ("elfu kumi na mbili", 12_000, 10_002),
        ("elfu kumi na mbili mia tatu", 12_300, None),
        ("elfu ishirini", 20_000, None),
        ("elfu moja na mia mbili na hamsini", 1_250, None),
        ("elfu 2 mia 5", 2_500, None),
        ("mia na ishirini", 120, None),
        ("mia nne", 400, None),
        ("elfu", 1_000, None),
    ],
)
def test_swahili_as_it_is_said(text: str, value: int, other: int | None) -> None:
    """Forms farmers use beside the rule-book's are read, and the one doubtful form keeps both readings."""
    row = tokens(text)
    read = said(row, 0, WORDS["sw"])

    assert read is not None
    assert (value, other, len(row)) == (int(read.value), read.other and int(read.other), read.end)


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("two hundred and fifty", 250),
        ("a thousand", 1_000),
        ("2 thousand 5 hundred", 2_500),
        ("twenty five", 25),
    ],
)
def test_english_as_it_is_said(text: str, value: int) -> None:
    """Forms with "and", articles and digits before the scale are read."""
    row = tokens(text)
    read = said(row, 0, WORDS["en"])

    assert read is not None
    assert (value, len(row)) == (int(read.value), read.end)
