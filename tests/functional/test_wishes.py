"""Stories of how a farmer wants to be texted: language, days, a pause, warnings; and of what is kept of them."""

from datetime import timedelta
from zoneinfo import ZoneInfo

import pytest

from service.use_cases.days import set_days
from service.use_cases.planting import day_columns
from tests.village import ZONE, Phone, Village


@pytest.fixture
def phone(village: Village) -> Phone:
    """The phone of a farmer who joined on a Wednesday and picks on Wednesdays and Saturdays."""
    phone = village.phone()
    phone.joins()
    return phone


def pushed(village: Village) -> list[object]:
    """Return the kinds of the texts that left without being asked for."""
    rows = village.rows("SELECT kind FROM message WHERE inbound_id IS NULL AND state <> 'cancelled'")
    return [row["kind"] for row in rows]


@pytest.mark.parametrize(
    ("texts", "answer"),
    [
        pytest.param(("LANGUAGE", "2"), "Kuanzia sasa tutakutumia ujumbe kwa Kiswahili.", id="by-number"),
        pytest.param(("lugha", "kiswahili"), "Kuanzia sasa tutakutumia ujumbe kwa Kiswahili.", id="by-name"),
        pytest.param(("Kiswahili",), "Kuanzia sasa tutakutumia ujumbe kwa Kiswahili.", id="at-once"),
        pytest.param(("language", "7", "2"), "Kuanzia sasa", id="after-a-wrong-digit"),
        pytest.param(("kiswahili", "english"), "From now on we text you in English.", id="and-back"),
    ],
)
def test_a_farmer_chooses_the_language(phone: Phone, texts: tuple[str, ...], answer: str) -> None:
    """All that follows is in the language chosen."""
    answers = [phone.says(words) for words in texts]

    assert answer in answers[-1]
    assert ("Kazi zako" in phone.says("jobs")) is ("Kuanzia" in answer)


@pytest.mark.parametrize(
    ("texts", "columns", "answer"),
    [
        pytest.param(
            ("DAYS", "1", "5"), (4, 5, 36), "we text you on 5 Fri, you pick on 3 Wed 6 Sat", id="text"
        ),
        pytest.param(("siku", "1", "Jumatatu"), (0, 2, 36), "we text you on 1 Mon", id="by-name"),
        pytest.param(("days", "2", "1 4"), (2, 3, 9), "you pick on 1 Mon 4 Thu", id="picking"),
        pytest.param(("days", "2", "1,4,6"), (2, 3, 41), "you pick on 1 Mon 4 Thu 6 Sat", id="three"),
        pytest.param(("days", "2", "monday na thursday"), (2, 3, 9), "you pick on 1 Mon 4 Thu", id="names"),
        pytest.param(("days", "2", "1", "1 4"), (2, 3, 9), "you pick on 1 Mon 4 Thu", id="one-is-too-few"),
        pytest.param(("days", "9", "1", "1 2", "1"), (0, 2, 36), "we text you on 1 Mon", id="misunderstood"),
    ],
)
def test_a_farmer_chooses_the_days(
    village: Village, phone: Phone, texts: tuple[str, ...], columns: tuple[int, ...], answer: str
) -> None:
    """The weekly jobs come on the text day and ride a picking day later on."""
    answers = [phone.says(words) for words in texts]

    kept = village.row("SELECT text_day, picking_text_day, pick_days FROM plot")
    assert answer in answers[-1]
    assert columns == (kept["text_day"], kept["picking_text_day"], kept["pick_days"])
    assert [{"who": "the farmer"}] == village.rows("SELECT who FROM plot_change")


def test_the_days_of_who_has_stopped_are_kept_and_plan_nothing(village: Village, phone: Phone) -> None:
    """Their plot rests: the days are there for when they come back, and no job waits until then."""
    phone.says("STOP")
    farmer_id, now = int(str(village.row("SELECT id FROM farmer")["id"])), village.clock.now()
    with village.database.work() as work:
        set_days(work, village.tools, farmer_id, 4, frozenset({0, 3}), on=village.today, now=now)
        work.commit()
    kept = village.row("SELECT text_day, pick_days, live FROM plot")

    assert (4, 0b1001, False) == (kept["text_day"], kept["pick_days"], bool(kept["live"]))
    assert [] == village.rows("SELECT task FROM reminder WHERE state = 'due'")


