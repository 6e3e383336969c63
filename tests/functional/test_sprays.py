"""Stories of sprays: told, asked about, obeyed, taken back. No text names a product, a dose or a mix."""

from dataclasses import asdict, replace
from datetime import date, timedelta

import pytest

from scheduler.receiver import Receiver
from scheduler.sender import Sender
from service.db.queries.reporting import Days
from service.db.work import Database
from tests.village import SEAL, Phone, Village, build_village

# The village's first day is a Wednesday, and that is a picking day of who joins on it; the next is Saturday.
PICKING = "Picking day"
OVER = (
    "Neema, the wait after the spray of Wed 25/11 is over. "
    "Pick ripe fruit again only if the label's days have passed; if unsure wait and tell your officer."
)


@pytest.fixture
def phone(village: Village) -> Phone:
    """The phone of a farmer with 400 plants, well after the first fruit."""
    phone = village.phone()
    phone.joins(days_ago=200)
    return phone


def kept(village: Village) -> list[tuple[object, object, object]]:
    """Return the label's days, the first day of picking and whether it was taken back, of all sprays."""
    rows = village.rows("SELECT label_days, pick_from, voided_at FROM spray ORDER BY id")
    return [(row["label_days"], str(row["pick_from"]), row["voided_at"] is not None) for row in rows]


def flagged(village: Village) -> list[tuple[object, bool]]:
    """Return the grams of all weights, and whether they were picked under a hold."""
    rows = village.rows("SELECT grams, in_hold FROM harvest ORDER BY id")
    return [(row["grams"], bool(row["in_hold"])) for row in rows]


def prompts(phone: Phone, before: int = 0) -> list[str]:
    """Return the texts after the first `before` that speak of picking, but for those that hold it back."""
    return [words for words in phone.texts[before:] if PICKING in words or "Pick, weigh" in words]


@pytest.mark.parametrize(
    ("words", "days", "told"),
    [
        pytest.param("SPRAYED 7", 7, ("Wed 25/11", "Wed 2/12"), id="today"),
        pytest.param("sprayed 7 yesterday", 7, ("Tue 24/11", "Tue 1/12"), id="yesterday"),
        pytest.param("we sprayed on 20/11, the label says 14 days", 14, ("Fri 20/11", "Fri 4/12"), id="told"),
        pytest.param("nimepulizia dawa jana siku 3", 3, ("Tue 24/11", "Fri 27/11"), id="swahili"),
    ],
)
def test_a_spray_is_noted_with_the_day_before_which_nothing_is_picked(
    village: Village, phone: Phone, words: str, days: int, told: tuple[str, str]
) -> None:
    """The answer repeats the day, and says what must wait: picking, eating, selling, and going in."""
    sprayed, free = told
    answer = phone.says(words)

    assert [(days, str(iso(free)), False)] == kept(village)
    assert answer == (
        f"Noted: sprayed on {sprayed}. Do not pick, eat or sell fruit before {free}. "
        "Follow the label, keep children and animals out; if wrong text UNDO."
    )


def iso(told: str) -> date:
    """Return the day that a text names."""
    day, month = told.split()[1].split("/")
    return date(2026, int(month), int(day))


def test_the_labels_days_are_asked_for_and_the_longest_hold_counts_meanwhile(
    village: Village, phone: Phone
) -> None:
    """Before the answer comes nothing is picked for as long as any label asks."""
    asked = phone.says("sprayed")
    meanwhile = kept(village)
    answer = phone.says("14 days")

    assert "do not pick now" in asked
    assert [(None, "2026-12-25", False)] == meanwhile
    assert [(14, "2026-12-09", False)] == kept(village)
    assert "before Wed 9/12" in answer


@pytest.mark.parametrize("words", ["0", "I do not know", "sijui", "sprayed, no idea"])
def test_who_does_not_know_the_label_waits_longest(village: Village, phone: Phone, words: str) -> None:
    """Days that nobody knows are the longest that the programme has set; nobody is asked what was sprayed."""
    phone.says("sprayed")
    answer = phone.says(words)

    assert [(None, "2026-12-25", False)] == kept(village)
    assert (
        "The label is not known, so we count 30 days: do not pick, eat or sell fruit before Fri 25/12."
        in answer
    )


