"""Stories of a text in two wordings: who gets which, what is kept of it, and what is found."""

from datetime import timedelta
from zoneinfo import ZoneInfo

import pytest

from service.core.cohorts import By
from service.core.comparing import Finding
from service.core.errors import Refused
from service.core.experiments import Arm, Experiment
from service.use_cases.cohorts import Worth, look
from service.use_cases.cohorts_told import of_wordings
from service.use_cases.experimenting import end_early, try_wordings
from tests.village import ZONE, Phone, Village

SECOND = "best today:"
LISTS = ("this week:", SECOND)


def trying(village: Village, days: int = 14) -> Experiment:
    """Try the two wordings of the week's list from today."""
    with village.database.work() as work:
        return try_wordings(
            work,
            village.tools,
            "week",
            on=village.today,
            until=village.today + timedelta(days=days),
        )


def found(village: Village) -> Worth:
    """Return what is shown of the last four weeks."""
    with village.database.look() as work:
        return look(
            work,
            village.tools.calendar,
            By.JOINED,
            first=village.today - timedelta(days=28),
            last=village.today,
            districts=None,
            zone=ZoneInfo(ZONE),
        )


def join(village: Village, count: int) -> list[Phone]:
    """Let so many farmers join; each gets the list of the week at once."""
    phones = [village.phone() for _ in range(count)]
    for number, phone in enumerate(phones):
        phone.joins(name=f"Neema{'abcdefghij'[number % 10]}{'abcdefghij'[number // 10]}")
    return phones


def test_each_farmer_gets_one_wording_all_along(village: Village) -> None:
    """Both are there, each text is marked with its arm, and the next week brings the same one."""
    tried = trying(village)
    phones = join(village, 12)
    village.pass_days(7)
    lists = [[words for words in phone.texts if any(one in words for one in LISTS)] for phone in phones]
    second = [{SECOND in words for words in texts} for texts in lists]

    assert {2} == {len(texts) for texts in lists}
    assert {1} == {len(one) for one in second}
    assert {True, False} == set().union(*second)
    marks = village.rows("SELECT arm, text_id FROM message WHERE arm IS NOT NULL")
    assert {(tried.mark(Arm.FIRST), True), (tried.mark(Arm.SECOND), False)} == {
        (row["arm"], row["text_id"] in {"week", "week_more"}) for row in marks
    }


def test_what_is_found_counts_each_farmer_once(village: Village) -> None:
    """All with the second wording finish a job of their first list in time, nobody else does so."""
    trying(village)
    phones = join(village, 12)
    for phone in phones:
        if SECOND in phone.last:
            phone.says("done 1")
    early = found(village).wordings[0]
    village.pass_days(8)
    for phone in phones:
        phone.says("done 2")
    (late,) = found(village).wordings

    assert (0, 0) == (early.done.first.of, early.done.second.of)
    assert 12 == late.done.first.of + late.done.second.of
    assert (0, late.done.second.of) == (late.done.first.count, late.done.second.count)
    assert not late.over
    assert any("whoever decides before its last day" in words for words in of_wordings(late))


def test_a_job_that_was_not_needed_is_not_one_that_was_done(village: Village) -> None:
    """The words for it close the job and say nothing for a wording."""
    trying(village)
    (phone,) = join(village, 1)
    village.pass_days(2)
    phone.says("3")
    village.pass_days(7)
    (wordings,) = found(village).wordings

    assert 1 == wordings.done.first.of + wordings.done.second.of
    assert 0 == wordings.done.first.count + wordings.done.second.count


def test_afterwards_all_get_the_first_wording(village: Village) -> None:
    """From the day on which it is ended, whether that is its own last day or an earlier one."""
    tried = trying(village)
    phones = join(village, 6)
    with village.database.work() as work:
        end_early(work, tried.id, on=village.today)
    before = [len(phone.texts) for phone in phones]
    village.pass_days(8)
    later = [words for phone, seen in zip(phones, before, strict=True) for words in phone.texts[seen:]]

    assert any("this week:" in words for words in later)
    assert not any(SECOND in words for words in later)


def test_few_farmers_are_too_few_to_tell(village: Village) -> None:
    """Half of six against none of six: it may all be chance, and how many it takes is said."""
    trying(village)
    phones = join(village, 8)
    first = [phone for phone in phones if SECOND not in phone.last]
    first[0].says("done 1")
    village.pass_days(8)
    (wordings,) = found(village).wordings
    told = " ".join(of_wordings(wordings))

    assert Finding.TOO_SMALL is wordings.done.finding
    assert "Too small to tell" in told
    assert "each group needs about" in told


def test_one_at_a_time_and_long_enough(village: Village) -> None:
    """A second trial of the same text would mix with the first, and two days show nothing."""
    with pytest.raises(Refused, match="14 days or more"):
        trying(village, days=13)
    tried = trying(village)

    with pytest.raises(Refused, match=f"Experiment {tried.id} tries week until"):
        trying(village)
    with village.database.work() as work, pytest.raises(Refused, match="There is no second wording hello"):
        try_wordings(
            work,
            village.tools,
            "hello",
            on=village.today,
            until=village.today + timedelta(days=30),
        )
    with village.database.work() as work, pytest.raises(Refused, match="No experiment 99 is running"):
        end_early(work, 99, on=village.today)
