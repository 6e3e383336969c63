"""Stories of weights: kept, asked about, added up, taken back."""

from datetime import timedelta

import pytest

from service.core.model import HarvestState
from tests.village import Phone, Village


@pytest.fixture
def phone(village: Village) -> Phone:
    """The phone of a farmer with 400 plants, well after the first fruit."""
    phone = village.phone()
    phone.joins(days_ago=200)
    return phone


def kept(village: Village) -> list[tuple[object, str]]:
    """Return the grams and states of all weights, the first first."""
    return [
        (row["grams"], str(row["state"]))
        for row in village.rows("SELECT grams, state FROM harvest ORDER BY id")
    ]


@pytest.mark.parametrize(
    ("words", "grams", "day"),
    [
        pytest.param("HARVEST 12.5", 12_500, "Wed 25/11", id="plain"),
        pytest.param("picked 12,5 kg", 12_500, "Wed 25/11", id="comma"),
        pytest.param("harvest 8 yesterday", 8_000, "Tue 24/11", id="yesterday"),
        pytest.param("harvest 8 26/10", 8_000, "Mon 26/10", id="thirty-days-ago"),
        pytest.param("vuna kilo 8 juzi", 8_000, "Mon 23/11", id="swahili-the-day-before"),
        pytest.param("12 kg", 12_000, "Wed 25/11", id="no-word-but-a-unit"),
        pytest.param("haverst 5", 5_000, "Wed 25/11", id="letters-in-another-order"),
        pytest.param("vuna 5 jumatatu", 5_000, "Mon 23/11", id="a-weekday"),
    ],
)
def test_a_weight_is_kept_and_repeated(
    village: Village, phone: Phone, words: str, grams: int, day: str
) -> None:
    """The answer says what was stored, so that a slip is seen."""
    answer = phone.says(words)

    assert [(grams, "counted")] == kept(village)
    assert f"{grams / 1000:g} kg on {day}" in answer


@pytest.mark.parametrize(
    ("words", "answered_with"),
    [
        pytest.param("harvest 8 tomorrow", "has not come yet", id="tomorrow"),
        pytest.param("harvest 8 30/12/2026", "has not come yet", id="next-month"),
        pytest.param("harvest 8 25/10", "more than 30 days ago", id="too-long-ago"),
        pytest.param("harvest", "How many kilos", id="no-weight"),
        pytest.param("harvest 0621234567", "How many kilos", id="a-telephone-number"),
        pytest.param("harvest 8 and 5", "How many kilos", id="two-weights"),
    ],
)
def test_a_weight_that_cannot_be_kept_is_not(
    village: Village, phone: Phone, words: str, answered_with: str
) -> None:
    """No day is moved and no number chosen for the farmer."""
    answer = phone.says(words)

    assert answered_with in answer
    assert [] == kept(village)


