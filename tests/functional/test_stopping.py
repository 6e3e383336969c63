"""Stories of stopping and coming back, of cancelling, and of phones that several people share."""

import pytest

from tests.village import Village

STOPPED = "You will get no more texts from us"


@pytest.mark.parametrize(
    "word",
    [
        "STOP",
        "stop",
        "Stop please",
        "stopp",
        "st0p",
        "stop sending me texts",
        "ACHA",
        "acha",
        "Sitisha",
        "achaa",
    ],
)
def test_stop_works_in_both_languages_and_misspelt(village: Village, word: str) -> None:
    """Whatever language the farmer joined in, every word for it ends the texts."""
    phone = village.phone()
    phone.joins()

    answer = phone.says(word)
    said = len(phone.texts)
    village.pass_days(10)

    assert STOPPED in answer
    assert said == len(phone.texts)


def test_stop_moves_nothing_else(village: Village) -> None:
    """Weights, done reports and the plot's days stay; what waits to be texted ends with its reason."""
    phone = village.phone()
    phone.joins(days_ago=200)
    phone.says("harvest 4")
    phone.says("done 2")
    kept = "SELECT grams, state FROM harvest", "SELECT task, voided_by FROM done_report"
    before = [village.rows(statement) for statement in kept]

    phone.says("STOP")

    assert before == [village.rows(statement) for statement in kept]
    assert [] == village.rows("SELECT 1 FROM reminder WHERE state = 'due'")
    assert ["asked", "yes", "stopped"] == [
        row["answer"] for row in village.rows("SELECT answer FROM consent ORDER BY id")
    ]


def test_a_text_queued_before_the_stop_does_not_leave(village: Village) -> None:
    """What waits for the morning is not sent to a phone that has stopped in the night."""
    phone = village.phone()
    phone.joins()
    village.pass_days(6)
    # The next text day is planned as it begins, and its texts wait for seven in the morning.
    village.pass_hours(18)
    waiting = village.rows("SELECT 1 FROM message WHERE state = 'due'")
    phone.says("STOP")
    said = len(phone.texts)
    village.pass_hours(12)

    assert waiting
    assert said == len(phone.texts)


def test_who_comes_back_is_asked_again_and_keeps_the_weights(village: Village) -> None:
    """JOIN after STOP needs a new yes; then the season goes on, without the jobs of the time between."""
    phone = village.phone()
    phone.joins(days_ago=200)
    phone.says("harvest 4")
    phone.says("STOP")
    village.pass_days(20)

    hint, asked = phone.says("jobs"), phone.says("JOIN")
    welcome = phone.says("yes")

    assert "To come back text JOIN" in hint
    assert "Hello again Neema" in asked
    assert "Welcome Neema, your 400 plants" in welcome
    assert "4 kg since" in phone.says("total")
    assert [{"state": "active"}] == village.rows("SELECT state FROM farmer")


@pytest.mark.parametrize("again", ["JOIN", "JOIN Neema"])
def test_who_says_no_to_coming_back_just_stays_away(village: Village, again: str) -> None:
    """A no after a season erases nothing."""
    phone = village.phone()
    phone.joins()
    phone.says("STOP")
    phone.says(again)

    answer = phone.says("no")

    assert STOPPED in answer
    assert [{"name": "Neema", "state": "stopped"}] == village.rows("SELECT name, state FROM farmer")


def test_last_word_wins_however_often(village: Village) -> None:
    """STOP and JOIN in turns: the last one holds, and each has left its trace."""
    phone = village.phone()
    phone.joins()
    for words in ("STOP", "JOIN", "yes", "STOP", "STOP", "JOIN", "YES"):
        phone.says(words)

    answers = [row["answer"] for row in village.rows("SELECT answer FROM consent ORDER BY id")]

    assert ["asked", "yes", "stopped", "asked", "yes", "stopped", "stopped", "asked", "yes"] == answers
    assert "Your jobs" in phone.says("jobs")


def test_a_stranger_can_stop_too(village: Village) -> None:
    """A phone we know nothing of is put on the list all the same, and JOIN takes it off."""
    phone = village.phone()

    answers = [phone.says(words) for words in ("acha", "hello", "JIUNGE Asha 300 12/10/2026 Zaruvi", "ndiyo")]

    assert "Hutapokea ujumbe wetu tena" in answers[0]
    assert "To come back text JOIN" in answers[1]
    assert "Karibu Asha" in answers[3]


@pytest.mark.parametrize(
    ("texts", "stopped", "weights"),
    [
        pytest.param(("1",), False, 1, id="neither"),
        pytest.param(("2",), True, 1, id="stop"),
        pytest.param(("3",), False, 0, id="undo"),
        pytest.param(("maybe", "yes", "3"), False, 0, id="undo-after-words"),
        pytest.param(("undo",), False, 0, id="undo-by-its-word"),
        pytest.param(("stop",), True, 1, id="stop-by-its-word"),
        pytest.param(("cancel", "3"), False, 0, id="cancel-twice"),
    ],
)
def test_cancel_asks_once_which_is_meant(
    village: Village, texts: tuple[str, ...], weights: int, *, stopped: bool
) -> None:
    """The word may mean the last entry or all texts; nothing happens before the farmer has chosen."""
    phone = village.phone()
    phone.joins(days_ago=200)
    phone.says("harvest 4")

    asked = phone.says("cancel")
    for words in texts:
        phone.says(words)

    assert "1 keep texts 2 no more texts 3 take back" in asked
    assert stopped == bool(village.rows("SELECT 1 FROM stop_list"))
    assert weights == len(village.rows("SELECT 1 FROM harvest WHERE state = 'counted'"))


