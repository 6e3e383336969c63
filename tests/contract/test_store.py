"""What every store promises, asked of each alike: see service/core/ports.py.

SQLite in a file and PostgreSQL are what programmes run on; SQLite in memory is the twin for where no file is needed.
The outbox's promises have a suite of their own, tests/service/db/test_outbox.py, and threads for which memory will
not do.
"""

import inspect
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any, Final, get_type_hints

import pytest

from flows.effects import Urgency
from flows.facts import FarmerState
from flows.states import IDLE, Conversation, State
from service.agronomy.traits import UNTOLD, PlotTraits
from service.core import ports
from service.core.kinds import KINDS, MessageState
from service.core.model import (
    HarvestState,
    InboundState,
    NewMessage,
    Picked,
    ReminderKey,
    ReminderState,
)
from service.core.phone import PhoneNumber
from service.core.question_ports import NewAnswer, QuestionState, Way
from service.db.migrate import migrate
from service.db.sealing import Seal
from service.db.tables.staff import officer
from service.db.work import Database, Work
from service.use_cases.planting import default_days
from service.use_cases.questions import QuestionWork
from tests.conftest import PostgresDatabases

NOW: Final = datetime(2026, 11, 25, 9, 0, tzinfo=UTC)
TODAY: Final = date(2026, 11, 25)
ZONE: Final = "Africa/Dar_es_Salaam"
PHONE: Final = PhoneNumber("+255621234567", "TZ")
OTHER: Final = PhoneNumber("+255621234568", "TZ")
SEAL: Final = Seal(sealing_key=b"s" * 32, index_key=b"i" * 32)


@pytest.fixture(params=["file", "memory", pytest.param("postgresql", marks=pytest.mark.postgres)])
def store(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Database]:
    """An empty store of each kind."""
    postgres: PostgresDatabases | None = None
    address = {"file": f"sqlite:///{tmp_path / 'trussline.db'}", "memory": "sqlite://"}.get(request.param)
    if address is None:
        postgres = request.getfixturevalue("postgres_databases")
        address = postgres.create()
    made = Database(address, SEAL)
    migrate(made.engine)
    yield made
    made.close()
    if postgres:
        postgres.drop(address)


@dataclass(frozen=True, kw_only=True)
class Neema:
    """One farmer with one phone and one plot."""

    id: int
    phone_id: int
    plot_id: int


@pytest.fixture
def neema(store: Database) -> Neema:
    """A farmer in the store."""
    with store.work() as work:
        work.people.add_district("Ketumali", ZONE, 1900)
        (district,) = work.people.districts()
        phone_id = work.people.phone_for(PHONE, NOW)
        work.people.add_farmer(
            id=7,
            name="Neema",
            language="sw",
            district_id=district.id,
            state=FarmerState.ACTIVE,
            now=NOW,
            pending_until=None,
        )
        work.people.link_phone(7, phone_id, role="own", preferred=True, now=NOW)
        plot_id = work.plots.add(
            farmer_id=7,
            planted_on=date(2026, 9, 1),
            precision="exact",
            plants=400,
            elevation_m=1900,
            zone=ZONE,
            calendar_id="strawberry",
            live=True,
            **default_days(TODAY),
        )
        work.commit()
    return Neema(id=7, phone_id=phone_id, plot_id=plot_id)


def test_what_a_plot_is_like_is_kept_as_words_and_as_bits(store: Database, neema: Neema) -> None:
    """A word that is told later changes the bits that the planner reckons with, and leaves the others."""
    with store.work() as work:
        before = work.plots.the(neema.plot_id).traits
        work.plots.set(neema.plot_id, mother_rows="yes")
        work.plots.set(neema.plot_id, mulch_kind="plastic", plants=390)
        after = work.plots.the(neema.plot_id)
        work.commit()

    assert UNTOLD.bits == before
    assert PlotTraits(mother_rows="yes", mulch="plastic").bits == after.traits
    assert ("yes", "plastic") == (after.mother_rows, after.mulch_kind)


def port_methods() -> Iterator[Any]:
    """Name every method of every port that a unit of work offers."""
    for part, getter in (*vars(ports.Work).items(), *vars(QuestionWork).items()):
        if isinstance(getter, property) and getter.fget is not None:
            port = get_type_hints(getter.fget)["return"]
            for name, method in vars(port).items():
                if inspect.isfunction(method) and not name.startswith("_"):
                    yield pytest.param(part, name, method, id=f"{part}.{name}")


@pytest.mark.parametrize(("part", "name", "method"), list(port_methods()))
def test_every_method_of_every_port_is_there(store_of_all: Work, part: str, name: str, method: Any) -> None:  # noqa: ANN401 - a function
    """With the same parameters in the same order, so that a port says what is really asked."""
    real = inspect.signature(getattr(getattr(store_of_all, part), name))
    promised = inspect.signature(method)

    assert [*promised.parameters][1:] == [*real.parameters]