def test_the_next_list_comes_on_the_new_day(village: Village, phone: Phone) -> None:
    """The week's jobs are told on the new text day, none of the last list a second time, and its numbers hold."""
    village.pass_days(1)
    for words in ("days", "1", "5"):
        phone.says(words)
    said = len(phone.texts)
    listed = village.rows("SELECT task FROM reminder WHERE state = 'texted' AND place IS NOT NULL")
    village.pass_days(1)

    assert listed
    assert "Noted as finished: Runners" in phone.says("done 3")
    village.pass_days(13)
    lists = [text for text in phone.received[said:] if "this week" in text.text]
    days = {text.at.astimezone(ZoneInfo(ZONE)).weekday() for text in lists}
    assert {4} == days


def test_a_pause_rests_and_ends_by_itself(village: Village, phone: Phone) -> None:
    """Nothing is pushed for two weeks; then the season goes on without a word from the farmer."""
    before = len(pushed(village))

    answer = phone.says("PAUSE")
    village.pass_days(13)
    rested = len(pushed(village)) - before
    village.pass_days(9)

    assert "Until Wed 9/12 we text you no jobs" in answer
    assert 0 == rested
    assert len(pushed(village)) > before


@pytest.mark.parametrize(
    ("words", "until"),
    [
        ("pause", "Until Wed 9/12 "),
        ("pause 4 weeks", "Until Wed 23/12 "),
        ("pause for a month", "Until Sat 26/12 "),
        ("pause one week", "Until Wed 2/12 "),
        ("PAUSE until March", "Until Mon 1/3 "),
        ("pause till 15 january", "Until Fri 15/1 "),
        ("no jobs for now", "Until Wed 9/12 "),
        ("no jobs until february", "Until Mon 1/2 "),
        ("pause for 3 years", "Until Thu 27/5 "),
        ("simamisha wiki 4", "Hadi Jtano 23/12 "),
        ("pumzika wiki nne", "Hadi Jtano 23/12 "),
        ("pumzika hadi machi", "Hadi Jtatu 1/3 "),
        ("simamisha mpaka tarehe 15/1", "Hadi Ijm 15/1 "),
        ("pumzika", "Hadi Jtano 9/12 "),
    ],
)
def test_a_pause_may_say_how_long(village: Village, phone: Phone, words: str, until: str) -> None:
    """Two weeks unless it is said, half a year at most; the answer tells until when."""
    if until.startswith("Hadi"):
        phone.says("kiswahili")

    assert phone.says(words).startswith(until)


@pytest.mark.parametrize("words", ["lugha kingereza", "kingereza"])
def test_a_language_is_known_as_people_write_it(village: Village, phone: Phone, words: str) -> None:
    """One letter less, and the word for a language before it, leave no doubt which one is meant."""
    phone.says("kiswahili")

    phone.says(words)

    assert [{"language": "en"}] == village.rows("SELECT language FROM farmer")


@pytest.mark.parametrize(
    ("words", "kept", "weight"),
    [
        (
            "no more jobs",
            "Weights you send are still noted. To have our texts sooner text JOBS",
            "harvest 4",
        ),
        ("stop sending me the jobs but keep the weights", "Weights you send", "harvest 4"),
        ("i dont want the jobs only weights", "Weights you send", "harvest 4"),
        ("acheni kunitumia kazi ila kilo nitatuma", "Kilo utakazotuma bado", "vuna 4"),
        (
            "sitaki kazi nataka kutuma kilo tu",
            "Kilo utakazotuma bado tunazihesabu. Ukitaka mapema tuma KAZI",
            "vuna 4",
        ),
    ],
)
def test_who_wants_no_jobs_goes_on_sending_weights(
    village: Village, phone: Phone, words: str, kept: str, weight: str
) -> None:
    """The answer says so and how jobs come again; a weight is counted and leaves the pause as it is."""
    if weight.startswith("vuna"):
        phone.says("kiswahili")
    told = phone.says(words)
    answer = phone.says(weight)
    resting = village.row("SELECT paused_until FROM farmer")
    phone.says("jobs")

    assert kept in told
    assert "pause is over" not in answer
    assert [4000] == [row["grams"] for row in village.rows("SELECT grams FROM harvest")]
    assert resting["paused_until"] is not None
    assert [{"paused_until": None}] == village.rows("SELECT paused_until FROM farmer")


