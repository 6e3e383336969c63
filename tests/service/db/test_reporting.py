"""What the report counts, on both engines, and that it walks through no large table to count it."""

from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any, Final

import pytest
from sqlalchemy import Connection, event, text, update

from service.core.kinds import MessageState
from service.db.queries.reporting import Brought, Days, FarmersNow, QuestionsAsked, Reporting
from service.db.tables import plots
from service.db.tables.collections import delivery
from service.db.tables.staff import officer
from tests.stand_in_house import NOW, Planter, StandInHouse, empty_database, make_house

# The Monday to Sunday of the house's day, in Dar es Salaam.
WEEK: Final = Days(
    first=date(2026, 11, 23),
    last=date(2026, 11, 29),
    begins=datetime(2026, 11, 22, 21, tzinfo=UTC),
    ends=datetime(2026, 11, 29, 21, tzinfo=UTC),
)


@pytest.fixture
def house(database_url: str, tmp_path: Path) -> Iterator[StandInHouse]:
    """A programme with one farmer in each of two districts and a stranger, on each engine."""
    empty_database(database_url)
    made = make_house(database_url, tmp_path)
    plant = Planter(made)
    for name, district in (("Asha", "Ndaliro"), ("Wendo", "Zaruvi")):
        farmer, phone = plant.farmer(name, district=district)
        plot = plant.plot(farmer)
        for ago, grams, state in ((0, 4000, "counted"), (1, 2500, "counted"), (1, 9000, "in_question")):
            plant.weight(plot, phone, ago=ago, grams=grams, state=state)
        plant.weight(plot, phone, ago=9, grams=7000)
        plant.text_out(phone, "This week.", ago=timedelta(hours=3), farmer_id=farmer, kind="reminder")
        # An answer names no farmer.
        plant.text_out(phone, "Thank you.", ago=timedelta(hours=2))
        plant.text_out(phone, "Too late.", ago=timedelta(hours=1), state="expired_unsent")
        plant.text_out(phone, "Long ago.", ago=timedelta(days=8))
        plant.question(phone, "why?", ago=timedelta(hours=1), farmer_id=farmer)
        for task, state, answer in (
            ("runners", "answered", "done"),
            ("mulch", "answered", "not_needed"),
            ("weeds", "texted", None),
            ("water", "dropped", None),
        ):
            made.put(
                plots.reminder,
                due_on=NOW.date(),
                task=task,
                plot_id=plot,
                revision=0,
                ordinal=1,
                state=state,
                answer=answer,
            )
    plant.farmer("Neema", state="stopped")
    plant.farmer("Juma", paused_until=NOW + timedelta(days=3))
    plant.text_out(plant.phone(), "Who is this?", ago=timedelta(hours=1))
    plant.question(plant.phone(), "hello", ago=timedelta(hours=1))
    yield made
    made.database.close()


@pytest.fixture
def bare(database_url: str, tmp_path: Path) -> Iterator[StandInHouse]:
    """A programme with nobody in it."""
    empty_database(database_url)
    made = make_house(database_url, tmp_path)
    yield made
    made.database.close()


def ndaliro(house: StandInHouse) -> tuple[int, ...]:
    """Return one district as an officer has it."""
    return (Planter(house).districts["Ndaliro"],)


@pytest.mark.parametrize("everywhere", [True, False], ids=["all districts", "one"])
def test_texts_are_counted_with_what_they_cost(house: StandInHouse, *, everywhere: bool) -> None:
    """Answers count where their phone's farmer lives; what never left costs nothing; a stranger's is for who has all."""
    with house.database.look() as work:
        found = work.reporting.texts(WEEK, None if everywhere else ndaliro(house))

    expected = [
        ("reminder", MessageState.DELIVERED, 1, 1),
        ("reply", MessageState.DELIVERED, 1, 1),
        ("reply", MessageState.EXPIRED_UNSENT, 1, 0),
    ]
    all_of_them = [
        ("reminder", MessageState.DELIVERED, 2, 2),
        ("reply", MessageState.DELIVERED, 3, 3),
        ("reply", MessageState.EXPIRED_UNSENT, 2, 0),
    ]
    assert (all_of_them if everywhere else expected) == [
        (one.kind, one.state, one.texts, one.parts) for one in found
    ]


