"""What whoever watches the service is told."""

from datetime import timedelta

import pytest
from sqlalchemy import text

from tests.stand_in_house import HEAD, REAL_NOW, StandInHouse
from tests.web_desk import Desk


def _migrated(house: StandInHouse, version: str) -> None:
    with house.database.engine.begin() as connection:
        connection.execute(text("CREATE TABLE alembic_version (version_num VARCHAR(32) NOT NULL)"))
        connection.execute(text("INSERT INTO alembic_version VALUES (:version)"), {"version": version})


@pytest.mark.parametrize(
    ("version", "age", "checks"),
    [
        (HEAD, 60, {"database": True, "schema": True, "worker": True}),
        (HEAD, 61, {"database": True, "schema": True, "worker": False}),
        (HEAD, None, {"database": True, "schema": True, "worker": False}),
        ("older", 1, {"database": True, "schema": False, "worker": True}),
        (None, 1, {"database": True, "schema": False, "worker": True}),
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


def test_broken_database_is_not_ready(door: Desk, house: StandInHouse) -> None:
    """When the database cannot be asked, nothing is ready, and the process still says it is up."""
    with house.database.engine.begin() as connection:
        connection.execute(text("DROP TABLE setting"))
    _migrated(house, HEAD)
    response = door.get("/readyz")

    assert 503 == response.status_code
    checks = {"database": False, "schema": False, "worker": False}
    assert {"ready": False, "checks": checks} == response.json
    assert {"up": True} == door.get("/healthz").json
