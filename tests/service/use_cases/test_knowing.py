"""What an answer may rest on, gathered beforehand."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from functools import partial

from flows.facts import Facts
from service.core.phone import read_number
from service.core.ports import Work
from service.ids import CountingIds
from service.use_cases.knowing import gather
from service.use_cases.planting import day_columns
from service.use_cases.tools import Tools
from tests.village import Phone, Village


class RepeatingIds(CountingIds):
    """Ids whose codes are given: four letters may well come up twice."""

    def __init__(self, *codes: str) -> None:
        """Give these codes, one after the other."""
        super().__init__()
        self._codes: Iterator[str] = iter(codes)

    def code(self) -> str:
        """Return the next of the codes."""
        return next(self._codes)


def phone_id(village: Village, phone: Phone) -> int:
    """Return the id the service knows a phone by."""
    with village.database.look() as work:
        found = work.people.find_phone(read_number(phone.number, "TZ"))
    assert found is not None
    return found


def known(work: Work, tools: Tools, village: Village, phone: Phone) -> Facts:
    """Gather what may be known of a phone now."""
    one = phone_id(village, phone)
    people = work.people.on_phone(one)
    return gather(work, tools, one, people, on=village.today, now=village.clock.now())


def test_a_code_that_a_question_has_is_not_given_again(village: Village) -> None:
    """Two questions with one code could not be told apart by the farmer who quotes it."""
    phone = village.phone()
    phone.joins()
    phone.says("why are my leaves yellow?")
    taken = str(village.row("SELECT code FROM question")["code"])
    tools = replace(village.tools, ids=RepeatingIds(taken, taken, "K7WM"))

    with village.database.work() as work:
        facts = known(work, tools, village, phone)

    assert "K7WM" == facts.code


def test_weights_go_to_the_newest_open_stand(village: Village) -> None:
    """Of several plots the one planted last is meant; a closed one only when there is no other."""
    phone = village.phone()
    phone.joins(days_ago=900)
    old = village.row("SELECT id, farmer_id FROM plot")
    with village.database.work() as work:
        add = partial(
            work.plots.add,
            farmer_id=int(str(old["farmer_id"])),
            precision="exact",
            plants=250,
            zone="Africa/Dar_es_Salaam",
            calendar_id=village.tools.calendar.id,
            **day_columns(2, frozenset({2, 5})),
        )
        add(planted_on=village.today - timedelta(days=200), live=True)
        add(planted_on=village.today - timedelta(days=100), closed_on=village.today, live=False)
        work.commit()

    with village.database.work() as work:
        facts = known(work, village.tools, village, phone)
    phone.says("STOP")
    phone.says("JOIN")
    phone.says("yes")

    assert 250 == facts.farmers[0].plants
    # Coming back wakes the open stands and leaves the closed one asleep.
    assert [True, True, False] == [
        bool(row["live"]) for row in village.rows("SELECT live FROM plot ORDER BY planted_on")
    ]
