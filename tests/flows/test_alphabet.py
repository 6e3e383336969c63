"""Alphabets, lengths and parts of texts."""

import unicodedata
from itertools import pairwise

import gsm0338
import pytest
import smsutil
from hypothesis import example, given
from hypothesis import strategies as st

from flows.alphabet import (
    Alphabet,
    Room,
    alphabet_of,
    capacity,
    clip,
    culprits,
    fold,
    parts,
    room,
    septets,
    split,
)
from flows.gsm7_tables import CHARACTERS

# Origin: smspdudecoder (MIT).
UCS2 = [
    pytest.param("Lorem Ipsum", 11, "004C006F00720065006D00200049007000730075006D", id="lorem"),
    pytest.param(
        "Je pompe donc je suis.",
        22,
        "004A006500200070006F006D0070006500200064006F006E00630020006A006500200073007500690073002E",
        id="pompe",
    ),
]

# Reproduced by a reference codec and by npm split-sms 0.1.7 (MIT). Lengths are septets, or octets of UCS-2.
BOUNDARIES = [
    pytest.param("a" * 160, (160,), id="160a"),
    pytest.param("a" * 161, (153, 8), id="161a"),
    pytest.param("a" * 306, (153, 153), id="306a"),
    pytest.param("a" * 307, (153, 153, 1), id="307a"),
    pytest.param("€" * 80, (160,), id="80-euro"),
    pytest.param("€" * 81, (152, 10), id="81-euro"),
    pytest.param("a" * 159 + "€", (153, 8), id="159a-euro"),
    pytest.param("a" * 152 + "€" + "b" * 100, (152, 102), id="escape-pair-not-cut"),
    pytest.param("€" * 153, (152, 152, 2), id="153-euro-is-three-parts"),
    pytest.param("ç", (2,), id="c-cedilla"),
    pytest.param("अ" * 70, (140,), id="70-devanagari"),
    pytest.param("अ" * 71, (134, 8), id="71-devanagari"),
    pytest.param("अ" * 134, (134, 134), id="134-devanagari"),
    pytest.param("अ" * 135, (134, 134, 2), id="135-devanagari"),
    pytest.param("😀" * 35, (140,), id="35-emoji"),
    pytest.param("😀" * 36, (132, 12), id="surrogate-pair-not-cut"),
    pytest.param("अ" * 66 + "😀" + "अ" * 60, (132, 124), id="surrogate-pair-at-the-cut"),
]

GSM7_TEXT = st.text(alphabet=sorted(CHARACTERS), max_size=400)
ANY_TEXT = st.one_of(GSM7_TEXT, st.text(max_size=400), st.text(alphabet="aé€😀अ\u0301", max_size=400))


def units(part: str, alphabet: Alphabet) -> int:
    """Return the length of a part as it travels in its text's alphabet."""
    return septets(part) if alphabet is Alphabet.GSM7 else len(part.encode("utf-16-be", "surrogatepass")) // 2


@pytest.mark.parametrize(("text", "units", "octets"), UCS2)
def test_counts_published_ucs2_vectors_in_units_of_two_octets(text: str, units: int, octets: str) -> None:
    """A text outside GSM-7 is measured in 16-bit units, those it is published in; another space forces it."""
    forced = text.replace(" ", "\u3000")

    assert octets == text.encode("utf-16-be").hex().upper()
    assert Room(alphabet=Alphabet.UCS2, parts=1, units=units, left=70 - units) == room(forced)


@pytest.mark.parametrize(("text", "sizes"), BOUNDARIES)
def test_splits_at_published_boundaries(text: str, sizes: tuple[int, ...]) -> None:
    """A text is cut where reference codecs cut it; dividing its length would be wrong for pairs."""
    cut = split(text)

    assert text == "".join(cut)
    assert len(sizes) == len(cut) == parts(text)
    octets_a_unit = 1 if alphabet_of(text) is Alphabet.GSM7 else 2
    assert sizes == tuple(octets_a_unit * units(part, alphabet_of(text)) for part in cut)