@pytest.fixture(scope="module")
def store_of_all() -> Iterator[Work]:
    """One unit of work to look at."""
    database = Database("sqlite://", SEAL)
    with database.look() as work:
        yield work
    database.close()


def test_what_is_not_committed_is_undone(store: Database) -> None:
    """A unit of work that is left without a commit, or by an error, never happened."""
    with store.work() as work:
        work.people.add_district("Zaruvi", ZONE, None)
    with store.work() as work:
        work.people.add_district("Ndaliro", ZONE, 2150)
        work.commit()

    with store.look() as work:
        assert ["Ndaliro"] == [district.name for district in work.people.districts()]


def test_one_number_is_one_phone(store: Database) -> None:
    """Whoever is asked for again is the phone that is there."""
    with store.work() as work:
        first, other, again = (work.people.phone_for(number, NOW) for number in (PHONE, OTHER, PHONE))
        work.commit()

    assert first == again != other


def test_a_farmer_is_found_by_phone(store: Database, neema: Neema) -> None:
    """With what the conversation needs to know, and under no other phone."""
    with store.work() as work:
        (person,) = work.people.on_phone(neema.phone_id)
        stranger = work.people.phone_for(OTHER, NOW)

        assert ("Neema", "sw", FarmerState.ACTIVE, ZONE, True) == (
            person.name,
            person.language,
            person.state,
            person.zone,
            person.preferred,
        )
        assert () == work.people.on_phone(stranger)


def test_the_stop_list_holds_for_a_number(store: Database) -> None:
    """Stopping twice is as stopping once; starting again ends it."""
    with store.work() as work:
        phone = work.people.phone_for(PHONE, NOW)
        seen = [work.people.has_stopped(phone)]
        work.people.stop(phone, NOW)
        work.people.stop(phone, NOW + timedelta(days=1))
        seen.append(work.people.has_stopped(phone))
        work.people.unstop(phone)
        seen.append(work.people.has_stopped(phone))

    assert [False, True, False] == seen


def test_a_reference_is_seen_once(store: Database) -> None:
    """Per gateway: the second time it had been seen before."""
    with store.work() as work:
        seen = [work.inbox.seen(gateway, "ref", 1, NOW) for gateway in ("one", "one", "two", "two")]

    assert [False, True, False, True] == seen


def test_texts_are_read_in_order_and_leave_the_list(store: Database, neema: Neema) -> None:
    """The oldest first; read ones are gone from it, and so are those set aside."""
    with store.work() as work:
        for number in (3, 1, 2):
            work.inbox.add(
                id=number,
                gateway="simulator",
                ref=str(number),
                phone_id=neema.phone_id,
                raw=b"HELP",
                text="HELP",
                text_hash=bytes([number]),
                received_at=NOW,
                stored_at=NOW,
                state=InboundState.STORED,
            )
        before = [inbound.id for inbound in work.inbox.unread(10)]
        work.inbox.mark_read(1, {"why": "a command"}, neema.id)
        work.inbox.mark_tried(2, InboundState.STORED)
        work.inbox.mark_tried(3, InboundState.CORRUPT)
        after = work.inbox.unread(10)

        assert [1, 2, 3] == before
        assert [(2, 1)] == [(inbound.id, inbound.tries) for inbound in after]
        assert work.inbox.same_text_since(neema.phone_id, bytes([2]), NOW)
        assert not work.inbox.same_text_since(neema.phone_id, bytes([2]), NOW + timedelta(seconds=1))


def test_one_conversation_a_phone_and_it_ends(store: Database, neema: Neema) -> None:
    """The last question put is the one that is open, with its data, until its time is over."""
    data = {"job": "x", "places": [1, 2], "deep": {"on": True, "none": None}}
    with store.work() as work:
        for state in (State.JOBS, State.SCOUT):
            talk = Conversation(state=state, data=data, farmer_id=neema.id, misses=1)  # type: ignore[arg-type]  # a literal
            work.talks.put(neema.phone_id, talk, asked_by="test", expires_at=NOW + timedelta(hours=48))
        now = work.talks.open_on(neema.phone_id, NOW + timedelta(hours=47))
        later = work.talks.open_on(neema.phone_id, NOW + timedelta(hours=48))

    assert (State.SCOUT, data, neema.id, 1) == (now.state, now.data, now.farmer_id, now.misses)
    assert IDLE == later


