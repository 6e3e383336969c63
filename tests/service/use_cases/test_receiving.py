"""Cleaning what comes in."""

import unicodedata

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.use_cases.receiving import LONGEST, clean


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        pytest.param("har\x00vest", "harvest", id="nul"),
        pytest.param("a\tb\nc", "a b c", id="white-space-stays-white-space"),
        pytest.param("\u202eabc\u202c", "abc", id="reading-direction"),
        pytest.param("Rene\u0301e", "Ren\u00e9e", id="composed"),
        pytest.param("a\ud83cb", "ab", id="half-a-character"),
        pytest.param("a\u200b\u200d\ufeffb", "ab", id="zero-width"),
        pytest.param("x" * 5000, "x" * LONGEST, id="ten-kilobytes"),
        pytest.param("  vuna 12  ", "vuna 12", id="blanks-around"),
    ],
)
def test_a_text_is_made_fit_for_screens(text: str, expected: str) -> None:
    """What no eye sees and what breaks a screen goes; letters stay."""
    assert expected == clean(text)


@settings(max_examples=200)
@given(st.text(alphabet=st.characters(), max_size=100))
def test_nothing_harmful_is_left_of_any_text(text: str) -> None:
    """Whatever comes: no control character, no lone surrogate, no NUL, which PostgreSQL refuses; cleaning is final."""
    cleaned = clean(text)

    assert not {unicodedata.category(char) for char in cleaned} & {"Cc", "Cf", "Cs"}
    assert cleaned == clean(cleaned)
    cleaned.encode("utf-8")
