"""How values are written into texts."""

from datetime import date

import pytest

from flows.catalogue import load_catalogue
from flows.wording import FullDate, Grams, Name, Numbered, Phrase, Value, Wording

WORDING = Wording(load_catalogue())


@pytest.mark.parametrize(
    ("grams", "expected"),
    [
        (0, "0"),
        (1, "0.001"),
        (12, "0.012"),
        (99, "0.099"),
        (100, "0.1"),
        (1_250, "1.25"),
        (1_255, "1.26"),
        (12_500, "12.5"),
        (10_000, "10"),
        (1_250_000, "1250"),
    ],
)
def test_a_weight_is_written_in_kilos(grams: int, expected: str) -> None:
    """No more decimals than the farmer has use for, and no grouping that could be read as a decimal."""
    assert expected == str(Grams(grams))


@pytest.mark.parametrize(
    ("full", "expected"),
    [
        ("Neema Msuya", "Neema"),
        ("Bartholomayoakintunde", "Bartholomayo"),
        ("Renée", "Renée"),
        ("Mama Tatu Bakari", "Mama Tatu"),
        ("Mama", "Mama"),
        ("  ", ""),
        ("", ""),
    ],
)
def test_a_name_is_shortened_to_its_first_word(full: str, expected: str) -> None:
    """Twelve letters are what texts have room for; a title is no name without the word behind it."""
    assert expected == str(Name(full))


@pytest.mark.parametrize(
    ("value", "language", "expected"),
    [
        pytest.param(date(2026, 11, 25), "en", "Wed 25/11", id="date"),
        pytest.param(date(2026, 11, 25), "sw", "Jtano 25/11", id="date-sw"),
        pytest.param(FullDate(date(2026, 11, 29)), "sw", "Jpili 29/11/2026", id="full-date"),
        pytest.param(Phrase("task.weeds.label"), "sw", "Magugu", id="phrase"),
        pytest.param(
            Numbered(((1, Phrase("task.weeds.label")), (4, Name("Asha")), (9, "Zaruvi"))),
            "en",
            "1 Weeds 4 Asha 9 Zaruvi",
            id="list",
        ),
        pytest.param(Name("Bi. Mwanaidi Kweka"), "sw", "Bi. Mwanaidi", id="a-title-with-a-stop"),
        pytest.param(Name("Dr Kweka"), "en", "Dr Kweka", id="a-title"),
        pytest.param(12, "en", "12", id="number"),
        pytest.param("{svc}", "en", "{svc}", id="text-that-looks-like-a-placeholder"),
    ],
)
def test_a_value_is_spoken_in_the_language(value: Value, language: str, expected: str) -> None:
    """Days have their weekday before them; a list has its numbers."""
    assert expected == WORDING.spoken(value, language)


def test_a_phrase_is_written_with_its_values() -> None:
    """Values are filled once; a name that looks like a placeholder stays a name."""
    phrase = Phrase("total_none", {"name": Name("{total}")})

    assert WORDING.write(phrase, "en").startswith("{total}, no weight is noted yet.")