def test_while_cancel_is_open_nothing_is_pushed(village: Village) -> None:
    """Who may have meant STOP gets no reminder until that is answered or 48 hours are over."""
    phone = village.phone()
    phone.joins()
    village.pass_days(6)
    phone.says("cancel")
    said = len(phone.texts)

    village.pass_days(1)
    paused = len(phone.texts)
    village.pass_hours(30)

    assert said == paused
    assert "this week" in phone.last


def test_one_phone_speaks_for_two_farmers(village: Village) -> None:
    """A second JOIN with another name; a weight is asked whose it is, by number or by name."""
    phone = village.phone()
    phone.joins(name="Asha", days_ago=200)
    phone.joins(name="Baraka", days_ago=190, plants=200)

    asked = phone.says("harvest 4")
    second = phone.says("2")
    first = [phone.says("harvest 5"), phone.says("it is Asha's"), phone.says("asha")][-1]

    assert "For whom is this? Reply with the number: 1 Asha 2 Baraka" in asked
    assert "Thank you Baraka" in second
    assert "Thank you Asha" in first
    assert [("Asha", 5000), ("Baraka", 4000)] == [
        (row["name"], row["grams"])
        for row in village.rows(
            "SELECT f.name, h.grams FROM harvest h JOIN plot p ON p.id = h.plot_id"
            " JOIN farmer f ON f.id = p.farmer_id ORDER BY f.name"
        )
    ]


def test_done_under_a_list_goes_to_whom_the_list_was_sent(village: Village) -> None:
    """The list names its farmer, so its numbers need no question."""
    phone = village.phone()
    phone.joins(name="Asha")
    phone.joins(name="Baraka")
    village.pass_days(1)
    assert phone.last.startswith("Baraka, this week")

    answers = [phone.says("done 3"), phone.says("4"), phone.says("total")]

    assert ["finished: Runners" in answers[0], "finished: Old leaves" in answers[1]] == [True, True]
    assert "For whom is this?" in answers[2]
    assert {"Baraka"} == {
        row["name"]
        for row in village.rows(
            "SELECT f.name FROM done_report d JOIN plot p ON p.id = d.plot_id JOIN farmer f ON f.id = p.farmer_id"
        )
    }


def test_farmers_on_one_phone_are_texted_on_different_days(village: Village) -> None:
    """The cap is the phone's: two farmers with the same text day would wait for each other."""
    phone = village.phone()
    for name in ("Asha", "Baraka", "Neema"):
        phone.joins(name=name)

    assert [2, 3, 4] == [
        row["text_day"] for row in village.rows("SELECT text_day FROM plot ORDER BY farmer_id")
    ]


def test_stop_on_a_shared_phone_stops_all(village: Village) -> None:
    """STOP is the phone's word; each farmer comes back by name."""
    phone = village.phone()
    phone.joins(name="Asha")
    phone.joins(name="Baraka")
    phone.says("STOP")
    both = village.rows("SELECT name, state FROM farmer ORDER BY name")

    phone.says("JOIN Baraka")
    phone.says("yes")

    assert [("Asha", "stopped"), ("Baraka", "stopped")] == [(row["name"], row["state"]) for row in both]
    assert [("Asha", "stopped"), ("Baraka", "active")] == [
        (row["name"], row["state"]) for row in village.rows("SELECT name, state FROM farmer ORDER BY name")
    ]
    assert "Baraka" in phone.says("total")


def test_undo_on_a_shared_phone_takes_back_the_last_of_all(village: Village) -> None:
    """The last thing this phone saved goes, whoever it was for, and is named."""
    phone = village.phone()
    phone.joins(name="Asha", days_ago=200)
    phone.joins(name="Baraka", days_ago=200)
    for words in ("harvest 4", "1", "harvest 5", "2"):
        phone.says(words)

    told = [phone.says("undo").partition(" of ")[0] for _ in range(2)]
    assert ["Taken back for Baraka: 5 kg", "Taken back for Asha: 4 kg"] == told


def test_a_farmer_with_two_phones(village: Village) -> None:
    """Both phones may report; texts go to the preferred one, and STOP on the other ends its answers only."""
    first, second = village.phone(), village.phone()
    first.joins(days_ago=200)
    village.link("Neema", second)

    weight = second.says("harvest 4")
    taken = first.says("undo")
    second.says("STOP")
    said = len(second.texts)
    village.pass_days(4)

    assert "Thank you Neema" in weight
    assert "Nothing from the last 24 hours" in taken
    assert said == len(second.texts)
    assert "Picking day" in first.last
    assert [{"state": "active"}] == village.rows("SELECT state FROM farmer")


def test_coming_back_from_the_other_phone_moves_the_texts_there(village: Village) -> None:
    """Who says yes from a phone wants to be texted on it."""
    first, second = village.phone(), village.phone()
    first.joins(days_ago=200)
    village.link("Neema", second)
    first.says("STOP")
    said = len(first.texts)

    second.says("JOIN")
    second.says("yes")
    village.pass_days(4)

    assert "Picking day" in second.last
    assert said == len(first.texts)


def test_an_answer_from_the_other_phone_counts_for_nobody_who_stopped(village: Village) -> None:
    """A question that is still open on one phone ends with the STOP on the other."""
    first, second = village.phone(), village.phone()
    first.joins(days_ago=200)
    village.link("Neema", second)
    second.says("harvest 50")

    first.says("STOP")
    answer = second.says("yes")

    assert "To come back text JOIN" in answer
    assert [{"state": "in_question"}] == village.rows("SELECT state FROM harvest")
