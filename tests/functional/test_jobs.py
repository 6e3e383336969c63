"""Stories of jobs: the list and its numbers, done reports, what was seen under the leaves, the flowers that stay."""

import re

import pytest

from tests.village import Phone, Village


@pytest.fixture
def phone(village: Village) -> Phone:
    """The phone of a farmer whose first list has eight jobs: 1 Flowers off, 2 Check pests, 3 Runners and so on."""
    phone = village.phone()
    phone.joins()
    return phone


def answers_of(village: Village) -> dict[str, object]:
    """Return the tasks that were answered, with their answers."""
    rows = village.rows("SELECT task, answer FROM reminder WHERE state = 'answered'")
    return {str(row["task"]): row["answer"] for row in rows}


@pytest.mark.parametrize(
    ("texts", "done", "answered_with"),
    [
        pytest.param(
            ("DONE 3",), {"runners"}, "Noted as finished: Runners. Still open: 1 Flowers", id="by-number"
        ),
        pytest.param(("tayari 3",), {"runners"}, "Noted as finished: Runners", id="swahili"),
        pytest.param(("3",), {"runners"}, "Noted as finished: Runners", id="bare-number-under-the-list"),
        pytest.param(("done 1 and 3",), {"flowers_off", "runners"}, "finished: 2 of your jobs", id="several"),
        pytest.param(("done",), set(), "Which job is finished?", id="without-a-number"),
        pytest.param(("done", "4"), {"water"}, "Noted as finished: Water", id="then-with-it"),
        pytest.param(("done 9",), set(), "Which job is finished?", id="no-such-number"),
        pytest.param(("done 3", "done 3"), {"runners"}, "finished already", id="closed-already"),
        pytest.param(("done 3", "done 4", "3"), {"runners", "water"}, "finished already", id="closed-before"),
        pytest.param(("done 3", "undo"), set(), "Open again: Runners", id="taken-back"),
        pytest.param(("done 1 and 3", "undo"), set(), "Open again: 2 of your jobs", id="several-taken-back"),
        pytest.param(("done 3", "undo", "done 3"), {"runners"}, "finished: Runners", id="and-done-again"),
        pytest.param(("harvest 3", "done 3"), {"runners"}, "finished: Runners", id="after-a-weight"),
        pytest.param(("total", "ok", "3"), {"runners"}, "finished: Runners", id="the-list-stays-open"),
        pytest.param(("1 2 3 4",), set(), "did not understand", id="numbers-without-a-word"),
    ],
)
def test_a_job_is_reported_as_done(
    village: Village, phone: Phone, texts: tuple[str, ...], done: set[str], answered_with: str
) -> None:
    """DONE and the number in the last list, or the number alone while that list is open."""
    answers = [phone.says(words) for words in texts]

    assert answered_with in answers[-1]
    assert done == set(answers_of(village))


def test_a_number_stays_with_its_job(village: Village, phone: Phone) -> None:
    """Closing one job moves no other; JOBS shows what is left with the numbers it had."""
    phone.says("done 2 and 3")

    assert "1 Flowers off 4 Water 5 Old leaves 6 Weeds 7 Compost 8 Cover soil" in phone.says("jobs")


def test_a_number_of_an_older_list_is_asked_about(village: Village, phone: Phone) -> None:
    """A later list names fewer jobs: a number on it is a job's, one from the paper of last week is no other job's."""
    village.pass_days(7)
    listed = next(words for words in reversed(phone.texts) if "1 " in words and "JOBS" in words)
    named = {int(number) for number in re.findall(r"(?<![.\d])(\d) [A-Z]", listed)}
    unseen = next(number for number in range(1, 10) if number not in named)

    assert "Which job is finished?" in phone.says(f"done {unseen}")
    assert {} == answers_of(village)


def test_a_job_of_two_weeks_is_done_at_once(village: Village, phone: Phone) -> None:
    """Whoever has done this week's job does not see last week's of the same kind as open; UNDO opens it again."""
    village.pass_days(9)
    phone.says("jobs")
    phone.says("done runners")
    after = phone.says("jobs")
    phone.says("undo")

    assert "Runners" not in after
    assert "Runners" in phone.says("jobs")
    assert {} == answers_of(village)


def test_all_jobs_done_leave_an_empty_list(village: Village, phone: Phone) -> None:
    """After the last job nothing is open, and saying so once more is answered kindly."""
    phone.says("done 1 and 3 and 4 and 5 and 6")
    phone.says("done 2")
    phone.says("5")
    phone.says("done 7")

    last = phone.says("done 8")

    assert "Thank you Neema. Noted as finished: Cover soil." in last
    assert [
        "No job is open for you now. We text you when the next one is due.",
        "Thank you. No job is open for you now.",
    ] == [
        phone.says("jobs"),
        phone.says("done"),
    ]


def test_the_only_open_job_needs_no_number(village: Village) -> None:
    """DONE alone is enough where it can mean one thing only."""
    phone = village.phone()
    phone.joins(days_ago=-50)
    village.pass_days(7)

    answer = phone.says("done")

    assert [{"task": "lime"}] == village.rows("SELECT task FROM reminder")
    assert "Noted as finished: Lime" in answer


@pytest.mark.parametrize(
    ("words", "shown"),
    [
        pytest.param(
            "jobs 3", "Cut them close to the plant with a clean blade. Then reply DONE 3.", id="english"
        ),
        pytest.param("kazi 5", "Take off dry or spotted leaves", id="swahili-word-english-farmer"),
        pytest.param("jobs 9", "Your jobs: 1 Flowers off", id="no-such-number"),
    ],
)
def test_a_job_is_explained(village: Village, phone: Phone, words: str, shown: str) -> None:
    """JOBS and a number sends the whole text of that job, with its number in it."""
    assert shown in phone.says(words)