def test_a_code_is_taken_once_it_is_used(store: Database, neema: Neema) -> None:
    """Two questions never answer to one code."""
    with store.work() as work:
        before = work.talks.code_is_free("K7Q2")
        work.talks.add_question(
            id=1,
            code="K7Q2",
            phone_id=neema.phone_id,
            farmer_id=neema.id,
            inbound_id=1,
            text="Why are the leaves red?",
            urgency=Urgency.ORDINARY,
            asked_at=NOW,
        )

        assert (True, False) == (before, work.talks.code_is_free("K7Q2"))


def asked(work: Work, neema: Neema, number: int, code: str, **values: Any) -> None:  # noqa: ANN401 - columns
    """Put a question of Neema's on the list."""
    work.talks.add_question(
        id=number,
        code=code,
        phone_id=neema.phone_id,
        farmer_id=neema.id,
        inbound_id=number,
        text="Why are the leaves red?",
        urgency=Urgency.ORDINARY,
        asked_at=NOW,
        **values,
    )


def test_a_question_is_settled_once_and_opened_again(store: Database, neema: Neema) -> None:
    """Whoever comes second changes nothing; what was done stays, with who took it back."""
    with store.work() as work:
        asked(work, neema, 1, "K7Q2")
        settled = [
            work.questions.settle(1, state) for state in (QuestionState.ANSWERED, QuestionState.CLOSED)
        ]
        found = work.questions.find(None, "K7Q2")
        again = [work.questions.reopen(1) for _ in range(2)]
        work.commit()

    with store.work() as work:
        open_again = work.questions.find(None, "K7Q2")

        assert [True, False] == settled == again
        assert found is not None
        assert open_again is not None
        assert (QuestionState.ANSWERED, QuestionState.OPEN) == (found.state, open_again.state)
        assert ("Neema", "sw", "Ketumali", ZONE, "567", False) == (
            found.farmer,
            found.language,
            found.district,
            found.zone,
            found.last3,
            found.stopped,
        )


def test_what_officers_did_is_told_in_its_order(store: Database, neema: Neema) -> None:
    """With names, note, and who took it back."""
    with store.engine.begin() as connection:
        for number, name in ((1, "Mlima"), (2, "Pori")):
            connection.execute(officer.insert().values(id=number, name=name, added_at=NOW))
    with store.work() as work:
        asked(work, neema, 1, "K7Q2")
        for number, way, note in ((5, Way.CALLED, "She is well."), (6, Way.DONE, None)):
            work.questions.keep_answer(
                NewAnswer(id=number, question_id=1, officer_id=1, at=NOW, way=way, note=note)
            )
        work.questions.take_back(5, 2, NOW)
        first, second = work.questions.answers([1])

        assert ("Mlima", Way.CALLED, "She is well.", "Pori") == (
            first.officer,
            first.way,
            first.note,
            first.taken_back_by,
        )
        assert (Way.DONE, None, None) == (second.way, second.taken_back_at, second.sent)
        assert () == work.questions.answers([2])


def test_a_question_is_found_by_who_may_see_it(store: Database, neema: Neema) -> None:
    """In the farmer's district or in all of them; the number is read with the keys."""
    with store.work() as work:
        asked(work, neema, 1, "K7Q2")
        (district,) = work.people.districts()
        stranger = work.people.phone_for(OTHER, NOW)
        work.talks.add_question(
            id=2, code="W8", phone_id=stranger, farmer_id=None, inbound_id=2, text="?", urgency=Urgency.ORDINARY,
            asked_at=NOW,
        )  # fmt: skip
        seen = [
            (code, work.questions.find(districts, code) is not None)
            for districts in (None, [district.id], [district.id + 1], [])
            for code in ("K7Q2", "W8")
        ]

        assert [("K7Q2", True), ("W8", True), ("K7Q2", True), *[("W8", False), ("K7Q2", False)] * 2] == seen[
            :7
        ]
        assert ("W8", False) == seen[7]
        assert PHONE.e164 == work.questions.number(neema.phone_id)
        assert work.questions.number(stranger + 1) is None


def test_a_call_for_help_waits_until_it_is_settled(store: Database, neema: Neema) -> None:
    """Of its own alert and phone alone."""
    with store.work() as work:
        asked(work, neema, 1, "K7Q2", alert_id=44)
        waits = [
            work.talks.help_waits(alert_id, phone_id)
            for alert_id, phone_id in ((44, neema.phone_id), (45, neema.phone_id), (44, neema.phone_id + 1))
        ]
        work.questions.settle(1, QuestionState.CLOSED)

        assert [True, False, False] == waits
        assert not work.talks.help_waits(44, neema.phone_id)


def test_a_text_waits_until_it_is_settled(store: Database, neema: Neema) -> None:
    """The same words from the same phone; not those of another."""
    with store.work() as work:
        asked(work, neema, 1, "K7Q2")
        words, phones = "Why are the leaves red?", (neema.phone_id, neema.phone_id + 1)
        waits = [work.talks.waits(phone_id, words) for phone_id in phones]
        work.questions.settle(1, QuestionState.CLOSED)

        assert [True, False] == waits
        assert not work.talks.waits(neema.phone_id, words)


