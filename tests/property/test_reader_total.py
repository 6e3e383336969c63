"""Whatever is typed, the reader answers."""

from datetime import date

from hypothesis import assume, given, settings
from hypothesis import strategies as st

from flows.inputs import Harvest, Stop
from flows.reader import Reading, Situation, load_packs, read
from flows.reader.normalise import LONGEST
from flows.reader.opt_out_pack import Part
from flows.reader.pack import Intent, read_packs

PACKS = load_packs()
LEXICON = PACKS.lexicon("sw")
VOCABULARY = sorted(
    {
        *LEXICON.commands,
        *LEXICON.never_near,
        *(
            "12",
            "1,250",
            "12.5.6",
            "1/2",
            "31/11",
            "12/10/2026",
            "0621234567",
            "½",
            "?",
            "st0p",
            "1o",
            "Zaruvi",
        ),
    }
)


def situation(on: date) -> Situation:
    """Return a farmer's situation on a day."""
    return Situation(on=on, districts=("Zaruvi", "Ketumali"), languages=PACKS, language="sw")


def storable(reading: Reading) -> bool:
    """Return whether everything in the reading can be kept in UTF-8 without control characters."""
    kept = f"{reading.input!r}{reading.slots!r}{reading.why!r}"
    return kept.isprintable() and bool(kept.encode("utf-8"))


@settings(max_examples=150, deadline=None)
@given(text=st.text(st.characters(exclude_categories=()), max_size=300), on=st.dates())
def test_any_string_is_answered(text: str, on: date) -> None:
    """NUL, lone surrogates, marks of direction and anything else give a reading with a reason."""
    reading = read(text, situation(on))

    assert reading.why
    assert len(getattr(reading.input, "text", "")) <= LONGEST


@settings(max_examples=150, deadline=None)
@given(words=st.lists(st.sampled_from(VOCABULARY), max_size=12), on=st.dates())
def test_any_row_of_known_words_is_answered(words: list[str], on: date) -> None:
    """Commands, numbers, days and phrases in any order give a reading that can be stored."""
    reading = read(" ".join(words), situation(on))

    assert reading.why
    assert storable(reading)


@settings(max_examples=60, deadline=None)
@given(text=st.text(max_size=60))
def test_long_text_costs_no_more_than_its_beginning(text: str) -> None:
    """What stands beyond the limit changes nothing but the note that it was left out."""
    on = date(2026, 11, 25)
    beginning = (text + " x ").ljust(LONGEST, ".")

    assert read(beginning, situation(on)).input == read(beginning + "STOP" * 2500, situation(on)).input


@settings(max_examples=100, deadline=None)
@given(grams=st.integers(0, 9_999_999), mark=st.sampled_from(".,"), word=st.sampled_from(["vuna", "HARVEST"]))
def test_weight_comes_back(grams: int, mark: str, word: str) -> None:
    """Kilos written with one or two decimals are read to the gram, whichever mark is used."""
    kilos, rest = divmod(grams // 10, 100)
    reading = read(f"{word} {kilos}{mark}{rest:02}", situation(date(2026, 11, 25)))

    assert Harvest(grams=grams // 10 * 10) == reading.input


@settings(max_examples=100, deadline=None)
@given(data=st.data())
def test_no_slip_makes_an_opt_out(data: st.DataObject) -> None:
    """One random slip in a short word for STOP is no opt-out unless the slip is listed or is such a word itself."""
    packs = read_packs()
    commands = {word for pack in packs for word in (*pack.commands[Intent.STOP], *pack.stop.misspelt)}
    alone = {Part.WHOLE, Part.END, Part.REFUSE}
    listed = commands | {word for pack in packs for word, part in pack.opting_out.entries() if part in alone}
    word = data.draw(st.sampled_from(sorted(word for word in commands if len(word) < 7)))
    place = data.draw(st.integers(0, len(word) - 1))
    letter = data.draw(st.sampled_from("abcdefghijklmnopqrstuvwxyz"))
    slipped = word[:place] + letter + word[place + 1 :]
    drawn_out = any(slipped[start] * 3 == slipped[start : start + 3] for start in range(len(slipped)))
    assume(not drawn_out)

    assert (slipped in listed) == isinstance(read(slipped, situation(date(2026, 11, 25))).input, Stop)
