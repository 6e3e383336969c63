"""Stories of collection days: asked the evening before, answered, held back by a spray, called off and moved."""

from datetime import date, timedelta

import pytest

from service.core.errors import Refused
from tests.riverside import SATURDAY, TUESDAY, Riverside, until
from tests.village import Phone, Village

FRIDAY = SATURDAY - timedelta(days=1)
MONDAY = TUESDAY - timedelta(days=1)
ASKED = "fruit is collected Sat 28/11 at 10 am: Ketumali store"
HOW_MANY = "ow many kilos will you bring?"


@pytest.fixture
def group(village: Village) -> Riverside:
    """The group Riverside, whose fruit is not collected yet."""
    return Riverside(village)


@pytest.fixture
def neema(group: Riverside) -> Phone:
    """A farmer of the group whose plants bear, collected on Tuesdays and Saturdays from Saturday on."""
    phone = group.joins()
    group.is_collected()
    return phone


def estimates(village: Village) -> list[tuple[str, object]]:
    """Return the days and grams that farmers have said to bring."""
    rows = village.rows("SELECT for_day, grams FROM estimate WHERE voided_by IS NULL ORDER BY id")
    return [(str(row["for_day"]), row["grams"]) for row in rows]


def test_the_evening_before_farmers_are_asked_and_answer(village: Village, neema: Phone) -> None:
    """One text, no prompt in the morning; the answer is an estimate for the day of the collection."""
    until(village, FRIDAY, 16)
    before = len(neema.texts)
    until(village, FRIDAY, 18)
    (asked,) = neema.texts[before:]
    answer = neema.says("12")
    until(village, SATURDAY, 12)

    assert ASKED in asked
    assert HOW_MANY in asked
    assert answer == (
        "Thank you Neema, noted: 12 kg for the collection on Sat 28/11 at 10 am, Ketumali store. "
        "If that changes text ESTIMATE and the kilos."
    )
    assert [("2026-11-28", 12_000)] == estimates(village)
    assert [] == village.rows("SELECT id FROM harvest")
    assert [asked, answer] == neema.texts[before:]


def test_jobs_of_the_evening_stand_beside_the_question(village: Village, neema: Phone) -> None:
    """They are done by their numbers; a bare number stays an answer to the question."""
    until(village, MONDAY, 18)
    asked = next(words for words in neema.texts if HOW_MANY in words and "Jobs: 1" in words)
    answer = neema.says("8.5")
    done = neema.says("done 2")

    assert "Pick, weigh" not in asked
    assert "8.5 kg for the collection" in answer
    assert "Noted as finished: Runners" in done


def test_all_who_share_a_phone_are_asked_on_the_evening(
    village: Village, group: Riverside, neema: Phone
) -> None:
    """One text asks the first of them, and her answer asks the next: each says for herself what she brings."""
    neema.joins(name="Asha", days_ago=200)
    with village.database.work() as work:
        work.people.set_farmer(group.farmer("Asha"), group_id=group.group_id)
        work.commit()
    group.amends()
    until(village, FRIDAY, 18)
    asked = [words for words in neema.texts if HOW_MANY in words]
    neema.says("12")
    noted, next_asked = neema.texts[-2:]
    second = neema.says("7")
    kept = village.rows(
        "SELECT f.name, e.grams FROM estimate e JOIN farmer f ON f.id = e.farmer_id ORDER BY e.id"
    )

    assert 1 == len(asked)
    assert "Thank you Neema, noted: 12 kg" in noted
    assert next_asked.startswith("Asha, fruit is collected Sat 28/11")
    assert "Thank you Asha, noted: 7 kg" in second
    assert [("Neema", 12_000), ("Asha", 7_000)] == [(row["name"], row["grams"]) for row in kept]


def test_what_will_come_is_changed_and_taken_back(village: Village, neema: Phone) -> None:
    """The last word holds, UNDO brings the one before back, and each answer says which day it is for."""
    until(village, FRIDAY, 18)
    neema.says("12")
    changed = neema.says("estimate 9")
    undone = neema.says("undo")
    nothing = neema.says("kadirio hakuna")

    assert "9 kg for the collection on Sat 28/11" in changed
    assert undone == "Taken back: 9 kg for the collection on Sat 28/11."
    assert nothing == (
        "Noted, Neema: nothing for the collection on Sat 28/11. If that changes text ESTIMATE and the kilos."
    )
    assert [12_000, 0] == [grams for _, grams in estimates(village)]


