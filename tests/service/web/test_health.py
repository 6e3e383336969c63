"""What whoever watches the service is told."""

from datetime import timedelta

import pytest
from sqlalchemy import text

from service.use_cases.holding import HoldReason, begin_hold
from tests.stand_in_house import HEAD, REAL_NOW, StandInHouse
from tests.web_desk import Desk


def _migrated(house: StandInHouse, version: str) -> None:
    with house.database.engine.begin() as connection:
        connection.execute(text("CREATE TABLE alembic_version (version_num VARCHAR(32) NOT NULL)"))
        connection.execute(text("INSERT INTO alembic_version VALUES (:version)"), {"version": version})


@pytest.mark.parametrize(
    ("version", "age", "checks"),
    [
        (HEAD, 60, {"database": True, "schema": True, "worker": True, "not_held": True}),
        (HEAD, 61, {"database": True, "schema": True, "worker": False, "not_held": True}),
        (HEAD, None, {"database": True, "schema": True, "worker": False, "not_held": True}),
        ("older", 1, {"database": True, "schema": False, "worker": True, "not_held": True}),
        (None, 1, {"database": True, "schema": False, "worker": True, "not_held": True}),
    ],
    ids=["ready", "worker gone", "worker never seen", "older schema", "no schema"],
)
def test_ready_only_when_all_is(
    version: str | None,
    age: int | None,
    checks: dict[str, bool],
    door: Desk,
    house: StandInHouse,
) -> None:
    """Ready is a database at this version and a worker seen within a minute of real time."""
    if version is not None:
        _migrated(house, version)
    if age is not None:
        house.setting("worker_seen_at", (REAL_NOW - timedelta(seconds=age)).isoformat())
    response = door.get("/readyz")

    ready = all(checks.values())
    assert (200 if ready else 503) == response.status_code
    assert {"ready": ready, "checks": checks} == response.json


def test_while_texts_are_held_the_service_is_not_ready(door: Desk, house: StandInHouse) -> None:
    """Whoever watches is told that a person is needed."""
    _migrated(house, HEAD)
    house.setting("worker_seen_at", REAL_NOW.isoformat())
    with house.database.work() as work:
        begin_hold(work, HoldReason.RESTORED, "An older database.", REAL_NOW)
        work.commit()
    response = door.get("/readyz")

    assert 503 == response.status_code
    checks = {"database": True, "schema": True, "worker": True, "not_held": False}
    assert {"ready": False, "checks": checks} == response.json


def test_broken_database_is_not_ready(door: Desk, house: StandInHouse) -> None:
    """When the database cannot be asked, nothing is ready, and the process still says it is up."""
    with house.database.engine.begin() as connection:
        connection.execute(text("DROP TABLE setting"))
    _migrated(house, HEAD)
    response = door.get("/readyz")

    assert 503 == response.status_code
    checks = {"database": False, "schema": False, "worker": False, "not_held": False}
    assert {"ready": False, "checks": checks} == response.json
    assert {"up": True} == door.get("/healthz").json