@pytest.mark.parametrize(
    ("texts", "expected"),
    [
        pytest.param(("24",), [(24_000, "counted")], id="60-g-a-plant-are-usual"),
        pytest.param(("24.1", "yes"), [(24_100, "counted")], id="more-is-asked-about"),
        pytest.param(("24.1",), [(24_100, "in_question")], id="and-waits-outside"),
        pytest.param(("24.1", "no"), [(24_100, "voided")], id="and-may-be-a-slip"),
        pytest.param(("24.1", "2"), [(24_100, "voided")], id="and-may-be-a-slip-by-number"),
        pytest.param(("60.1", "2"), [(6_010, "counted")], id="150-g-offer-a-tenth"),
        pytest.param(("125", "1"), [(125_000, "counted")], id="slip-is-right-after-all"),
        pytest.param(("125", "2"), [(12_500, "counted")], id="slip-is-a-tenth"),
        pytest.param(("125", "3"), [(1_250, "counted")], id="slip-is-a-hundredth"),
        pytest.param(("125", "4"), [(125_000, "voided")], id="slip-is-none"),
        pytest.param(("1250", "2"), [(12_500, "counted")], id="only-the-hundredth-fits"),
        pytest.param(("1250", "3"), [(1_250_000, "voided")], id="the-tenth-is-not-offered"),
        pytest.param(("99999", "yes"), [(99_999_000, "counted")], id="nothing-fits"),
        pytest.param(("0", "1"), [(0, "counted")], id="nothing-was-ripe"),
        pytest.param(("0", "2"), [(0, "voided")], id="zero-was-wrong"),
        pytest.param(("12 g", "2"), [(12_000, "counted")], id="grams-were-kilos"),
        pytest.param(("12 g", "1"), [(12, "counted")], id="grams-were-grams"),
        pytest.param(("24.1", "11"), [(24_100, "in_question")], id="another-number-does-not-count"),
        pytest.param(("24.1", "quite sure", "yes"), [(24_100, "counted")], id="words-are-asked-again"),
        pytest.param(
            ("24.1", "jobs", "total", "help", "ok"), [(24_100, "in_question")], id="a-list-takes-over"
        ),
        pytest.param(("24.1", "total", "yes"), [(24_100, "counted")], id="a-command-in-between"),
        pytest.param(("24.1", "harvest 2.4"), [(24_100, "voided"), (2_400, "counted")], id="texted-anew"),
        pytest.param(
            ("24.1", "harvest 2.4 yesterday", "1"),
            [(24_100, "counted"), (2_400, "counted")],
            id="another-day-in-between",
        ),
        pytest.param(("24.1", "undo"), [(24_100, "voided")], id="taken-back-while-in-question"),
    ],
)
def test_an_implausible_weight_is_asked_about(
    village: Village, phone: Phone, texts: tuple[str, ...], expected: list[tuple[int, str]]
) -> None:
    """400 plants bear at most 24 kg without a question; what is in question is outside all totals."""
    phone.says(f"harvest {texts[0]}")
    for words in texts[1:]:
        phone.says(words)
    total = phone.says("total")

    assert expected == kept(village)
    counted = sum(grams for grams, state in expected if state == "counted")
    assert (f"{counted / 1000:g} kg" in total) if counted else ("no weight is noted" in total)


@pytest.mark.parametrize(
    ("kilos", "doubted"),
    [(1, True), (1.3, False), (5, False), (19.9, False), (20.1, True)],
    ids=["less-than-a-quarter", "a-quarter", "the-same", "four-times", "more"],
)
def test_five_own_weights_are_a_measure(
    village: Village, phone: Phone, kilos: float, *, doubted: bool
) -> None:
    """From five own weights on a fourth of their median and four times it are still believed."""
    for days in range(2, 7):
        phone.says(f"harvest 5 {village.today - timedelta(days=days):%d/%m}")

    answer = phone.says(f"harvest {kilos}")

    assert doubted == ("Is it right?" in answer)


@pytest.mark.parametrize(
    ("texts", "total", "answered_with"),
    [
        pytest.param(("1",), 7, "3 kg on Wed 25/11 noted. Total 7 kg", id="added"),
        pytest.param(("2",), 3, "3 kg on Wed 25/11 noted, your first weight: total 3 kg", id="in-its-place"),
        pytest.param(("3",), 4, "the first weight stays", id="left"),
        pytest.param(("harvest 2", "1"), 6, "2 kg on Wed 25/11 noted", id="a-third-weight-instead"),
        pytest.param(("undo",), 4, "the first weight stays", id="taken-back-before-it-was-kept"),
        pytest.param(("cancel", "3"), 4, "the first weight stays", id="cancelled-before-it-was-kept"),
        pytest.param(("what now?", "1"), 7, "Total 7 kg", id="after-a-question"),
        pytest.param(("yes", "1"), 7, "Total 7 kg", id="after-a-yes-to-no-question"),
        pytest.param(("2", "undo"), 4, "The total is now 4 kg", id="what-was-replaced-comes-back"),
        pytest.param(("2", "undo", "undo"), 0, "The total is now 0 kg", id="and-goes-too"),
        pytest.param(("1", "undo"), 4, "The total is now 4 kg", id="what-was-added-goes"),
    ],
)
def test_a_day_with_two_weights(
    village: Village, phone: Phone, texts: tuple[str, ...], total: int, answered_with: str
) -> None:
    """Whether a second weight adds to the first or corrects it is for the farmer to say."""
    phone.says("harvest 4")
    asked = phone.says("harvest 3")

    answers = [phone.says(words) for words in texts]

    assert "1 to add 3 (makes 7 kg), 2 to write 3 instead, 3 to leave it" in asked
    assert answered_with in answers[-1]
    counted = [grams for grams, state in kept(village) if state == "counted"]
    assert total * 1000 == sum(int(str(grams)) for grams in counted)


