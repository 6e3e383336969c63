"""Plots and weights as forecasts ask for them, on both engines."""

from collections.abc import Iterator
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import Connection, event, text

from service.core.forecast_ports import FieldPlot
from service.core.rights import Role
from service.db.queries.fields import Fields
from tests.stand_in_house import NOW, TODAY, Planter, StandInHouse, empty_database, make_house


@pytest.fixture
def house(database_url: str, tmp_path: Path) -> Iterator[StandInHouse]:
    """Two farmers in Ndaliro, one of whom has stopped, and one in Zaruvi."""
    empty_database(database_url)
    made = make_house(database_url, tmp_path)
    yield made
    made.database.close()


@pytest.fixture
def plots(house: StandInHouse) -> dict[str, int]:
    """A plot of each, by name, with weights of three days and some that do not count."""
    plant = Planter(house)
    found = {}
    for name, district, live in (
        ("Asha", "Ndaliro", True),
        ("Juma", "Ndaliro", False),
        ("Wendo", "Zaruvi", True),
    ):
        farmer, phone = plant.farmer(name, district=district)
        found[name] = plot = plant.plot(farmer, live=live)
        for ago, grams, state in (
            (0, 9000, "counted"),
            (1, 0, "counted"),
            (4, 2500, "counted"),
            (4, 1500, "counted"),
            (4, 9000, "in_question"),
            (7, 7000, "counted"),
            (7, 9000, "voided"),
            (8, 9000, "counted"),
        ):
            plant.weight(plot, phone, ago=ago, grams=grams, state=state)
    return found


def district(house: StandInHouse, name: str) -> int:
    """Return a district's id."""
    return Planter(house).districts[name]


def is_collected(house: StandInHouse, farmer: int) -> None:
    """Let a farmer's group be collected, who brought 12.5 kg a week ago."""
    with house.database.work() as work:
        work.staff.add_officer("Amina", Role.OFFICER, NOW)
        work.commit()
    Planter(house).collection(farmer, "Hill")


def test_live_plots_of_a_district(house: StandInHouse, plots: dict[str, int]) -> None:
    """Those of farmers who are not texted are left out; where a plot's height is not known, its district's counts."""
    planted = TODAY - timedelta(days=212)
    here = district(house, "Ndaliro")
    with house.database.look() as work:
        found = work.fields.plots(here, planted, planted)
        too_old = work.fields.plots(here, planted + timedelta(days=1), TODAY)
        too_young = work.fields.plots(here, date(2020, 1, 1), planted - timedelta(days=1))

    assert (FieldPlot(id=plots["Asha"], planted_on=planted, plants=450, elevation_m=2150),) == found
    assert () == too_old == too_young


def test_weights_that_count_by_day(house: StandInHouse, plots: dict[str, int]) -> None:
    """All of a day together, nothing ripe included; the first day is in, the last one is not."""
    with house.database.look() as work:
        found = list(work.fields.picked([plots["Wendo"], plots["Asha"]], TODAY - timedelta(days=7), TODAY))

    days = [(TODAY - timedelta(days=ago), grams) for ago, grams in ((7, 7000), (4, 4000), (1, 0))]
    assert [(plot, *day) for plot in sorted([plots["Wendo"], plots["Asha"]]) for day in days] == found
    assert {int} == {type(grams) for _, _, grams in found}


def test_what_a_collection_weighed_counts_where_none_was_told(house: StandInHouse) -> None:
    """12.5 kg came a week ago, put down to the newest plot; a weight of that day or the day before stands for it."""
    plant = Planter(house)
    farmer, phone = plant.farmer("Salim")
    plot = plant.plot(farmer, age=300)
    newest = plant.plot(farmer, age=200)
    is_collected(house, farmer)
    here = (TODAY - timedelta(days=9), TODAY)
    plant.weight(plot, phone, ago=9, grams=4000)
    with house.database.look() as work:
        untold = list(work.fields.picked([plot, newest], *here))
    plant.weight(plot, phone, ago=8, grams=6000)
    with house.database.look() as work:
        told = list(work.fields.picked([plot, newest], *here))

    days = [TODAY - timedelta(days=ago) for ago in (9, 8, 7)]
    assert [(plot, days[0], 4000), (newest, days[2], 12_500)] == untold
    assert [(plot, days[0], 4000), (plot, days[1], 6000)] == told


def test_neither_plots_nor_weights_are_walked(house: StandInHouse, plots: dict[str, int]) -> None:
    """The engine's own plan seeks both by index ("EXPLAIN QUERY PLAN", sqlite.org)."""
    asked: list[tuple[str, Any]] = []

    def note(_connection: Connection, _cursor: object, statement: str, values: Any, *_: object) -> None:  # noqa: ANN401 - the driver's
        if statement.startswith("SELECT"):
            asked.append((statement, values))

    here = district(house, "Ndaliro")
    with house.database.engine.connect() as connection:
        asha = connection.scalar(text("SELECT farmer_id FROM plot WHERE id = :id"), {"id": plots["Asha"]})
    is_collected(house, asha)
    engine = house.database.engine
    with engine.connect() as connection:
        event.listen(engine, "before_cursor_execute", note)
        fields = Fields(connection)
        fields.plots(here, date(2020, 1, 1), TODAY)
        list(fields.picked(sorted(plots.values()), date(2026, 9, 1), TODAY))
        event.remove(engine, "before_cursor_execute", note)
        sqlite = engine.dialect.name == "sqlite"
        if not sqlite:
            # It reads a table of four rows from end to end whatever its indexes; it is asked to prefer them.
            connection.execute(text("SET enable_seqscan = off"))
        explain = "EXPLAIN QUERY PLAN " if sqlite else "EXPLAIN "
        plans = [
            row[-1]
            for statement, values in asked
            for row in connection.exec_driver_sql(explain + statement, values)
        ]

    assert 4 == len(asked)
    assert any("harvest" in line for line in plans)
    assert [] == [
        line
        for line in plans
        for table in ("harvest", "plot", "farmer", "delivery")
        if line.startswith(f"SCAN {table}") or f"Seq Scan on {table}" in line
    ]