@pytest.mark.parametrize(
    ("words", "expected"),
    [
        pytest.param("61", [(None, "2026-12-25", False)], id="no-label-says-so"),
        pytest.param("7 kg", [(None, "2026-12-25", False)], id="a-weight"),
        pytest.param("20 ml in the can", [(None, "2026-12-25", False)], id="a-dose"),
        pytest.param("sprayed 7", [(7, "2026-12-02", False)], id="told-once-more-with-its-days"),
        pytest.param("undo", [(None, "2026-12-25", True)], id="taken-back"),
    ],
)
def test_what_answers_the_question_after_the_days(
    village: Village, phone: Phone, words: str, expected: list[tuple[object, object, object]]
) -> None:
    """Only days of a label do; anything else leaves the longest hold as it is."""
    phone.says("sprayed")
    phone.says(words)

    assert expected == kept(village)


@pytest.mark.parametrize(
    ("words", "answered_with"),
    [
        pytest.param("sprayed 7 tomorrow", "On which day was that?", id="tomorrow"),
        pytest.param("sprayed 7 last week", "On which day was that?", id="no-single-day"),
        pytest.param("sprayed 7 25/9", "more than 60 days ago", id="too-long-ago"),
        pytest.param("which spray for mites?", "Your question", id="a-question"),
        pytest.param("dawa gani nipulizie", "Your question", id="a-question-in-swahili"),
        pytest.param("nipulizie dawa gani kwa utitiri?", "Your question", id="and-another"),
        pytest.param("spray for mites", "did not understand", id="only-named"),
        pytest.param("I have not sprayed", "did not understand", id="denied"),
        pytest.param("sprayed water on the leaves", "did not understand", id="water"),
        pytest.param("sprayed 7 and now my son is vomiting", "POISON?", id="an-emergency-first"),
        pytest.param("nimepulizia, dawa imeingia machoni", "SUMU?", id="an-emergency-in-swahili"),
    ],
)
def test_what_is_no_report_of_a_spray_is_kept_as_none(
    village: Village, phone: Phone, words: str, answered_with: str
) -> None:
    """Questions go to an officer, alarms come first, and no day is chosen for the farmer."""
    answer = phone.says(words)

    assert answered_with in answer
    assert [] == kept(village)


def test_no_prompt_comes_while_a_hold_runs_and_one_text_ends_it(village: Village, phone: Phone) -> None:
    """Saturday's and Wednesday's picking are not asked for; on the morning after the last day one text says so."""
    phone.says("sprayed 9")
    before = len(phone.texts)
    village.pass_days(8)
    silent = prompts(phone, before)
    held = village.rows(
        "SELECT why FROM reminder WHERE task = 'picking' AND due_on >= :day", day=village.today
    )
    village.pass_days(1)
    ended = [words for words in phone.texts[before:] if "is over" in words]
    village.pass_days(1)

    assert [] == silent
    assert [OVER] == ended
    assert 1 == len(prompts(phone, before))
    assert [] == held


def test_what_was_not_asked_says_why(village: Village, phone: Phone) -> None:
    """An officer reads beside the job why it was not texted."""
    phone.says("sprayed 9")
    village.pass_days(4)

    assert [{"state": "dropped", "why": "no picking yet: a spray was told of"}] == village.rows(
        "SELECT state, why FROM reminder WHERE task = 'picking' AND due_on = :day", day=date(2026, 11, 28)
    )


def test_jobs_leave_picking_out_and_say_until_when(village: Village, phone: Phone) -> None:
    """The list that was sent before the spray may have had it; the one that is asked for has not."""
    before = phone.says("jobs")
    phone.says("sprayed 7")
    after = phone.says("jobs")

    assert "Pick, weigh" in before
    assert "Pick, weigh" not in after
    assert "No picking before Wed 2/12, because of a spray." in after


def test_the_text_that_waits_for_its_hour_is_written_anew_without_picking(
    village: Village, phone: Phone
) -> None:
    """A spray told at six takes picking out of the text of seven; the other jobs of that text still come."""
    village.pass_days(6)
    village.pass_hours(18)
    assert (date(2026, 12, 2), 2) == (village.today, local_hour(village))
    waits = village.rows("SELECT text FROM message WHERE state = 'due' AND kind = 'reminder'")
    before = len(phone.texts)
    phone.says("sprayed 7")
    village.pass_hours(8)
    came = phone.texts[before + 1 :]

    assert any(PICKING in str(row["text"]) or "Pick, weigh" in str(row["text"]) for row in waits)
    assert [] == prompts(phone, before)
    assert ["Look under 10 leaves and at fruit today."] == [words.partition(" Reply")[0] for words in came]


def local_hour(village: Village) -> int:
    """Return the village's hour."""
    return (village.clock.now() + timedelta(hours=3)).hour