@pytest.mark.parametrize(
    ("texts", "total"),
    [
        pytest.param(("harvest 300", "2"), 4, id="the-old-weight-counts-until-then"),
        pytest.param(("harvest 300", "2", "no"), 4, id="and-after-a-no"),
        pytest.param(("harvest 300", "2", "2"), 3, id="and-gives-way-to-the-chosen-one"),
        pytest.param(("harvest 300", "2", "2", "undo"), 4, id="and-comes-back"),
        pytest.param(("harvest 0", "2"), 0, id="nothing-instead-of-something"),
        pytest.param(("harvest 0", "1"), 4, id="nothing-added-to-something"),
    ],
)
def test_a_weight_in_question_replaces_nothing_yet(
    village: Village, phone: Phone, texts: tuple[str, ...], total: int
) -> None:
    """What would replace a weight and may be a slip takes its place with the farmer's choice only."""
    for words in ("harvest 4", *texts):
        phone.says(words)

    counted = [int(str(grams)) for grams, state in kept(village) if state == "counted"]

    assert total * 1000 == sum(counted)


def test_the_total_counts_from_the_first_pick_and_over_twelve_months(village: Village) -> None:
    """TOTAL says both; the answer to a weight says the first."""
    phone = village.phone()
    phone.joins(days_ago=700)
    with village.database.work() as work:
        plot_id = village.row("SELECT id FROM plot")["id"]
        assert isinstance(plot_id, int)
        for number, days in enumerate((500, 400), start=1):
            work.harvests.add(
                id=-number,
                plot_id=plot_id,
                picked_on=village.today - timedelta(days=days),
                grams=10_000,
                state=HarvestState.COUNTED,
                inbound_id=0,
                phone_id=1,
                at=village.clock.now() - timedelta(days=days),
            )
        work.commit()

    noted = phone.says("harvest 5.25")
    total = phone.says("jumla")

    assert "Total 25.25 kg since Sun 13/7, last time 10 kg" in noted
    assert "you picked 25.25 kg since Sun 13/7. In the last 12 months: 5.25 kg." in total


def test_undo_reaches_back_a_day_and_no_further(village: Village, phone: Phone) -> None:
    """The last thing goes first; after 24 hours nothing goes any more."""
    phone.says("harvest 4 yesterday")
    phone.says("harvest 5")

    answers = [phone.says("undo"), phone.says("futa"), phone.says("undo")]
    phone.says("harvest 6")
    village.pass_hours(25)

    assert ["Taken back: 5 kg of Wed 25/11", "Taken back: 4 kg of Tue 24/11"] == [
        answer.split(".")[0] for answer in answers[:2]
    ]
    assert "Nothing from the last 24 hours" in answers[2]
    assert "Nothing from the last 24 hours" in phone.says("undo")