def test_after_the_collection_has_begun_a_number_is_a_weight(village: Village, neema: Phone) -> None:
    """And the word for what will come is about the next collection."""
    until(village, SATURDAY, 11)
    weight = neema.says("12 kg")
    later = neema.says("estimate 5")

    assert "12 kg on Sat 28/11 noted" in weight
    assert "5 kg for the collection on Tue 1/12" in later


def test_under_a_hold_nothing_is_asked_and_the_text_says_when_may_be_picked(
    village: Village, neema: Phone
) -> None:
    """Told at noon of the evening before it counts for that text already."""
    until(village, FRIDAY, 12)
    neema.says("sprayed 7")
    village.work_through()
    until(village, FRIDAY, 18)
    refused = neema.says("estimate 4")

    held = "because of a spray do not pick, eat or sell any before Fri 4/12"
    assert held in neema.texts[-2]
    assert [] == [words for words in neema.texts if HOW_MANY in words]
    assert "Bring none to the collection on Sat 28/11" in refused
    assert [] == estimates(village)


def test_a_hold_that_ends_on_the_day_of_the_collection_asks(village: Village, neema: Phone) -> None:
    """The first day on which may be picked is the day of the collection itself."""
    until(village, FRIDAY, 9)
    neema.says("sprayed 1")
    village.work_through()
    until(village, FRIDAY, 18)

    assert ASKED in neema.last


def test_a_day_that_is_called_off_is_told_and_not_asked_about(
    village: Village, group: Riverside, neema: Phone
) -> None:
    """The text that lay ready for the evening does not leave; the next collection is asked about as ever."""
    until(village, FRIDAY, 12)
    before = len(neema.texts)
    group.changes(SATURDAY)
    group.changes(SATURDAY)
    until(village, SATURDAY, 12)
    told = neema.texts[before:]
    until(village, MONDAY, 18)

    (off,) = told
    assert off == (
        "Neema, no fruit is collected on Sat 28/11: Ketumali store. Bring none that day. "
        "The next collection is on Tue 1/12."
    )
    assert "fruit is collected Tue 1/12" in neema.last


def test_a_moved_day_is_told_and_asked_about_on_the_evening_before_it(
    village: Village, group: Riverside, neema: Phone
) -> None:
    """Sunday instead of Saturday: nothing on Friday evening but what has changed."""
    until(village, FRIDAY, 12)
    before = len(neema.texts)
    group.changes(SATURDAY, SATURDAY + timedelta(days=1))
    until(village, SATURDAY, 18)
    told = neema.texts[before:]

    assert "the collection of Sat 28/11 is on another day: Sun 29/11 at 10 am" in told[0]
    assert "fruit is collected Sun 29/11" in told[1]
    assert 2 == len(told)


def test_a_day_moved_to_tomorrow_is_asked_about_at_once(
    village: Village, group: Riverside, neema: Phone
) -> None:
    """Nobody gets two texts a day: the one that tells asks as well."""
    until(village, FRIDAY, 18)
    until(village, date(2026, 11, 29), 12)
    before = len(neema.texts)
    group.changes(TUESDAY, MONDAY)
    village.work_through()
    neema.says("7")
    until(village, MONDAY, 20)

    assert "is on Mon 30/11 at 10 am, Ketumali store. How many kilos will you bring?" in neema.texts[before]
    assert ("2026-11-30", 7_000) in estimates(village)
    assert [] == [words for words in neema.texts[before + 2 :] if HOW_MANY in words]


def test_a_day_that_was_called_off_takes_place_after_all(
    village: Village, group: Riverside, neema: Phone
) -> None:
    """Told again, and asked with it where it is tomorrow."""
    group.changes(SATURDAY)
    until(village, FRIDAY, 9)
    before = len(neema.texts)
    group.keeps(SATURDAY)
    village.work_through()

    assert ASKED in neema.texts[before]
    assert HOW_MANY in neema.texts[before]


def test_the_farmers_own_picking_days_hold_again_when_it_is_over(
    village: Village, group: Riverside, neema: Phone
) -> None:
    """And whoever leaves the group is asked in the morning as before."""
    own = village.row("SELECT pick_days, prompt_days, picking_text_day FROM plot")
    group.amends(last_on=SATURDAY)
    until(village, SATURDAY, 12)
    during = village.row("SELECT prompt_days FROM plot")["prompt_days"]
    until(village, SATURDAY + timedelta(days=1), 12)
    after = village.row("SELECT pick_days, prompt_days, picking_text_day, collection_id FROM plot")

    assert 0b0010001 == during
    assert own["picking_text_day"] == after["picking_text_day"]
    assert own["pick_days"] == after["pick_days"] == after["prompt_days"]
    assert after["collection_id"] is None