@pytest.mark.parametrize(
    ("words", "expected"),
    [
        pytest.param("harvest 8", True, id="on-the-day"),
        pytest.param("harvest 8 yesterday", False, id="picked-before"),
        pytest.param("vuna 8", True, id="swahili"),
    ],
)
def test_a_weight_under_a_hold_is_kept_and_answered_with_the_caution(
    village: Village,
    phone: Phone,
    words: str,
    expected: bool,  # noqa: FBT001 - a column of the table
) -> None:
    """It counts, it is flagged, and the farmer is told what the label asks for, without blame."""
    phone.says("sprayed 7")
    answer = phone.says(words)

    assert [(8000, expected)] == flagged(village)
    assert expected == ("no fruit picked before Wed 2/12 may be eaten or sold: tell your officer." in answer)
    assert "8 kg" in phone.says("total")


def test_a_weight_that_was_asked_about_is_flagged_as_well(village: Village, phone: Phone) -> None:
    """The caution comes with the answer that lets it count."""
    phone.says("sprayed 7")
    phone.says("harvest 30")
    answer = phone.says("yes")

    assert [(30_000, True)] == flagged(village)
    assert "may be eaten or sold" in answer


def test_a_spray_that_is_told_late_flags_what_was_picked_after_it(village: Village, phone: Phone) -> None:
    """Told today of Monday's spray, Tuesday's weight is one that must not be eaten; Sunday's is none."""
    phone.says("harvest 8 yesterday")
    phone.says("harvest 5 22/11")
    phone.says("sprayed 7 23/11")
    after = flagged(village)
    phone.says("undo")

    assert [(8000, True), (5000, False)] == after
    assert [(8000, False), (5000, False)] == flagged(village)


@pytest.mark.parametrize(
    ("words", "answered", "expected"),
    [
        pytest.param(("sprayed 7", "1"), ("before you sprayed? Reply 1 YES", "8 kg"), False, id="before"),
        pytest.param(("sprayed 7", "yes"), ("before Wed 2/12", "no other fruit before"), False, id="yes"),
        pytest.param(("sprayed 7", "no"), ("before Wed 2/12", "may be eaten or sold"), True, id="after"),
        pytest.param(("sprayed 7", "hm"), ("before Wed 2/12", "take it as sprayed"), True, id="unclear"),
        pytest.param(("sprayed 7", "total"), ("before Wed 2/12", "8 kg"), True, id="never-answered"),
        pytest.param(("sprayed", "7", "ndiyo"), ("does the label say", "before the spray"), False, id="days"),
        pytest.param(("sprayed", "0", "2"), ("label", "before Fri 25/12 may be"), True, id="no-label"),
        pytest.param(("sprayed 7", "undo"), ("Reply 1 YES", "Taken back: the spray"), False, id="taken-back"),
    ],
)
def test_a_spray_after_the_days_weight_asks_which_came_first(
    village: Village,
    phone: Phone,
    words: tuple[str, ...],
    answered: tuple[str, str],
    expected: bool,  # noqa: FBT001 - a column of the table
) -> None:
    """Who picks in the morning and sprays at noon picked nothing too early; until that is said the hold counts."""
    phone.says("harvest 8")
    answers = [phone.says(one) for one in words]
    asked, told = answered

    assert asked in answers[0]
    assert told in answers[-1]
    assert [(8000, expected)] == flagged(village)


def test_only_what_was_told_before_the_spray_is_free_of_it(village: Village, phone: Phone) -> None:
    """A weight that comes later that day may be sprayed fruit, and one that an older spray holds is that anyway."""
    for words in ("vuna 8", "sprayed 7", "yes", "harvest 2", "1"):
        phone.says(words)
    later = flagged(village)
    phone.says("sprayed 9 24/11")
    older = flagged(village)

    assert [(8000, False), (2000, True)] == later
    assert [(8000, True), (2000, True)] == older


def test_undo_takes_a_spray_back_for_a_day(village: Village, phone: Phone) -> None:
    """Within 24 hours; later only an officer can."""
    phone.says("sprayed 7")
    undone = phone.says("undo")
    phone.says("sprayed 5")
    village.pass_days(2)
    too_late = phone.says("undo")

    assert "Taken back: the spray of Wed 25/11." == undone
    assert "Nothing from the last 24 hours" in too_late
    assert [(7, "2026-12-02", True), (5, "2026-11-30", False)] == kept(village)


@pytest.mark.parametrize(
    ("texts", "told"),
    [
        pytest.param(("sprayed 14", "sprayed 3"), "before Wed 9/12", id="the-shorter-told-last"),
        pytest.param(("sprayed 3", "sprayed 14"), "before Wed 9/12", id="the-longer-told-last"),
        pytest.param(("sprayed 14", "sprayed 3", "undo"), "before Wed 9/12", id="one-taken-back"),
        pytest.param(("sprayed 14 21/11", "sprayed 1 20/11"), "before Sat 5/12", id="one-over-already"),
    ],
)
def test_of_two_sprays_the_one_that_holds_longest_counts(
    village: Village, phone: Phone, texts: tuple[str, ...], told: str
) -> None:
    """A short label shortens no long one."""
    answers = [phone.says(words) for words in texts]
    village.pass_days(4)

    assert told in answers[-1]
    assert told.removeprefix("before ") in phone.says("jobs")