@pytest.mark.parametrize(
    ("wish", "words"),
    [
        ("nimesafiri pumzika wiki 3", ["jumla", "vuna 4", "futa", "maji", "tayari", "uliza mbolea gani"]),
        ("pause 3 weeks", ["total", "picked 4", "undo", "water", "done", "ask which manure"]),
    ],
)
def test_reports_and_questions_leave_a_pause_until_its_day(
    village: Village, phone: Phone, wish: str, words: list[str]
) -> None:
    """Whoever asks for the total while away has not asked for jobs."""
    phone.says(wish)

    for word in words:
        told = phone.says(word)
        assert "pause is over" not in told
        assert "yameisha" not in told
    assert [1] == [row["n"] for row in village.rows("SELECT count(paused_until) AS n FROM farmer")]


@pytest.mark.parametrize("word", ["JOIN", "jobs", "nimerudi"])
def test_asking_for_our_texts_again_ends_a_pause(village: Village, phone: Phone, word: str) -> None:
    """Whoever asks for jobs, or comes back, is told that texts go on."""
    phone.says("pumzika")

    answer = phone.says(word)

    assert "Your pause is over" in answer
    assert [{"paused_until": None}] == village.rows("SELECT paused_until FROM farmer")
    assert "pause" not in phone.says("jobs")


@pytest.mark.parametrize("word", ["DAYS", "siku", "language"])
def test_choosing_days_or_language_leaves_the_pause(village: Village, phone: Phone, word: str) -> None:
    """How texts shall come says nothing of wanting them now; asked for days, a farmer is told that it stands."""
    phone.says("pause")

    answer = phone.says(word)

    assert "pause is over" not in answer
    assert ("Your pause goes on" in answer) is (word != "language")
    assert [1] == [row["n"] for row in village.rows("SELECT count(paused_until) AS n FROM farmer")]


def test_words_that_are_no_command_leave_the_pause(village: Village, phone: Phone) -> None:
    """Thanks, a question about us, and the pause itself end none."""
    phone.says("pause")

    for words in ("asante", "who", "pause", "help"):
        assert "pause is over" not in phone.says(words)


def test_what_waits_for_the_morning_is_not_sent_in_a_pause(village: Village, phone: Phone) -> None:
    """A list that is written in the night stays there when the farmer pauses before it leaves."""
    village.pass_days(6)
    village.pass_hours(18)
    waiting = village.rows("SELECT 1 FROM message WHERE state = 'due'")
    phone.says("pause")
    said = len(phone.texts)
    village.pass_hours(12)

    assert waiting
    assert said == len(phone.texts)
    assert [{"why": "the farmer has paused"}] == village.rows(
        "SELECT why FROM message WHERE state = 'cancelled'"
    )


def test_prompts_that_had_become_rare_stay_so_on_other_days(village: Village) -> None:
    """Who weighs steadily is asked on one picking day a week, whichever days those are from now on."""
    phone = village.phone()
    phone.joins(name="Zuhura", days_ago=200)
    for days in range(27, -1, -3):
        phone.says(f"harvest 4 {village.today - timedelta(days=days):%d/%m}")

    for words in ("days", "2", "1 4"):
        phone.says(words)

    kept = village.row("SELECT pick_days, picking_text_day, prompt_days FROM plot WHERE plants = 400")
    assert {"pick_days": 9, "picking_text_day": 3, "prompt_days": 8} == kept


def test_a_closed_plot_keeps_the_days_it_had(village: Village, phone: Phone) -> None:
    """Its season is over: other days are for the plots that stand."""
    farmer_id = int(str(village.row("SELECT id FROM farmer")["id"]))
    with village.database.work() as work:
        work.plots.add(
            farmer_id=farmer_id,
            planted_on=village.today - timedelta(days=900),
            precision="exact",
            plants=200,
            zone=ZONE,
            calendar_id=village.tools.calendar.id,
            live=False,
            closed_on=village.today,
            **day_columns(2, frozenset({2, 5})),
        )
        work.commit()

    for words in ("days", "1", "5"):
        phone.says(words)

    assert [(200, 2), (400, 4)] == [
        (row["plants"], row["text_day"])
        for row in village.rows("SELECT plants, text_day FROM plot ORDER BY plants")
    ]


def test_jobs_that_moved_early_stay_on_a_picking_day(village: Village) -> None:
    """Where picking began early, another text day would ask for a fourth text a week."""
    phone = village.phone()
    phone.joins(name="Zuhura", days_ago=100)
    phone.says("harvest 1")

    for words in ("days", "1", "5"):
        phone.says(words)

    kept = village.row("SELECT text_day, picking_text_day, picking_early FROM plot")
    assert (5, 5, True) == (kept["text_day"], kept["picking_text_day"], bool(kept["picking_early"]))