@pytest.mark.parametrize(
    ("alphabet", "of_several", "expected"),
    [
        pytest.param(Alphabet.GSM7, False, 160, id="gsm7-single"),
        pytest.param(Alphabet.GSM7, True, 153, id="gsm7-of-several"),
        pytest.param(Alphabet.UCS2, False, 70, id="ucs2-single"),
        pytest.param(Alphabet.UCS2, True, 67, id="ucs2-of-several"),
    ],
)
def test_a_part_holds_what_the_standard_says(alphabet: Alphabet, *, of_several: bool, expected: int) -> None:
    """The room of a part follows from 140 octets less the header (3GPP TS 23.040, 9.2.3.24)."""
    assert expected == capacity(alphabet, of_several=of_several)


def test_the_alphabet_is_that_of_the_standard() -> None:
    """Of the characters of one UTF-16 unit, those that gsm0338 knows (MIT; 3GPP TS 23.038, 6.2.1), as long as there.

    It takes the escape for a character too, which stands for none.
    """
    codec = gsm0338.Codec()

    def octets(char: str) -> int:
        try:
            return len(codec.encode(char)[0])
        except UnicodeEncodeError:
            return 0

    known = {char: length for char in map(chr, range(0x10000)) if (length := octets(char)) and char != "\x1b"}
    assert known == {char: septets(char) for char in CHARACTERS}


@pytest.mark.parametrize(
    ("char", "alphabet"),
    [
        pytest.param("§", Alphabet.GSM7, id="section-sign-fits"),
        pytest.param("\f", Alphabet.GSM7, id="form-feed-fits"),
        pytest.param("Ç", Alphabet.GSM7, id="capital-c-cedilla-fits"),
        pytest.param("ç", Alphabet.UCS2, id="small-c-cedilla-does-not"),
        pytest.param("`", Alphabet.UCS2, id="backtick-does-not"),
        pytest.param("\x1b", Alphabet.UCS2, id="the-escape-itself-is-no-character"),
        pytest.param("\uffff", Alphabet.UCS2, id="no-character"),
        pytest.param("’", Alphabet.UCS2, id="curly-apostrophe-does-not"),
    ],
)
def test_tells_the_alphabet_of_characters_often_got_wrong(char: str, alphabet: Alphabet) -> None:
    """Each character is in the alphabet the standard puts it in (3GPP TS 23.038, 6.2.1)."""
    assert alphabet is alphabet_of(char)


def test_names_each_culprit_once_in_order() -> None:
    """The author is shown which characters make the text dear."""
    assert ("’", "ç", "😀") == culprits("l’avoçat’s ç 😀")


def test_refuses_to_measure_what_is_not_gsm7() -> None:
    """Septets of a text that has none are the caller's fault, and the message names the characters."""
    with pytest.raises(ValueError, match=r"^not in the 7-bit alphabet: '\\u2019' '\\u201d'$"):
        septets("it’s”")


def test_room_tells_what_the_last_part_has_left() -> None:
    """A writer sees parts, length and what still fits."""
    assert Room(alphabet=Alphabet.GSM7, parts=1, units=5, left=155) == room("hello")
    assert Room(alphabet=Alphabet.GSM7, parts=2, units=161, left=145) == room("a" * 161)
    assert Room(alphabet=Alphabet.UCS2, parts=2, units=71, left=63) == room("अ" * 71)


@pytest.mark.parametrize(
    ("text", "folded"),
    [
        pytest.param("it’s “good” – so…", 'it\'s "good" - so...', id="typographic-marks"),
        pytest.param("12\u00a0kg\u202f5", "12 kg 5", id="spaces-that-do-not-break"),
        pytest.param("façade forêt Ação", "facade foret Acao", id="accents-it-lacks"),
        pytest.param("café niño über É", "café niño über É", id="accents-it-has"),
        pytest.param("café’s niño", "café's niño", id="accents-it-has-beside-what-it-lacks"),
        pytest.param("cafe\u0301", "café", id="accent-apart-is-joined"),
        pytest.param("e\u0323\u0301 x\u030c", "e x", id="accents-nothing-joins"),
        pytest.param("x\u0300 x\u036f", "x x", id="the-first-and-the-last-accent"),
        pytest.param("й", "й", id="a-letter-of-another-script-keeps-its-accent"),
        pytest.param("œuf Łódź ﬁn", "oeuf Lodz fin", id="letters-that-do-not-come-apart"),
        pytest.param("\u202bjina\u200f", "jina", id="marks-of-direction"),
        pytest.param("20\u20dd", "20\u20dd", id="a-ring-around-stays"),
        pytest.param("１２", "12", id="full-width"),
        pytest.param("₦500", "NGN500", id="money"),
        pytest.param("10² ½ 25°", "10² ½ 25°", id="what-would-change-the-meaning-stays"),
        pytest.param("ቲማቲም", "ቲማቲም", id="other-scripts-stay"),
    ],
)
def test_folds_only_what_stays_true(text: str, folded: str) -> None:
    """A text is brought into GSM-7 where it still says the same; the rest is left to its author."""
    assert folded == fold(text)


