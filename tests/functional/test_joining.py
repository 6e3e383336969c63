"""Stories of joining: in one text or step by step, with a yes that is kept as evidence."""

import pytest

from tests.village import Village


def plot_of(village: Village, name: str) -> dict[str, object]:
    """Return what is kept of a farmer's plot, with the farmer's state, language and district."""
    return village.row(
        "SELECT f.state, f.language, d.name AS district, p.plants, p.planted_on, p.precision, p.live"
        " FROM farmer f JOIN district d ON d.id = f.district_id JOIN plot p ON p.farmer_id = f.id"
        " WHERE f.name = :name",
        name=name,
    )


@pytest.mark.parametrize(
    ("words", "planted_on", "precision"),
    [
        pytest.param(
            "JOIN Neema 400 12/10/2026 Ketumali", "2026-10-12", "exact", id="in-the-order-of-the-help"
        ),
        pytest.param("JOIN Neema Ketumali 12 Oct 2026 400 plants", "2026-10-12", "exact", id="backwards"),
        pytest.param("join neema, ketumali, 400, 5 march", "2026-03-05", "exact", id="small-with-commas"),
        pytest.param("JIUNGE Neema miche 400 Ketumali Machi 2026", "2026-03-15", "month", id="swahili-month"),
        pytest.param("JOIN Neema 400 Ketumali about 8 months ago", "2026-03-25", "about", id="about"),
        pytest.param("JOIN Neema 400 Ketumali 29/2/2024", "2024-02-29", "exact", id="leap-day"),
    ],
)
def test_a_farmer_joins_in_one_text(village: Village, words: str, planted_on: str, precision: str) -> None:
    """Behind the word and the name everything may stand in any order; only the yes is still asked for."""
    phone = village.phone()

    asked = phone.says(words)
    phone.says("1")
    kept = plot_of(village, "Neema")

    assert "1 YES or 2 NO" in asked or "1 NDIYO 2 HAPANA" in asked
    assert (400, "Ketumali", planted_on, precision) == (
        kept["plants"],
        kept["district"],
        str(kept["planted_on"]),
        kept["precision"],
    )
    assert ("active", True) == (kept["state"], bool(kept["live"]))


def test_a_newcomer_is_led_through_joining_in_swahili(village: Village) -> None:
    """A stranger who writes anything is asked the language, then for one thing after the other."""
    phone = village.phone()

    answers = [
        phone.says(words) for words in ("habari zenu", "2", "Asha", "300", "miezi 2 iliyopita", "3", "ndiyo")
    ]

    expected = (
        "jibu 2 Kiswahili",
        "Jina lako",
        "mimea mingapi",
        "lini",
        "3 Ndaliro",
        "1 NDIYO",
        "Karibu Asha",
    )
    assert [True] * 7 == [part in answer for part, answer in zip(expected, answers, strict=True)]
    assert ("sw", "Ndaliro", 300) == tuple(
        plot_of(village, "Asha")[key] for key in ("language", "district", "plants")
    )


@pytest.mark.parametrize(
    ("words", "asks_for"),
    [
        pytest.param("JOIN", "What is your name", id="name"),
        pytest.param("JOIN Neema 12/10/2026 Ketumali", "How many strawberry plants", id="plants"),
        pytest.param("JOIN Neema 0 12/10/2026 Ketumali", "How many strawberry plants", id="no-plants"),
        pytest.param(
            "JOIN Neema 999999 12/10/2026 Ketumali", "How many strawberry plants", id="too-many-plants"
        ),
        pytest.param("JOIN Neema 400 Ketumali", "When did you plant", id="date"),
        pytest.param("JOIN Neema 400 31/11/2026 Ketumali", "When did you plant", id="31-november"),
        pytest.param("JOIN Neema 400 29/2/2025 Ketumali", "When did you plant", id="29-february-of-2025"),
        pytest.param("JOIN Neema 400 12/10/2026", "1 Zaruvi 2 Ketumali 3 Ndaliro 4 Shumbeka", id="district"),
        pytest.param("JOIN Neema 400 12/10/2019 Ketumali", "more than 3 years ago", id="too-old"),
        pytest.param("JOIN Neema 400 12/10/2027 Ketumali", "more than 6 months ahead", id="too-far-ahead"),
        pytest.param(
            "JOIN Neema 400 12/12 Ketumali", "1 if Fri 12/12/2025, 2 if Sat 12/12/2026", id="two-days"
        ),
    ],
)
def test_what_is_missing_or_cannot_be_is_asked_for(village: Village, words: str, asks_for: str) -> None:
    """Nothing is guessed and no date is moved to one that fits: the farmer is asked."""
    answer = village.phone().says(words)

    assert asks_for in answer
    assert [] == village.rows("SELECT id FROM farmer")