def test_warnings_alone_can_be_ended(village: Village, phone: Phone) -> None:
    """Jobs go on; each wish is kept with its evidence, the last one holds."""
    answers = [phone.says(words) for words in ("STOP ALERTS", "tahadhari", "acha tahadhari")]
    village.pass_days(7)

    assert "Texts on your jobs still come" in answers[0]
    assert "warnings of frost" in answers[1]
    assert [0] == [int(bool(row["alerts"])) for row in village.rows("SELECT alerts FROM farmer")]
    assert ["stopped", "yes", "stopped"] == [
        row["answer"]
        for row in village.rows("SELECT answer FROM consent WHERE purpose = 'alerts' ORDER BY id")
    ]
    assert len(pushed(village)) > 1


def test_who_we_are(village: Village, phone: Phone) -> None:
    """A farmer is told since when, a stranger how to begin; nobody is asked for money or a PIN."""
    known, stranger = phone.says("WHO"), village.phone().says("nani")

    assert "you joined on Wed 25/11. " in known
    assert "never want money or a PIN" in known
    assert "To begin text JOIN" in stranger or "Kuanza tuma JIUNGE" in stranger


def test_what_is_kept_is_shown(phone: Phone) -> None:
    """RECORDS and 1: what stands there, in one text."""
    phone.says("harvest 4")
    phone.says("taarifa")

    answer = phone.says("1")

    assert "Neema, Ketumali: 400 plants, planted Sat 26/9/2026" in answer
    assert "To remove all of it text RECORDS" in answer


@pytest.mark.parametrize("texts", [("no",), ("1",), ("undo",), ("hm", "no")], ids=str)
def test_nothing_is_removed_without_a_yes(village: Village, phone: Phone, texts: tuple[str, ...]) -> None:
    """The confirmation names what goes; anything but a plain yes keeps it."""
    asked = [phone.says(words) for words in ("records", "2")][-1]

    answers = [phone.says(words) for words in texts]

    assert "name, plot, weights, jobs, sprays, money, questions and texts" in asked
    assert "Nothing is removed." in answers[-1]
    assert [{"name": "Neema"}] == village.rows("SELECT name FROM farmer")


def test_a_yes_after_two_days_removes_nothing(village: Village, phone: Phone) -> None:
    """The question lapses after 48 hours."""
    phone.says("records")
    phone.says("2")
    village.pass_hours(49)

    phone.says("yes")

    assert [{"state": "active"}] == village.rows("SELECT state FROM farmer")


def test_all_goes_at_a_yes(village: Village, phone: Phone) -> None:
    """Name, plot, reports, questions, words and the number go; a mark of the number and a date are left."""
    for words in ("harvest 4", "sprayed 7", "done 3", "jobs 2", "3", "ask why is it so", "records", "2"):
        phone.says(words)
    village.pass_days(1)

    answer = phone.says("YES")
    village.pass_hours(1)

    assert "All is removed" in answer
    tables = (
        "plot",
        "harvest",
        "spray",
        "reminder",
        "done_report",
        "scout_report",
        "question",
        "consent",
        "farmer_phone",
    )
    left = {table: village.row(f"SELECT count(*) AS n FROM {table}")["n"] for table in tables}  # noqa: S608
    assert dict.fromkeys(tables, 0) == left
    assert [("", "", "erased")] == [
        tuple(row.values()) for row in village.rows("SELECT name, sought, state FROM farmer")
    ]
    assert [] == village.rows("SELECT text FROM message WHERE text <> ''")
    assert ["YES"] == [row["text"] for row in village.rows("SELECT text FROM inbound WHERE text <> ''")]
    assert [("", 0)] == [
        (row["last3"], len(bytes(row["sealed"])))  # type: ignore[call-overload]
        for row in village.rows("SELECT last3, sealed FROM phone")
    ]
    assert 1 == len(village.rows("SELECT since FROM stop_list"))
    said = len(phone.texts)
    village.pass_days(10)
    assert said == len(phone.texts)


def test_who_was_erased_can_begin_anew(village: Village, phone: Phone) -> None:
    """The number is known again when somebody texts from it, and nothing of the old season is there."""
    for words in ("harvest 4", "records", "2", "2"):
        phone.says(words)
    village.pass_hours(1)

    hint = phone.says("jobs")
    phone.joins(name="Rehema")

    assert "To come back text JOIN" in hint
    assert "no weight is noted yet" in phone.says("total")