@pytest.mark.parametrize(
    ("text", "clipped"),
    [
        pytest.param("vuna  kumi\n na", "vuna kumi", id="white-space-and-length"),
        pytest.param("😀 ok", "? ok", id="no-substitute"),
        pytest.param("{{{{{{", "{{{{{", id="two-septets-each"),
        pytest.param("", "", id="nothing"),
    ],
)
def test_clips_a_quotation_to_its_septets(text: str, clipped: str) -> None:
    """What somebody wrote is quoted within a fixed length of GSM-7."""
    assert clipped == clip(text, at_most=10)


@given(text=ANY_TEXT)
@example(text="a" + "\u0301" * 80)
@example(text="a" + "\u0301" * 65 + "\U00011130" * 3)
@example(text="")
def test_parts_rejoin_and_fit(text: str) -> None:
    """Whatever is sent, nothing is lost, no part overflows and no pair is cut."""
    alphabet, cut = alphabet_of(text), split(text)
    limit = capacity(alphabet, of_several=len(cut) > 1)

    assert text == "".join(cut)
    assert all(units(part, alphabet) <= limit for part in cut)


@given(text=ANY_TEXT)
def test_no_accent_is_cut_from_its_letter(text: str) -> None:
    """A part begins with an accent only where a letter and its accents outgrow a part."""
    cut = split(text)

    for before, after in pairwise(cut):
        if unicodedata.combining(after[0]):
            assert all(map(unicodedata.combining, before[1:]))


def test_a_letter_whose_accents_just_fill_a_part_stays_whole() -> None:
    """67 units are one part of several (3GPP TS 23.040, 9.2.3.24.1): a letter with 66 accents needs no cut."""
    letter = "a" + "\u0301" * 66

    assert ("अ", letter, "अअअ") == split("अ" + letter + "अअअ")


def test_half_a_pair_counts_as_one_unit() -> None:
    """A broken sender may hand over a lone surrogate; it has a length like any other character."""
    assert Room(alphabet=Alphabet.UCS2, parts=2, units=71, left=63) == room("\ud800" * 71)


@given(text=GSM7_TEXT.filter(bool))
def test_counts_parts_as_smsutil_does(text: str) -> None:
    """A reference, smsutil 1.1.3 (MIT), cuts GSM-7 texts at the same places."""
    assert tuple(part.content for part in smsutil.split(text).parts) == split(text)


@given(text=st.text(alphabet="aअ😀", min_size=1, max_size=300))
@example(text="अ" * 66 + "😀" + "अ" * 60)
def test_counts_ucs2_parts_as_smsutil_does(text: str) -> None:
    """A reference, smsutil 1.1.3 (MIT), cuts texts without accents of their own at the same places."""
    assert tuple(part.content for part in smsutil.split(text).parts) == split(text)


@given(text=ANY_TEXT)
def test_folding_never_makes_a_text_worse(text: str) -> None:
    """Folding twice is folding once, GSM-7 texts stay as they are, and no new culprit appears."""
    folded = fold(text)

    assert folded == fold(folded)
    assert set(culprits(folded)) <= set(culprits(unicodedata.normalize("NFC", text)))
    if alphabet_of(text) is Alphabet.GSM7:
        assert text == folded


@given(text=ANY_TEXT, at_most=st.integers(min_value=0, max_value=40))
def test_clipping_always_fits(text: str, at_most: int) -> None:
    """A quotation never outgrows its septets, whatever was written."""
    assert septets(clip(text, at_most=at_most)) <= at_most