def test_young_plants_are_neither_asked_nor_told(village: Village, group: Riverside) -> None:
    """Until they bear, their week goes on as it is."""
    phone = group.joins(name="Tatu", days_ago=40)
    group.is_collected()
    until(village, FRIDAY, 12)
    group.changes(TUESDAY)
    until(village, TUESDAY, 12)

    assert [] == [words for words in phone.texts if "collect" in words]


def test_a_swahili_speaker_is_asked_by_the_swahili_clock(village: Village, group: Riverside) -> None:
    """Ten in the morning is the fourth hour."""
    phone = group.joins(name="Zuhura", language="sw")
    group.is_collected()
    until(village, FRIDAY, 18)
    phone.says("kilo 8 na nusu")

    assert "matunda yatakusanywa Jmos 28/11 saa 4 asubuhi: Ketumali store" in phone.texts[-2]
    assert [("2026-11-28", 8_500)] == estimates(village)


def test_never_more_than_three_texts_in_seven_days(village: Village, group: Riverside) -> None:
    """Three collections a week, a day called off and jobs: what is pushed keeps to the cap but for the news itself."""
    phone = group.joins()
    group.is_collected(weekdays=frozenset({1, 3, 5}))
    until(village, SATURDAY + timedelta(days=28), 12)
    days = sorted({one.at.date() for one in phone.received if one.at.date() > date(2026, 11, 26)})
    weeks = [sum(first <= day < first + timedelta(days=7) for day in days) for first in days]

    assert 3 == max(weeks)
    assert 11 <= len(days)


@pytest.mark.parametrize(
    ("wrong", "sentence"),
    [
        ({"weekdays": frozenset({0, 1, 2, 3})}, "one to 3 weekdays"),
        ({"weekdays": frozenset()}, "one to 3 weekdays"),
        ({"hour": 20}, "an hour from 6 to 18"),
        ({"place": " "}, "1 to 24 plain letters"),
        ({"place": "W" * 25}, "1 to 24 plain letters"),
        ({"last_on": SATURDAY - timedelta(days=1)}, "before the first one"),
        ({"first_on": date(2026, 11, 1)}, "passed already"),
    ],
)
def test_a_plan_that_cannot_be_is_refused(group: Riverside, wrong: dict[str, object], sentence: str) -> None:
    """In a sentence that says what to choose."""
    with pytest.raises(Refused, match=sentence):
        group.is_collected(**wrong)


def test_one_collection_a_group_at_a_time(group: Riverside) -> None:
    """A second one begins when the first is over."""
    group.is_collected(last_on=TUESDAY)
    with pytest.raises(Refused, match="a collection at that time"):
        group.is_collected()
    group.is_collected(first_on=TUESDAY + timedelta(days=4))
    with pytest.raises(Refused, match="coming day of this collection"):
        group.changes(SATURDAY)
    with pytest.raises(Refused, match="at most 14 days"):
        group.changes(TUESDAY + timedelta(days=4), TUESDAY + timedelta(days=40))
    with pytest.raises(Refused, match="on that day already"):
        group.changes(TUESDAY + timedelta(days=4), TUESDAY + timedelta(days=7))


def test_another_text_day_leaves_the_evenings_as_they_are(village: Village, neema: Phone) -> None:
    """The weekly jobs still ride on one of them, and the farmer's own picking days stay kept."""
    until(village, FRIDAY, 12)
    for words in ("days", "1", "3"):
        neema.says(words)
    plot = village.row("SELECT text_day, picking_text_day, prompt_days, pick_days FROM plot")

    assert {"text_day": 2, "picking_text_day": 4, "prompt_days": 0b0010001, "pick_days": 0b0100100} == plot


def test_steady_weights_do_not_thin_the_question_out(village: Village, neema: Phone) -> None:
    """Two weights in each of five weeks: each collection is asked about all the same."""
    until(village, SATURDAY, 12)
    for _ in range(5):
        neema.says("harvest 5")
        until(village, village.today + timedelta(days=3), 12)
        neema.says("harvest 5")
        until(village, village.today + timedelta(days=4), 12)
    asked = [words for words in neema.texts if HOW_MANY in words]

    assert 0b0010001 == village.row("SELECT prompt_days FROM plot")["prompt_days"]
    assert 9 <= len(asked)


def test_who_is_erased_leaves_no_estimate(village: Village, neema: Phone) -> None:
    """What a farmer has said to bring goes with the rest."""
    until(village, FRIDAY, 18)
    neema.says("12")
    for words in ("records", "2", "2"):
        neema.says(words)

    assert [] == village.rows("SELECT id FROM estimate")
    assert [] == village.rows("SELECT id FROM plot")