def test_erasing_one_of_two_on_a_phone_leaves_the_other(village: Village, phone: Phone) -> None:
    """Who shares a phone is asked for whom, and the other's season goes on."""
    phone.joins(name="Asha")
    for words in ("records", "1", "2", "2"):
        phone.says(words)
    said = len(phone.texts)
    village.pass_days(8)

    assert {("", "erased"), ("Asha", "active")} == {
        (row["name"], row["state"]) for row in village.rows("SELECT name, state FROM farmer")
    }
    assert said < len(phone.texts)


def test_who_has_stopped_can_still_have_it_removed(village: Village, phone: Phone) -> None:
    """Ending the texts ends no right to see and remove."""
    phone.says("STOP")

    answers = [phone.says(words) for words in ("RECORDS", "2", "yes")]

    assert "All is removed" in answers[-1]


def test_a_number_that_changed_hands_shows_nothing_of_the_farmer(village: Village, phone: Phone) -> None:
    """After a yes the number speaks for nobody, an officer learns of it, and whoever has it may join as anyone."""
    phone.says("harvest 4")
    village.pass_days(6)
    asked = phone.says("wrong number")

    answer = phone.says("yes")
    said = len(phone.texts)
    village.pass_days(10)

    assert "Neema" not in asked + answer
    assert said == len(phone.texts)
    assert ["wrong number"] == [
        row["answer"] for row in village.rows("SELECT answer FROM consent WHERE answer LIKE 'wrong%'")
    ]
    assert 1 == len(village.rows("SELECT id FROM question"))
    assert "Nothing from the last 24 hours" in phone.says("undo")
    phone.joins(name="Juma", plants=50)
    assert "Juma, no weight is noted yet" in phone.says("total")
    assert [{"grams": 4000}] == village.rows("SELECT grams FROM harvest")


def test_whoever_was_only_asked_is_forgotten_with_the_number(village: Village, phone: Phone) -> None:
    """Nobody had agreed to anything: what was told goes, and that the number was wrong stays."""
    phone.says("JOIN Zawadi 200 12/10/2026 Ndaliro")
    phone.says("wrong number")
    phone.says("yes")

    assert [{"name": "Neema"}] == village.rows("SELECT name FROM farmer WHERE name IN ('Neema', 'Zawadi')")
    assert 2 == len(village.rows("SELECT id FROM consent WHERE answer = 'wrong number'"))


def test_a_second_phone_ends_no_warnings(village: Village, phone: Phone) -> None:
    """Warnings go to the phone a farmer is texted on, and that phone alone can end them."""
    other = village.phone()
    village.link("Neema", other)

    other.says("STOP ALERTS")

    assert [True] == [bool(row["alerts"]) for row in village.rows("SELECT alerts FROM farmer")]


def test_a_number_that_is_still_theirs_stays(village: Village, phone: Phone) -> None:
    """A slip of the farmer's costs nothing."""
    phone.says("namba si yangu")

    assert "stays as it is" in phone.says("no")
    assert "Your jobs" in phone.says("jobs")


def test_a_farmer_with_two_phones_is_texted_on_the_other(village: Village, phone: Phone) -> None:
    """When one number changes hands, the texts go to the one that is left."""
    other = village.phone()
    village.link("Neema", other)
    phone.says("wrong number")
    phone.says("2")
    village.pass_days(8)

    assert other.texts
    assert timedelta() < other.received[0].at - phone.received[-1].at


@pytest.mark.parametrize(
    ("texts", "answer"),
    [
        pytest.param(
            ("not yet 3",), "we keep it open: Runners. When it is finished reply DONE 3", id="number"
        ),
        pytest.param(("bado 3", "done 3"), "Noted as finished: Runners", id="then-done"),
        pytest.param(("not yet",), "Your jobs: 1 Flowers off", id="which"),
        pytest.param(("need help 4",), "you need help: Water. Your question is", id="help"),
        pytest.param(("I need help",), "What is your question?", id="help-with-what"),
    ],
)
def test_a_job_that_is_not_finished(phone: Phone, texts: tuple[str, ...], answer: str) -> None:
    """Saying so keeps the job open; help is put on the officer's list with the job."""
    answers = [phone.says(words) for words in texts]

    assert answer in answers[-1]


def test_a_name_in_the_text_says_for_whom(village: Village, phone: Phone) -> None:
    """On a shared phone nobody is asked for whom when the text says it."""
    phone.joins(name="Mwajuma", days_ago=200)

    answer = phone.says("vuna 5.3 Mwajuma")

    assert "Thank you Mwajuma, 5.3 kg" in answer
