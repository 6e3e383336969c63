"""Stories of a farmer who corrects their own name, number of plants and planting day."""

from datetime import date

import pytest

from tests.village import Phone, Village


@pytest.fixture
def phone(village: Village) -> Phone:
    """The phone of a farmer who joined with 400 plants, sixty days after planting them."""
    phone = village.phone()
    phone.joins()
    return phone


def kept(village: Village) -> tuple[object, ...]:
    """Return name, plants, planting day and its precision."""
    row = village.row(
        "SELECT f.name, p.plants, p.planted_on, p.precision FROM farmer f JOIN plot p ON p.farmer_id = f.id"
    )
    return row["name"], row["plants"], str(row["planted_on"]), row["precision"]


@pytest.mark.parametrize(
    ("texts", "answer", "expected"),
    [
        pytest.param(
            ("DETAILS", "1", "Mama Tatu"),
            "we call you Mama Tatu",
            ("Mama Tatu", 400, "2026-09-26", "exact"),
            id="name",
        ),
        pytest.param(
            ("rekebisha", "2", "mia tatu"),
            "you have 300 plants",
            ("Neema", 300, "2026-09-26", "exact"),
            id="plants",
        ),
        pytest.param(
            ("my details", "planting day", "last year in march", "yes"),
            "planted Sat 15/3/2025",
            ("Neema", 400, "2025-03-15", "month"),
            id="day",
        ),
        pytest.param(
            ("details", "3", "20/5/2026", "no"),
            "Nothing is changed",
            ("Neema", 400, "2026-09-26", "exact"),
            id="no",
        ),
        pytest.param(
            ("details", "3", "20/12", "20/12/2026", "1"),
            "planted Sun 20/12/2026",
            ("Neema", 400, "2026-12-20", "exact"),
            id="year-asked",
        ),
        pytest.param(
            ("details", "3", "20/5/2019"),
            "more than 3 years ago",
            ("Neema", 400, "2026-09-26", "exact"),
            id="too-old",
        ),
        pytest.param(
            ("details", "2", "0"),
            "number of your strawberry plants",
            ("Neema", 400, "2026-09-26", "exact"),
            id="none",
        ),
    ],
)
def test_a_farmer_corrects_what_we_keep(
    village: Village, phone: Phone, texts: tuple[str, ...], answer: str, expected: tuple[object, ...]
) -> None:
    """One word opens it, the answer says what is kept now; the planting day changes after a yes alone."""
    answers = [phone.says(words) for words in texts]

    assert answer in answers[-1]
    assert expected == kept(village)


def test_what_another_planting_day_does_is_said_first(village: Village, phone: Phone) -> None:
    """The age and what becomes of the jobs stand in the question; at a yes the plot is planned anew from that day."""
    village.pass_days(5)
    for words in ("details", "3"):
        phone.says(words)
    asked = phone.says("10 june 2026")
    before = kept(village)
    phone.says("yes")

    change = village.row("SELECT who, before, after FROM plot_change")
    assert "Planted Wed 10/6/2026, 173 days ago? Then we drop jobs not yet sent" in asked
    assert "2026-09-26" == before[2]
    assert ("the farmer", 1) == (change["who"], village.row("SELECT revision FROM plot")["revision"])
    village.pass_days(7)
    assert date(2026, 6, 10).isoformat() == kept(village)[2]
    assert "Pick, weigh" in "\n".join(phone.texts) or "Picking day" in "\n".join(phone.texts)


@pytest.mark.parametrize(
    ("texts", "noted", "asked"),
    [
        (("details", "plants 350 planted 3 march"), "you have 350 plants", "3/3/2026"),
        (("DETAILS plants 350 planted 3 march",), "you have 350 plants", "3/3/2026"),
        (("details", "planted 3/3/2026, 350 plants"), "you have 350 plants", "3/3/2026"),
        (("kiswahili", "rekebisha", "miche 350 nilipanda 3 machi"), "mimea 350", "3/3/2026"),
        (("kiswahili", "rekebisha miche 350 nilipanda 3 machi"), "mimea 350", "3/3/2026"),
    ],
)
def test_plants_and_day_in_one_text_are_both_taken(
    village: Village, phone: Phone, texts: tuple[str, ...], noted: str, asked: str
) -> None:
    """The plants are noted at once; the day, which moves every job, takes a yes as always."""
    answers = [phone.says(words) for words in texts]
    before = kept(village)
    phone.says("1")

    assert noted in answers[-1]
    assert asked in answers[-1]
    assert ("Neema", 350, "2026-09-26", "exact") == before
    assert ("Neema", 350, "2026-03-03", "exact") == kept(village)


@pytest.mark.parametrize("words", ["plants 350 planted 3 march 2019", "350 plants are planted somewhere"])
def test_what_is_not_clear_is_asked_about(village: Village, phone: Phone, words: str) -> None:
    """A day that cannot be, or none: nothing is changed, and which detail is wrong is asked."""
    phone.says("details")

    assert "1" in phone.says(words)
    assert ("Neema", 400, "2026-09-26", "exact") == kept(village)
