"""What farmers of a village see on their plants waits for an officer when it is more than two weeks before."""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import timedelta
from typing import Final

import pytest
from sqlalchemy import update

from flows.effects import Finding
from service.agronomy.risk import Hazard, Level
from service.core.alert_states import AlertState
from service.core.danger_ports import Danger
from service.db.tables.people import farmer
from service.use_cases.weather.judging import judge_once_a_day
from service.use_cases.weather.settling import leave, waiting, write_alert
from tests.alert_room import DISTRICT_IDS, AlertRoom
from tests.village import Phone, Village

NAMES: Final = ("Neema", "Tatu", "Juma", "Asha", "Pendo", "Salim")
KETUMALI: Final = DISTRICT_IDS["Ketumali"]
MITES, MOULD, NOTHING = "1", "3", "5"


@dataclass
class Hamlet:
    """Six farmers of Upper Field, who look under their leaves when asked to."""

    room: AlertRoom
    phones: tuple[Phone, ...]

    def looks(self, *answers: str, first: int = 0) -> None:
        """Let farmers answer one after the other, from a place on."""
        for phone, answer in zip(self.phones[first:], answers, strict=False):
            number = re.search(r"(\d) Check pests", phone.says("jobs"))
            assert number
            phone.says(f"jobs {number[1]}")
            phone.says(answer)

    def two_weeks_pass(self) -> None:
        """Let two weeks pass at once."""
        self.room.village.clock.advance(timedelta(days=14))
        self.room.village.work_through()

    @property
    def dangers(self) -> tuple[Danger, ...]:
        """What waits for the officers of the district."""
        with self.room.village.database.look() as work:
            return waiting(work.dangers, [KETUMALI], self.room.village.tools, self.room.now)

    @property
    def pests(self) -> dict[Finding | None, Level]:
        """What of it farmers have seen, and how grave it is."""
        return {danger.pest: Level(danger.level) for danger in self.dangers}

    @property
    def texts(self) -> Iterator[list[str]]:
        """All texts so far, phone by phone."""
        return (phone.texts for phone in self.phones)


@pytest.fixture
def hamlet(village: Village) -> Hamlet:
    """A village whose farmers have joined sixty days after planting."""
    with village.database.work() as work:
        work.places.add_village(KETUMALI, "Upper Field")
        work.commit()
    place = village.row("SELECT id FROM village")["id"]
    phones = tuple(village.phone() for _ in NAMES)
    for phone, name in zip(phones, NAMES, strict=True):
        phone.joins(name=name)
    with village.database.engine.begin() as connection:
        connection.execute(update(farmer).values(village_id=place))
    return Hamlet(room=AlertRoom(village), phones=phones)


def test_a_pest_seen_twice_as_often_waits_for_an_officer(hamlet: Hamlet) -> None:
    """One of six two weeks ago, three of five now: told with its figures, and nothing is sent by itself."""
    hamlet.looks(MOULD, *[NOTHING] * 5)
    calm = hamlet.dangers
    hamlet.two_weeks_pass()
    hamlet.looks(MOULD, MOULD, MOULD, NOTHING)
    too_few = hamlet.dangers
    hamlet.looks(MITES, first=4)
    (danger,) = hamlet.dangers
    hamlet.room.village.pass_hours(2)

    assert ((), ()) == (calm, too_few)
    assert (Hazard.PESTS, Finding.GREY_MOULD, Level.HIGH) == (danger.hazard, danger.pest, danger.level)
    assert (
        "3 of 5 farmers in Upper Field who looked from 3 Dec to 9 Dec saw grey mould on fruit; "
        "14 days before it was 1 of 6."
    ) == danger.reason
    assert ("Upper Field", hamlet.room.village.today + timedelta(days=6)) == (danger.village, danger.day)
    assert [] == hamlet.room.village.rows("SELECT id FROM alert")


def test_a_look_taken_back_takes_the_danger_back(hamlet: Hamlet) -> None:
    """A wrong digit is undone in either way a look is told; what rested on it no longer stands."""
    hamlet.looks(*[NOTHING] * 5)
    hamlet.two_weeks_pass()
    hamlet.looks(MOULD, MOULD, NOTHING, NOTHING, NOTHING)
    sixth = hamlet.phones[5]
    number = re.search(r"(\d) Check pests", sixth.says("jobs"))
    assert number
    seen = []
    for words in (f"done {number[1]}", "3", "undo", f"jobs {number[1]}", "3", "undo"):
        sixth.says(words)
        seen.append(hamlet.pests)

    mould = {Finding.GREY_MOULD: Level.WATCH}
    assert [{}, mould, {}, {}, mould, {}] == seen


def test_only_those_of_the_village_count(hamlet: Hamlet) -> None:
    """A farmer of whom no village is known says nothing of any."""
    hamlet.looks(*[NOTHING] * 6)
    hamlet.two_weeks_pass()
    with hamlet.room.village.database.engine.begin() as connection:
        connection.execute(update(farmer).where(farmer.c.name == NAMES[0]).values(village_id=None))
    hamlet.looks(*[MOULD] * 3, *[NOTHING] * 3)

    assert {} == hamlet.pests


def test_the_draft_asks_the_village_and_leaves_when_an_officer_sends_it(hamlet: Hamlet) -> None:
    """It names no farmer and no number; who lives elsewhere gets nothing."""
    room, village = hamlet.room, hamlet.room.village
    stranger = room.farmer("Hamisi")
    hamlet.looks(*[NOTHING] * 6)
    hamlet.two_weeks_pass()
    hamlet.looks(*[MITES] * 3, *[NOTHING] * 2)
    with village.database.work() as work:
        judge_once_a_day(work, village.tools, room.now)
    before, mlima = list(hamlet.texts), room.officer("Ketumali")
    (danger,) = hamlet.dangers
    with village.database.work() as work:
        alert = write_alert(work, village.tools, mlima, danger.id, now=room.now)
    unsent = before == list(hamlet.texts)
    room.confirm(mlima, alert)
    village.clock.advance(timedelta(minutes=2))
    village.work_through()
    said = (
        "Asha Mlima (Ketumali): more farmers near you see tiny dots or webs. Look at yours today, take it off by "
        "hand, out of the plot. Reply 1 understood 2 need help"
    )

    assert (AlertState.DRAFT, True) == (alert.state, unsent)
    assert {said} == {phone.last for phone in hamlet.phones}
    assert [] == stranger.texts


def test_what_an_officer_leaves_comes_back_only_if_it_grows(hamlet: Hamlet) -> None:
    """One look more of the same is no news."""
    room = hamlet.room
    hamlet.looks(*[NOTHING] * 6)
    hamlet.two_weeks_pass()
    hamlet.looks(*[MOULD] * 3, *[NOTHING] * 2)
    (danger,) = hamlet.dangers
    with room.village.database.work() as work:
        leave(work, room.officer("Ketumali"), danger.id, now=room.now)
    hamlet.looks(MOULD, first=5)

    assert (Level.WATCH, {}) == (danger.level, hamlet.pests)