def test_a_weight_taken_back_lets_the_picking_prompt_wait_again(village: Village, phone: Phone) -> None:
    """A weight answers the prompt of its day; without it the prompt is open as before."""
    before = village.row("SELECT state FROM reminder WHERE task = 'picking'")["state"]
    phone.says("harvest 4")
    answered = village.row("SELECT state, answer FROM reminder WHERE task = 'picking'")

    phone.says("undo")

    assert {"state": "answered", "answer": "weight"} == answered
    assert {"state": before, "answer": None} == village.row(
        "SELECT state, answer FROM reminder WHERE task = 'picking'"
    )


def test_a_weight_taken_back_keeps_no_prompts_rare(village: Village, phone: Phone) -> None:
    """Who weighed steadily and then stops is asked on each picking day again; what was taken back is no weight."""
    for days in range(27, -1, -3):
        phone.says(f"harvest 4 {village.today - timedelta(days=days):%d/%m}")
    rare = village.row("SELECT prompt_days FROM plot")["prompt_days"]
    village.pass_days(5)
    phone.says("harvest 5")
    phone.says("undo")
    village.pass_days(4)

    plot = village.row("SELECT prompt_days, pick_days FROM plot")
    assert rare != plot["prompt_days"]
    assert plot["pick_days"] == plot["prompt_days"]


def test_an_early_weight_begins_the_prompts_and_its_undo_ends_them(village: Village) -> None:
    """Fruit before its time moves the plot to picking days; a slip does not leave it there."""
    phone = village.phone()
    phone.joins(days_ago=100)

    phone.says("harvest 1")
    early = village.row("SELECT picking_early FROM plot")["picking_early"]
    phone.says("undo")

    assert (True, False) == (
        bool(early),
        bool(village.row("SELECT picking_early FROM plot")["picking_early"]),
    )


@pytest.mark.parametrize("days", [-20, 1, 44], ids=["not-planted-yet", "planted-yesterday", "six-weeks-ago"])
def test_fruit_from_plants_too_young_to_bear_is_asked_about(village: Village, days: int) -> None:
    """It is most likely of other plants; a yes counts it and begins no picking prompts."""
    phone = village.phone()
    phone.joins(days_ago=days)

    answer = phone.says("harvest 3")
    phone.says("yes")

    assert "is unusual. Is it right?" in answer
    assert [(3000, "counted")] == kept(village)
    assert not village.row("SELECT picking_early FROM plot")["picking_early"]


@pytest.mark.parametrize(
    ("texts", "expected"),
    [
        pytest.param(("12.5", "yes"), [(12_500, "counted")], id="yes"),
        pytest.param(("12.5", "1"), [(12_500, "counted")], id="one"),
        pytest.param(("12.5", "no"), [], id="no"),
        pytest.param(("12.5", "undo"), [], id="undo"),
        pytest.param(("12.5", "cancel", "3"), [], id="cancel"),
        pytest.param(("12.5", "hm", "2"), [], id="two-after-words"),
        pytest.param(("1,250", "1"), [(1_250, "counted")], id="the-reading-the-plants-can-bear"),
        pytest.param(("7",), [], id="a-digit-may-be-a-job"),
        pytest.param(("255621234509",), [], id="a-telephone-number"),
        pytest.param(("12.5", "harvest 12"), [(12_000, "counted")], id="the-weight-with-its-word"),
    ],
)
def test_a_number_without_a_word_is_asked_about(
    village: Village, phone: Phone, texts: tuple[str, ...], expected: list[tuple[int, str]]
) -> None:
    """Nothing is open, so a number is no answer; it may be a weight."""
    phone.says("undo")  # a command: no list is waited for
    village.pass_hours(49)
    phone.says("total")

    for words in texts:
        phone.says(words)

    assert expected == kept(village)


