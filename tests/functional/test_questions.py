"""Stories of questions, of texts nobody understands, of strangers, and of emergencies."""

import pytest

from tests.village import Phone, Village


@pytest.fixture
def phone(village: Village) -> Phone:
    """The phone of a farmer who has joined."""
    phone = village.phone()
    phone.joins()
    return phone


def list_of(village: Village) -> list[tuple[object, object]]:
    """Return what stands on the officer's list, the first first."""
    return [
        (row["text"], row["urgency"])
        for row in village.rows("SELECT text, urgency FROM question ORDER BY id")
    ]


@pytest.mark.parametrize(
    ("texts", "question"),
    [
        pytest.param(("ASK how do I keep slugs away",), "how do I keep slugs away", id="with-the-word"),
        pytest.param(("ASK", "my leaves are yellow"), "my leaves are yellow", id="word-first"),
        pytest.param(("uliza", "5"), "5", id="whatever-is-sent-then"),
        pytest.param(("why are my leaves yellow?",), "why are my leaves yellow?", id="as-people-ask"),
        pytest.param(("majani yana madoa, nifanye nini",), "majani yana madoa, nifanye nini", id="swahili"),
        pytest.param(("hm hm", "3", "spots on fruit"), "spots on fruit", id="through-the-menu"),
    ],
)
def test_a_question_goes_to_the_officers(
    village: Village, phone: Phone, texts: tuple[str, ...], question: str
) -> None:
    """The farmer is told the question's code; the words are kept as they came."""
    answers = [phone.says(words) for words in texts]

    code = village.row("SELECT code FROM question")["code"]
    assert f"Your question {code} is noted" in answers[-1]
    assert [(question, "ordinary")] == list_of(village)


def test_three_texts_nobody_understands_bring_a_person(village: Village, phone: Phone) -> None:
    """Twice a menu is offered, then an officer is to look; the menu still works."""
    answers = [phone.says(words) for words in ("hm", "hmm", "hmmm")]

    assert ["1 weight picked 2 job finished 3 question 4 list of words" in answer for answer in answers] == [
        True,
        True,
        False,
    ]
    assert "An officer will look at your text" in answers[2]
    assert [("hmmm", "not_understood")] == list_of(village)


@pytest.mark.parametrize(
    ("digit", "answered_with"),
    [
        ("1", "How many kilos"),
        ("2", "Which job is finished?"),
        ("3", "What is your question?"),
        ("4", "HARVEST 12 = weight"),
        ("5", "did not understand"),
    ],
)
def test_the_menu_leads_to_what_was_meant(
    village: Village, phone: Phone, digit: str, answered_with: str
) -> None:
    """The four numbers of the menu do what the menu says; any other is offered the menu again."""
    phone.says("hm")

    assert answered_with in phone.says(digit)


def test_two_machines_do_not_answer_each_other_without_end(village: Village, phone: Phone) -> None:
    """Three answers an hour to what cannot be read, then silence; commands are answered all along."""
    answers = [phone.says(f"out of office {number}") for number in range(8)]
    understood = [phone.says("total"), phone.says("my son drank spray"), phone.says("jobs")]
    village.pass_hours(2)

    assert [True] * 3 + [False] * 5 == [bool(answer) for answer in answers]
    assert "An officer will look" in answers[2]
    assert all(understood)
    assert "did not understand" in phone.says("out of office again")


@pytest.mark.parametrize("words", ["yes", "ok", "ndiyo", "no", "hapana", "sawa"])
def test_yes_and_no_without_a_question_do_nothing(village: Village, phone: Phone, words: str) -> None:
    """A polite word after an answer costs no text and moves nothing."""
    assert "" == phone.says(words)


def test_help_names_what_the_phone_can_do(village: Village, phone: Phone) -> None:
    """A farmer is shown the commands, a stranger how to begin."""
    stranger = village.phone()

    assert "HARVEST 12 = weight" in phone.says("help")
    assert "To begin text JOIN and your name" in stranger.says("help")
    assert "Kuanza tuma JIUNGE" in stranger.says("msaada")


@pytest.mark.parametrize("words", ["harvest 4", "jobs", "done 3", "total", "undo", "7", "hello", "ok"])
def test_a_stranger_moves_nothing(village: Village, words: str) -> None:
    """Commands of a phone nobody has joined from are answered with how to join, or not at all."""
    stranger = village.phone()

    answer = stranger.says(words)

    known = ("reply 1 English", "Nothing from the last", "not known to us", "who have joined")
    assert answer == "" or any(part in answer for part in known)
    assert [] == village.rows("SELECT id FROM farmer")


@pytest.mark.parametrize(
    ("words", "answered_with"),
    [
        pytest.param("my son drank spray", "POISON? Move away.", id="english"),
        pytest.param("mtoto amekunywa dawa", "SUMU? Sogea mbali.", id="swahili-from-an-english-farmer"),
        pytest.param("I want to die", "you are not alone", id="distress"),
    ],
)
@pytest.mark.parametrize(
    "before", [(), ("STOP",), ("harvest 50",), ("cancel",)], ids=lambda texts: "-".join(texts) or "idle"
)
def test_an_emergency_is_answered_whatever_else_is_open(
    village: Village, phone: Phone, before: tuple[str, ...], words: str, answered_with: str
) -> None:
    """First aid comes at once in the language that was texted, at night and after STOP; the open question waits."""
    for text in before:
        phone.says(text)
    village.pass_hours(15)
    state = phone.talk.state

    answer = phone.says(words)

    assert answered_with in answer
    assert state == phone.talk.state
    assert [(words, "emergency")] == list_of(village)


@pytest.mark.parametrize(
    ("words", "answered_with"),
    [
        ("nimekunywa dawa", "SUMU?"),
        ("my brother was bitten by a snake", "SNAKE BITE?"),
        ("anatoka damu", "Kuna aliyeumia?"),
    ],
)
def test_an_emergency_of_a_stranger_is_answered(village: Village, words: str, answered_with: str) -> None:
    """Who is hurt need not have joined, and is answered in the language of the cry for help."""
    assert answered_with in village.phone().says(words)


def test_what_a_text_was_read_as_is_kept_under_a_name(village: Village, phone: Phone) -> None:
    """The pages put the name into words, so it is none of a class that may be renamed."""
    phone.says("not yet")

    kept = village.row("SELECT read_json FROM inbound ORDER BY id DESC LIMIT 1")["read_json"]
    assert '"intent": "not_yet"' in str(kept).replace("'", '"')
