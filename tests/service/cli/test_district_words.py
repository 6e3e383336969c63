"""Districts as people type them: what was meant is read, and what cannot be meant is asked for again."""

import pytest

from service.cli.district_words import read_districts, told_districts


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("Ndaliro 2150, Zaruvi 1650", ["Ndaliro 2150", "Zaruvi 1650"]),
        ("Ndaliro at 2150 m, Zaruvi; Kilima 1650", ["Ndaliro 2150", "Zaruvi", "Kilima 1650"]),
        ("Ndaliro 2,150 m; Zaruvi 1650metres", ["Ndaliro 2150", "Zaruvi 1650"]),
        ("Ndaliro\nZaruvi 1650\n", ["Ndaliro", "Zaruvi 1650"]),
        ("  Upper  Ndaliro   -20 ,", ["Upper Ndaliro -20"]),
        ("Ng'ombe-Kati 1650 M.", ["Ng'ombe-Kati 1650"]),
        ("", []),
    ],
    ids=["commas", "all mixed", "thousands", "lines", "spaces", "marks in a name", "none"],
)
def test_names_with_heights_are_read_however_they_are_set_apart(typed: str, words: list[str]) -> None:
    """Commas, semicolons and lines part them; "at" and "m" are no part of a name."""
    assert words == read_districts(typed)
    assert words == read_districts(", ".join(words))


@pytest.mark.parametrize(
    ("typed", "why"),
    [
        ("12", "write a district's name, then its metres above the sea, and not '12'"),
        ("Ndaliro 2150 Zaruvi", "and not 'Ndaliro 2150 Zaruvi'"),
        ("Ndaliro 2150 feet", "and not 'Ndaliro 2150 feet'"),
        ("2150 Ndaliro", "and not '2150 Ndaliro'"),
        ("Ndaliro 21500", "21500 is no height above the sea in metres"),
        ("Ndaliro ya Juu na ya Chini", "has more than 20 letters"),
        ("Zaruvi 1650, zaruvi", "is named twice"),
    ],
    ids=["no name", "no comma", "feet", "turned round", "too high", "too long", "twice"],
)
def test_what_cannot_be_meant_is_named(typed: str, why: str) -> None:
    """None of it becomes a strange name that farmers would see."""
    with pytest.raises(ValueError, match=why):
        read_districts(typed)


def test_what_was_understood_is_said() -> None:
    """A person sees at once what became of their line."""
    assert "Ndaliro, 2150 m; Zaruvi, height unknown" == told_districts(["Ndaliro 2150", "Zaruvi"])


def test_letters_that_texts_cannot_write_are_said() -> None:
    """In a setup the name can still be written otherwise, before anything is kept."""
    told = told_districts(["Žarovi 2150", "Zoé"])

    assert told.startswith("Žarovi, 2150 m; Zoé, height unknown. “Ž” would double the cost")
    assert 1 == told.count("would double")