def test_farmers_jobs_weights_and_questions_of_a_district(house: StandInHouse) -> None:
    """Only what counts counts: weights in question, jobs never texted and other districts do not."""
    here = ndaliro(house)
    with house.database.look() as work:
        ask = work.reporting
        jobs, picked = ask.jobs(WEEK, here), ask.picked(WEEK, here)
        both = (ask.jobs(WEEK, None), ask.pickers(WEEK, None), ask.questions(WEEK, None, calls=False))

        assert FarmersNow(active=1, paused=1, pending=0, stopped=1, new=0) == ask.farmers(WEEK, here, NOW)
        assert (1, QuestionsAsked(asked=1, answered=0, closed=0, emergencies=0, helps=0)) == (
            ask.pickers(WEEK, here),
            ask.questions(WEEK, here, calls=False),
        )
    assert (3, 1) == (jobs.asked, jobs.done)
    assert [(date(2026, 11, 24), 2500, 1), (date(2026, 11, 25), 4000, 1)] == [
        (one.day, one.grams, one.weights) for one in picked
    ]
    assert (6, 2, 3) == (both[0].asked, both[1], both[2].asked)


def test_calls_for_help_are_no_questions(bare: StandInHouse) -> None:
    """Words of danger and help asked for after a warning are counted by themselves."""
    plant = Planter(bare)
    farmer, phone = plant.farmer("Tatu")
    for urgency in ("emergency", "need_help", "need_help"):
        plant.question(phone, "2", ago=timedelta(hours=1), farmer_id=farmer, urgency=urgency)
    here = ndaliro(bare)
    with bare.database.look() as work:
        calls = work.reporting.questions(WEEK, here, calls=True)
        others = work.reporting.questions(WEEK, here, calls=False)

    assert QuestionsAsked(asked=3, answered=0, closed=0, emergencies=1, helps=2) == calls
    assert (0, 0, 0) == (others.asked, others.emergencies, others.helps)


def test_what_was_weighed_at_collections_is_counted_beside(bare: StandInHouse) -> None:
    """By the day and the farmer's district; what was taken back does not count."""
    plant = Planter(bare)
    bare.put(officer, name="Asha", role="administrator", added_at=NOW)
    for name, district in (("Tatu", "Ndaliro"), ("Wendo", "Zaruvi"), ("Salim", "Ndaliro")):
        number, _ = plant.farmer(name, district=district)
        plant.collection(number, f"{name} and others", district)
    with bare.database.engine.begin() as connection:
        salims = update(delivery).where(delivery.c.farmer_id == number)
        connection.execute(salims.values(voided_at=NOW, payment_id=None))
    before = Days(
        first=WEEK.first - timedelta(days=7),
        last=WEEK.first - timedelta(days=1),
        begins=WEEK.begins - timedelta(days=7),
        ends=WEEK.begins,
    )
    with bare.database.look() as work:
        here, all_of_it = (work.reporting.brought(before, one) for one in (ndaliro(bare), None))
        now = work.reporting.brought(WEEK, None)

    assert Brought(accepted=12_000, rejected=500, deliveries=1, farmers=1) == here
    assert Brought(accepted=24_000, rejected=1_000, deliveries=2, farmers=2) == all_of_it
    assert Brought(accepted=0, rejected=0, deliveries=0, farmers=0) == now


LARGE: Final = ("message", "reminder", "harvest", "delivery")


@pytest.mark.parametrize("everywhere", [True, False], ids=["all districts", "one"])
def test_no_large_table_is_walked_through(house: StandInHouse, *, everywhere: bool) -> None:
    """SQLite's own plan of each question seeks the days of the report in an index ("EXPLAIN QUERY PLAN", sqlite.org)."""
    asked: list[tuple[str, Any]] = []

    def note(_connection: Connection, _cursor: object, statement: str, values: Any, *_: object) -> None:  # noqa: ANN401 - the driver's
        asked.append((statement, values))

    scope = None if everywhere else ndaliro(house)
    engine = house.database.engine
    with engine.connect() as connection:
        event.listen(engine, "before_cursor_execute", note)
        ask = Reporting(connection)
        for question in (ask.texts, ask.jobs, ask.picked, ask.pickers, ask.brought):
            question(WEEK, scope)
        event.remove(engine, "before_cursor_execute", note)
        sqlite = engine.dialect.name == "sqlite"
        # PostgreSQL reads a table of four rows from end to end whatever its indexes; it is asked to prefer them.
        if not sqlite:
            connection.execute(text("SET enable_seqscan = off"))
        explain = "EXPLAIN QUERY PLAN " if sqlite else "EXPLAIN "
        plans = [
            row[-1]
            for statement, values in asked
            for row in connection.exec_driver_sql(explain + statement, values)
        ]

    assert 5 == len(asked)
    walked = [
        line
        for line in plans
        for table in LARGE
        if line.startswith(f"SCAN {table}") or f"Seq Scan on {table}" in line
    ]
    assert [] == walked
    assert any("harvest" in line for line in plans)