@pytest.mark.parametrize(
    ("texts", "finding", "answered_with"),
    [
        pytest.param(("jobs 2", "1"), "mites", "Noted: tiny dots or webs. Do not spray", id="mites"),
        pytest.param(("jobs 2", "2"), "slugs", "Noted: slugs", id="slugs"),
        pytest.param(("jobs 2", "3"), "grey_mould", "Noted: grey mould on fruit", id="grey-mould"),
        pytest.param(("done 2", "4"), "flies", "Noted: flies on fruit", id="flies-after-done"),
        pytest.param(("jobs 2", "5"), "clear", "you saw nothing", id="nothing-seen"),
        pytest.param(("jobs 2", "7", "5"), "clear", "you saw nothing", id="after-a-wrong-digit"),
        pytest.param(
            ("jobs 2", "help", "sawa", "5"), "clear", "you saw nothing", id="the-question-stays-open"
        ),
    ],
)
def test_what_was_seen_under_the_leaves_is_stored(
    village: Village, phone: Phone, texts: tuple[str, ...], finding: str, answered_with: str
) -> None:
    """Five digits answer the look; it is then done, and the list is open again."""
    answers = [phone.says(words) for words in texts]

    assert answered_with in answers[-1]
    assert [finding] == [row["finding"] for row in village.rows("SELECT finding FROM scout_report")]
    assert {"scout": "done"} == answers_of(village)
    assert "Noted as finished: Runners" in phone.says("3")


def test_a_look_taken_back_is_forgotten(village: Village, phone: Phone) -> None:
    """A wrong digit does not stay as a pest that nobody has."""
    phone.says("jobs 2")
    phone.says("3")

    answer = phone.says("undo")

    assert "Open again: Check pests" in answer
    assert [] == village.rows("SELECT finding FROM scout_report")


@pytest.mark.parametrize(
    ("texts", "answered", "answered_with"),
    [
        pytest.param(("1",), {"flowers_stay": "understood"}, "leave all flowers on", id="understood"),
        pytest.param(("yes",), {"flowers_stay": "understood"}, "leave all flowers on", id="yes"),
        pytest.param(("2",), {}, "What is your question?", id="a-question"),
        pytest.param(("no", "which flowers"), {}, "An officer will read it", id="no-and-the-question"),
        pytest.param(
            ("9", "1"), {"flowers_stay": "understood"}, "leave all flowers on", id="after-a-wrong-digit"
        ),
    ],
)
def test_the_flowers_stay_is_answered(
    village: Village, texts: tuple[str, ...], answered: dict[str, str], answered_with: str
) -> None:
    """A text of its own; 1 is understood, 2 is a question; who has not understood is told anew three days later."""
    phone = village.phone()
    phone.joins(days_ago=112)
    while "leave the flowers on" not in phone.last:
        village.pass_days(1)
        assert village.today.year < 2027 or village.today.month < 6

    answers = [phone.says(words) for words in texts]
    village.pass_days(3)

    assert answered_with in answers[-1]
    assert answered == {
        task: answer for task, answer in answers_of(village).items() if task == "flowers_stay"
    }
    assert 2 - len(answered) == len(village.rows("SELECT id FROM message WHERE kind = 'flowers_stay'"))


def test_an_expired_question_takes_no_digit(village: Village, phone: Phone) -> None:
    """After 48 hours a digit is no answer any more; DONE and the number still is."""
    phone.says("not yet 1")  # no question is to take the list's place
    village.pass_hours(47)
    open_still = phone.talk.state
    village.pass_hours(2)

    answers = [phone.says("3"), phone.says("done 3")]

    assert "jobs" == open_still
    assert "did not understand" in answers[0]
    assert "Noted as finished: Runners" in answers[1]


def test_asking_for_the_list_again_gives_the_time_again(village: Village, phone: Phone) -> None:
    """The 48 hours run from the last time the list was shown."""
    phone.says("not yet 1")  # as above
    village.pass_hours(40)
    phone.says("jobs")
    village.pass_hours(40)

    assert "Noted as finished: Runners" in phone.says("3")


def test_a_picking_prompt_takes_the_kilos_for_its_day(village: Village) -> None:
    """A number under the prompt is the weight of the prompt's day, also when it comes the next morning."""
    phone = village.phone()
    phone.joins(days_ago=200)
    village.pass_days(3)
    assert "Picking day" in phone.last
    prompted = village.today

    village.pass_days(1)
    answer = phone.says("7.5")

    assert f"7.5 kg on Sat {prompted.day}/{prompted.month}" in answer
    assert {"picking": "weight"} == {
        task: answer for task, answer in answers_of(village).items() if task == "picking"
    }


def test_picking_reported_as_done_asks_for_the_kilos(village: Village) -> None:
    """A job that bears a weight is not finished without it."""
    phone = village.phone()
    phone.joins(days_ago=200)
    number = next(line.split(" Pick, weigh")[0][-1] for line in [phone.says("jobs")])

    asked = phone.says(f"done {number}")
    phone.says("4")

    assert "How many kilos" in asked
    assert [{"grams": 4000}] == village.rows("SELECT grams FROM harvest")


def test_undo_takes_the_last_of_weights_and_jobs(village: Village) -> None:
    """Whatever was saved last goes first, also when all came within one moment."""
    phone = village.phone()
    phone.joins()
    for words in ("harvest 4", "done 3", "harvest 5 yesterday", "done 4"):
        phone.says(words)

    answers = [phone.says("undo") for _ in range(4)]

    expected = ("Open again: Water", "Taken back: 5 kg", "Open again: Runners", "Taken back: 4 kg")
    assert [True] * 4 == [part in answer for part, answer in zip(expected, answers, strict=True)]