@pytest.mark.parametrize(
    ("texts", "answer", "expected"),
    [
        pytest.param(
            ("8 leo na 6 jana",),
            "8 kg on Wed 25/11 and 6 kg on Tue 24/11 noted. Total 14 kg",
            [(8_000, "counted"), (6_000, "counted")],
            id="two-days",
        ),
        pytest.param(
            ("harvest 7.5", "no its 8.5 not 7.5"),
            "8.5 kg on Wed 25/11 noted",
            [(7_500, "voided"), (8_500, "counted")],
            id="put-right",
        ),
        pytest.param(("sijavuna", "1"), "nothing was ripe", [(0, "counted")], id="nothing-picked"),
    ],
)
def test_what_was_picked_in_few_words(
    village: Village, phone: Phone, texts: tuple[str, ...], answer: str, expected: list[tuple[int, str]]
) -> None:
    """Two days in one text, a slip put right, and a day without fruit."""
    answers = [phone.says(words) for words in texts]

    assert answer in answers[-1]
    assert expected == kept(village)


@pytest.mark.parametrize(
    ("answer", "expected"),
    [
        pytest.param("12.5", [(12_500, "counted")], id="number"),
        pytest.param("kilo 8 na nusu", [(8_500, "counted")], id="in-words"),
        pytest.param("1,250", [(1_250, "counted")], id="the-reading-the-plants-can-bear"),
        pytest.param("my 2 children are sick", [], id="words-that-count-something-else"),
        pytest.param("hapana", [], id="no"),
    ],
)
def test_the_kilos_that_were_asked_for(
    village: Village, phone: Phone, answer: str, expected: list[tuple[int, str]]
) -> None:
    """Only a number answers "how many kilos?"; anything else is asked again and nothing is stored."""
    phone.says("harvest")

    phone.says(answer)

    assert expected == kept(village)


@pytest.mark.parametrize(
    ("texts", "answer", "expected"),
    [
        pytest.param(
            ("HARVEST 11,250",), "11.25 kg on Wed 25/11 noted", [(11_250, "counted")], id="only-one-fits"
        ),
        pytest.param(
            ("vuna 1.250 kg jana",), "1.25 kg on Tue 24/11 noted", [(1_250, "counted")], id="a-point"
        ),
        pytest.param(
            ("harvest 90,000",), "Did you mean 90 kg or 90000 kg?", [(90_000, "in_question")], id="neither"
        ),
        pytest.param(("harvest 90,000", "1"), "90 kg", [(90_000, "counted")], id="the-first-chosen"),
        pytest.param(("harvest 90,000", "3"), "not noted", [(90_000, "voided")], id="none-chosen"),
        pytest.param(
            ("harvest 4", "harvest 90,000"), "How many kilos", [(4_000, "counted")], id="a-full-day"
        ),
        pytest.param(
            ("harvest 900,000",),
            "900 kg from 400 plants",
            [(900_000, "in_question")],
            id="hundreds-of-tonnes",
        ),
    ],
)
def test_digits_with_two_readings(
    village: Village, phone: Phone, texts: tuple[str, ...], answer: str, expected: list[tuple[int, str]]
) -> None:
    """The only reading that the plants can have borne is kept and echoed; where both or none can be, it is asked."""
    answers = [phone.says(words) for words in texts]

    assert answer in answers[-1]
    assert expected == kept(village)


def test_undo_leaves_what_an_officer_has_entered(village: Village, phone: Phone) -> None:
    """UNDO takes back what this phone has texted, the older of the two, and then nothing more."""
    phone.says("harvest 4 yesterday")
    with village.database.work() as work:
        plot = work.plots.of_farmer(village.row("SELECT id FROM farmer")["id"])[0]  # type: ignore[arg-type]
        work.harvests.add(
            id=village.tools.ids.row(),
            plot_id=plot.id,
            picked_on=village.today,
            grams=6000,
            state=HarvestState.COUNTED,
            inbound_id=None,
            phone_id=None,
            officer_id=1,
            at=village.clock.now(),
        )
        work.commit()

    answers = [phone.says("undo"), phone.says("undo")]

    assert "4 kg" in answers[0]
    assert "6 kg" not in answers[1]
    assert [(4000, "voided"), (6000, "counted")] == kept(village)