def test_a_plot_is_what_was_kept(store: Database, neema: Neema) -> None:
    """With its changes; a farmer who stops has no live plot."""
    with store.work() as work:
        work.plots.set(neema.plot_id, planted_on=date(2026, 9, 2), revision=1)
        changed = work.plots.get(neema.plot_id)
        work.plots.set_live(neema.id, live=False)
        (stopped,) = work.plots.of_farmer(neema.id)

        assert changed is not None
        assert (date(2026, 9, 2), 1, 400, True) == (
            changed.planted_on,
            changed.revision,
            changed.plants,
            changed.live,
        )
        assert not stopped.live
        assert None is work.plots.get(neema.plot_id + 1)


def test_a_reminder_is_planned_once_and_answered(store: Database, neema: Neema) -> None:
    """Planning again adds nothing; an answered one is no open job any more, and can be opened again."""
    key = ReminderKey(due_on=TODAY, task="weeding", plot_id=neema.plot_id, revision=0)
    with store.work() as work:
        for _ in range(2):
            for task, ordinal in (("weeding", 3), ("water", 1)):
                work.planning.insert_for_plot(TODAY, neema.plot_id, 0, task, ordinal)
        planned = {reminder.key.task for reminder in work.reminders.open_for(neema.id, TODAY, TODAY)}
        work.reminders.mark_answered(key, "done", NOW)
        left = {reminder.key.task for reminder in work.reminders.open_for(neema.id, TODAY, TODAY)}
        work.reminders.reopen(key)
        again = {reminder.key.task for reminder in work.reminders.open_for(neema.id, TODAY, TODAY)}
        work.reminders.end_waiting(neema.plot_id, ReminderState.DROPPED, "the farmer has stopped")

        assert ({"weeding", "water"}, {"water"}, {"weeding", "water"}) == (planned, left, again)
        assert () == work.reminders.open_for(neema.id, TODAY, TODAY)


def test_weights_add_up(store: Database, neema: Neema) -> None:
    """In grams; what is in question or taken back is not counted."""
    with store.work() as work:
        for number, (days_ago, grams, state) in enumerate(
            [
                (400, 5000, HarvestState.COUNTED),
                (1, 12_500, HarvestState.COUNTED),
                (0, 900, HarvestState.COUNTED),
                (0, 99_000, HarvestState.IN_QUESTION),
            ],
            start=1,
        ):
            work.harvests.add(
                id=number,
                plot_id=neema.plot_id,
                picked_on=TODAY - timedelta(days=days_ago),
                grams=grams,
                state=state,
                inbound_id=number,
                phone_id=neema.phone_id,
                at=NOW,
            )
        first = work.harvests.weights(neema.plot_id, TODAY)
        counted = work.harvests.count(4, 990, NOW)
        work.harvests.void(3, 9)
        second = work.harvests.weights(neema.plot_id, TODAY)

        assert (18_400, 13_400) == (first.total, first.last_year)
        assert ((neema.plot_id, TODAY), 18_490) == (counted, second.total)
        assert (
            Picked(on=TODAY - timedelta(days=1), grams=12_500),
            Picked(on=TODAY, grams=990),
        ) == tuple(
            sorted(
                work.harvests.picked_since(neema.plot_id, TODAY - timedelta(days=7)), key=lambda one: one.on
            )
        )


def test_a_text_goes_through_the_outbox(store: Database, neema: Neema) -> None:
    """Queued, found, tried, accepted: the short way of every text."""
    text = NewMessage(
        id=1,
        queued_on=TODAY,
        idem_key="reply:1:1",
        kind="reply",
        phone_id=neema.phone_id,
        farmer_id=neema.id,
        language="sw",
        text_id="help",
        text="Maneno.",
        parts=1,
        zone=ZONE,
        not_before=NOW,
        expires_at=NOW + timedelta(minutes=15),
    )
    key = (TODAY, 1)
    with store.work() as work:
        work.outbox.queue([text], gateway="simulator", kinds=KINDS, at=NOW)
        (found,) = work.claims.candidates(NOW, KINDS["reply"].priority, 8)
        reference = work.claims.begin(key, 1, "reference", "simulator", NOW)
        work.claims.end("reference", "accepted", NOW, gateway_ref="network-1")
        work.outbox.set_state(key, MessageState.ACCEPTED, NOW)

        assert (PHONE.e164, "Maneno.", False) == (found.destination, found.text, found.stopped)
        assert ("reference", MessageState.ACCEPTED) == (reference, work.outbox.state_of(key))
        assert () == work.claims.candidates(NOW, KINDS["reply"].priority, 8)