@pytest.mark.parametrize(
    ("texts", "planted_on"),
    [
        pytest.param(("12/10/2019", "12/10/2025"), "2025-10-12", id="after-one-too-old"),
        pytest.param(("31/11/2026", "30/11/2025"), "2025-11-30", id="after-one-that-does-not-exist"),
        pytest.param(("12/12", "2"), "2026-12-12", id="the-coming-one-of-two"),
        pytest.param(("12/12", "1"), "2025-12-12", id="the-past-one-of-two"),
        pytest.param(("12/12", "10 months ago"), "2026-01-25", id="another-one-than-the-two"),
    ],
)
def test_a_planting_date_is_asked_until_it_can_be_one(
    village: Village, texts: tuple[str, ...], planted_on: str
) -> None:
    """The answer to a question about the date counts, whatever was said before."""
    phone = village.phone()
    phone.says("JOIN Neema 400 Ketumali")

    for words in (*texts, "yes"):
        phone.says(words)

    assert planted_on == str(plot_of(village, "Neema")["planted_on"])


def test_of_a_month_the_middle_is_taken_and_said(village: Village) -> None:
    """A month is no day; the figures of a date are never taken for the number of plants."""
    phone = village.phone()
    for words in ("JIUNGE Neema Ketumali", "mwezi wa tano tarehe 20", "200 mwezi wa 5"):
        phone.says(words)

    answer = phone.says("mwezi wa tano mwaka jana")
    phone.says("ndiyo")

    kept = plot_of(village, "Neema")
    assert "katikati ya mwezi huo kuwa siku ya kupanda: Alh 15/5/2025" in answer
    assert (200, "2025-05-15", "month") == (kept["plants"], str(kept["planted_on"]), kept["precision"])


def test_an_old_stand_gets_no_backlog(village: Village) -> None:
    """Who joins with plants of two years is told this week's jobs, not those of the years before."""
    phone = village.phone()
    phone.joins(days_ago=730)

    dues = village.rows("SELECT DISTINCT due_on FROM reminder")

    assert ["2026-11-25"] == [str(row["due_on"]) for row in dues]
    assert 1 == len([text for text in phone.texts if "this week" in text])


def test_before_planting_the_plot_is_made_ready(village: Village) -> None:
    """Who will plant in a month is told how to prepare, and what to do with the plants when they stand."""
    phone = village.phone()
    phone.joins(days_ago=-30)
    assert "to be planted Fri 25/12/2026" in "\n".join(phone.texts)

    village.pass_days(40)
    tasks = {str(row["task"]) for row in village.rows("SELECT task FROM reminder WHERE state <> 'due'")}

    assert {"beds", "plants_in", "mulch_down", "crown_check"} <= tasks


def test_consent_is_kept_as_evidence(village: Village) -> None:
    """Both halves stand: what was asked in which words, and the text that said yes."""
    phone = village.phone()
    asked = phone.says("JOIN Neema 400 12/10/2026 Ketumali")
    phone.says("yes")

    rows = village.rows(
        "SELECT c.answer, c.text_id, c.text_shown, c.way, i.text FROM consent c"
        " JOIN inbound i ON i.id = c.inbound_id ORDER BY c.id"
    )

    assert [
        {
            "answer": "asked",
            "text_id": "welcome_consent",
            "text_shown": asked,
            "way": "sms",
            "text": "JOIN Neema 400 12/10/2026 Ketumali",
        },
        {"answer": "yes", "text_id": None, "text_shown": None, "way": "sms", "text": "yes"},
    ] == rows


def traces(village: Village, word: str) -> int:
    """Count the rows outside the evidence of consent that still hold a word a farmer told."""
    tables = {"farmer": "name", "inbound": "text", "message": "text"}
    return sum(
        len(village.rows(f"SELECT {column} FROM {table} WHERE {column} LIKE :like", like=f"%{word}%"))  # noqa: S608
        for table, column in tables.items()
    )


@pytest.mark.parametrize("refusal", ["NO", "2", "hapana", "STOP"])
def test_a_no_erases_what_was_told(village: Village, refusal: str) -> None:
    """Name, plot and texts go; that the farmer was asked and said no stays."""
    phone = village.phone()
    for words in ("JOIN", "Neema", "400", "12/10/2026", "Ketumali"):
        phone.says(words)

    phone.says(refusal)

    assert 0 == traces(village, "Neema")
    assert [] == village.rows("SELECT id FROM plot")
    assert ["asked", "stopped" if refusal == "STOP" else "no"] == [
        row["answer"] for row in village.rows("SELECT answer FROM consent ORDER BY id")
    ]
    village.pass_days(10)
    assert not [text for text in phone.texts if "this week" in text]