def test_a_spray_whose_days_are_over_holds_nothing(village: Village, phone: Phone) -> None:
    """It is kept, and the answer does not call anything free."""
    answer = phone.says("sprayed 3 20/11")

    assert "the days you told us ended Mon 23/11. Where the label asks for more, wait longer." in answer
    assert "spray" not in phone.says("jobs")


def test_on_a_shared_phone_the_one_who_sprayed_is_asked_for(village: Village) -> None:
    """Only their plot is held."""
    phone = village.phone()
    phone.joins(name="Neema", days_ago=200)
    phone.joins(name="Asha", days_ago=200)
    asked = phone.says("sprayed 7")
    answer = phone.says("2")
    held = village.rows(
        "SELECT farmer.name FROM spray JOIN plot ON plot.id = spray.plot_id JOIN farmer ON farmer.id = plot.farmer_id"
    )

    assert "For whom is this?" in asked
    assert "Noted: sprayed on Wed 25/11." in answer
    assert 1 == len(held)


def test_all_plots_of_a_farmer_are_held(village: Village, phone: Phone) -> None:
    """A text names no plot, and what grows on none of them may be eaten; one word takes it back from all."""
    (farmer,) = village.row("SELECT id FROM farmer").values()
    with village.database.work() as work:
        (first,) = work.plots.of_farmer(int(str(farmer)))
        older = first.planted_on - timedelta(days=100)
        work.plots.add(**{**asdict(first), "id": 900, "planted_on": older})
        work.commit()
    phone.says("sprayed")
    phone.says("7")
    both = kept(village)
    phone.says("undo")

    assert [(7, "2026-12-02", False)] * 2 == both
    assert [(7, "2026-12-02", True)] * 2 == kept(village)


def test_what_officers_see_of_a_hold(village: Village, phone: Phone) -> None:
    """Both engines count the same: the plot that is held, what was picked from it too early, and the sprays."""
    for words in ("sprayed", "sprayed 7 yesterday", "harvest 4", "harvest 2 22/11"):
        phone.says(words)
    ((farmer_id, plot_id),) = (tuple(row.values()) for row in village.rows("SELECT farmer_id, id FROM plot"))
    here, there = village.today, village.today - timedelta(days=6)
    days = Days(first=there, last=here, begins=village.clock.now(), ends=village.clock.now())
    with village.database.look() as work:
        sight = work.console.within(None)
        (held,) = sight.holds(here, 10)
        farmer = sight.farmer(int(str(farmer_id)))
        sprays = farmer.sprays(int(str(plot_id)), 10) if farmer else ()
        grams = work.reporting.held(days, None)

    assert ("Neema", "Ketumali", date(2026, 12, 25), 4000) == (
        held.farmer,
        held.district,
        held.pick_from,
        held.grams,
    )
    assert (True, there + timedelta(days=5)) == (held.unknown, held.sprayed_on)
    assert [None, 7] == [one.label_days for one in sprays]
    assert 4000 == grams


def test_a_hold_outlasts_a_stop_and_no_text_ends_it_meanwhile(village: Village, phone: Phone) -> None:
    """Who has stopped gets no text; who comes back is still held."""
    phone.says("sprayed 9")
    phone.says("stop")
    before = len(phone.texts)
    village.pass_days(5)
    silent = phone.texts[before:]
    phone.says("join")
    phone.says("yes")
    answer = phone.says("harvest 4")

    assert [] == silent
    assert "may be eaten or sold" in answer


def test_a_hold_and_its_question_outlast_a_restart(database_url: str) -> None:
    """Another process answers, on the same database."""
    first = build_village(database_url)
    phone = first.phone()
    phone.joins(days_ago=200)
    phone.says("sprayed")
    first.database.close()
    database = Database(database_url, SEAL)
    second = replace(
        first,
        database=database,
        sender=Sender(database, first.tools, first.gateway, first.clock, window=8, per_second=1000),
        receiver=Receiver(database, first.tools, first.gateway, first.clock),
    )
    answer = Phone(village=second, number=phone.number).says("7")
    held = kept(second)
    second.database.close()

    assert "before Wed 2/12" in answer
    assert [(7, "2026-12-02", False)] == held