def test_silence_is_a_no(village: Village) -> None:
    """Fourteen days after the question what was told is erased; an answer in time is still a yes."""
    silent, slow = village.phone(), village.phone()
    silent.says("JOIN Neema 400 12/10/2026 Ketumali")
    slow.says("JOIN Asha 200 12/10/2026 Ketumali")
    village.pass_days(13)
    slow.says("yes")
    assert 0 == village.forget_silent()

    village.pass_days(2)
    forgotten = village.forget_silent()

    kept = village.rows("SELECT text_id, text_shown, inbound_id, on_day FROM consent WHERE answer = 'silent'")
    assert (1, 0) == (forgotten, traces(village, "Neema"))
    assert [(None, None, None, str(village.today))] == [
        (*list(row.values())[:3], str(row["on_day"])) for row in kept
    ]
    assert "active" == plot_of(village, "Asha")["state"]
    assert "" == silent.says("yes")


def test_what_was_said_wrong_is_said_anew_before_the_yes(village: Village) -> None:
    """A second JOIN of the same name takes the place of the first as long as nobody has agreed to that."""
    phone = village.phone()
    phone.says("JOIN Neema 400 12/10/2026 Ketumali")

    phone.says("JOIN Neema 500 Ndaliro")
    answer = phone.says("yes")

    assert "your 500 plants, planted Mon 12/10/2026" in answer
    assert "Ndaliro" == plot_of(village, "Neema")["district"]


def test_undo_while_joining_asks_for_the_last_answer_again(village: Village) -> None:
    """A slip in one answer does not mean to start anew."""
    phone = village.phone()
    for words in ("JOIN", "Neema", "4000"):
        phone.says(words)

    answers = [phone.says(words) for words in ("undo", "400", "12/10/2026", "2", "yes")]

    assert "How many strawberry plants" in answers[0]
    assert "your 400 plants" in answers[-1]


@pytest.mark.parametrize(
    ("words", "answered_with", "officer_reads"),
    [
        pytest.param("JOIN", "You have joined already", 0, id="plain"),
        pytest.param("JOIN Neema", "You have joined already", 0, id="by-name"),
        pytest.param("JOIN Neema 900 1/11/2026 Zaruvi", "You have joined already", 1, id="with-another-plot"),
    ],
)
def test_joining_again_changes_nothing(
    village: Village, words: str, answered_with: str, officer_reads: int
) -> None:
    """What a joined farmer says anew may be a second plot or a correction: an officer looks at it."""
    phone = village.phone()
    phone.joins()

    answer = phone.says(words)

    assert answered_with in answer
    assert 400 == plot_of(village, "Neema")["plants"]
    assert officer_reads == len(village.rows("SELECT id FROM question"))


@pytest.mark.parametrize(
    ("words", "name"),
    [
        pytest.param(("Salama", "Salama"), "Salama", id="a-greeting-that-is-a-name"),
        pytest.param(("Tatu",), "Tatu", id="a-number-that-is-a-name"),
        pytest.param(("my name is Rehema",), "Rehema", id="in-a-sentence"),
        pytest.param(("1234", "Zuhura"), "Zuhura", id="after-digits"),
        pytest.param(("Mama Tatu",), "Mama Tatu", id="with-a-title"),
        pytest.param(("Sunday",), "Sunday", id="a-weekday-that-is-a-name"),
        pytest.param(("Baraka Mia",), "Baraka Mia", id="a-number-in-a-name"),
    ],
)
def test_a_name_is_taken_as_people_give_it(village: Village, words: tuple[str, ...], name: str) -> None:
    """What looks like no name is asked for again, and taken at its word the second time."""
    phone = village.phone()
    phone.says("JOIN")

    for text in (*words, "200", "12/10/2026", "Shumbeka", "yes"):
        phone.says(text)

    assert "active" == plot_of(village, name)["state"]


def test_a_question_in_between_reaches_an_officer_and_joining_goes_on(village: Village) -> None:
    """Asking something back is no wrong answer: the open question waits."""
    phone = village.phone()
    phone.says("JOIN Neema")

    answer = phone.says("how many plants do I need?")
    phone.says("300")

    assert "is noted. An officer" in answer
    assert "join_date" == phone.talk.state
    assert ["how many plants do I need?"] == [
        row["text"] for row in village.rows("SELECT text FROM question")
    ]
