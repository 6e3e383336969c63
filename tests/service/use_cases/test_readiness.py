from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from service.core.gateway import Health
from service.use_cases.holding import Hold, HoldReason
from service.use_cases.readiness import Facts, checklist

NOW = datetime(2026, 11, 25, 7, 0, tzinfo=UTC)
# A programme of which all is in order.
GOOD = Facts(
    now=NOW,
    last_tick=NOW - timedelta(seconds=20),
    in_step=True,
    hold=None,
    emergency_number="15099",
    unread_texts={"en": 0, "sw": 0},
    refusals=(),
    gateway="http",
    health=Health(up=True, detail="answers"),
    cap_day=5000,
    cap_chosen=True,
    hold_days=21,
    hold_chosen=True,
    proved_at=NOW - timedelta(days=89),
    free_mb=900,
    least_free_mb=64,
    not_durable=(),
    damage=None,
    keys_fault=None,
    sheet_at=NOW - timedelta(days=200),
    districts=2,
    without_height=(),
    demo=False,
)


def test_a_programme_in_order_is_ready() -> None:
    """Every point holds, and none of them tells anybody to do anything they need not."""
    assert all(point.holds for point in checklist(GOOD))


def hold(reason: HoldReason) -> Hold:
    """Return a hold for that reason."""
    return Hold(reason=reason, since=NOW, detail="what was found")


FAULTS: dict[str, tuple[dict[str, Any], list[str], str]] = {
    "a demo": ({"demo": True}, ["This is no demo"], "its farmers are invented"),
    "a damaged database": (
        {"damage": "The database x is damaged (page 3)."},
        ["The database is whole, and keeps what it commits through a power cut"],
        "The database x is damaged (page 3).",
    ),
    "a database that does not sync": (
        {"not_durable": ("fsync=off",)},
        ["The database is whole, and keeps what it commits through a power cut"],
        "fsync=off",
    ),
    "keys open to all": (
        {"keys_fault": "The key file is open."},
        ["The keys can be read, by the service alone, and belong to the database"],
        "The key file is open.",
    ),
    "a sheet nobody has seen": ({"sheet_at": None}, ["The recovery sheet was printed"], "it was never shown"),
    "no district": ({"districts": 0}, ["There is a district"], "none, so no farmer can join"),
    "a clock behind the worker": (
        {"now": NOW - timedelta(hours=1)},
        ["The clock can be trusted", "The worker runs"],
        "it says 2026-11-25 06:00 UTC, before the worker's last tick, 2026-11-25 06:59 UTC",
    ),
    "a clock nobody keeps": ({"in_step": False}, ["The clock can be trusted"], "no time service keeps it"),
    "a clock that jumped": (
        {"hold": hold(HoldReason.CLOCK)},
        ["The clock can be trusted", "Nothing is held"],
        "what was found",
    ),
    "an older database": ({"hold": hold(HoldReason.RESTORED)}, ["Nothing is held"], "what was found"),
    "no worker": ({"last_tick": None}, ["The worker runs"], "never seen"),
    "a worker that is gone": (
        {"last_tick": NOW - timedelta(minutes=2)},
        ["The worker runs"],
        "last seen 2026-11-25 06:58 UTC",
    ),
    "a gateway that is away": (
        {"health": Health(up=False, detail="nobody answers")},
        ["The gateway can be reached and may be used"],
        "http: nobody answers",
    ),
    "a gateway that may not be used": (
        {"refusals": ("One.", "Two.")},
        ["The gateway can be reached and may be used"],
        "One. Two.",
    ),
    "no emergency number": ({"emergency_number": ""}, ["An emergency number is set"], "none"),
    "texts to be read": (
        {"unread_texts": {"en": 0, "sw": 7}},
        ["All texts have been read by somebody who speaks the language"],
        "marked needs-review: 7 in sw",
    ),
    "a budget nobody chose": (
        {"cap_chosen": False},
        ["A daily budget was chosen"],
        "5000 parts a day, which nobody chose",
    ),
    "a hold nobody chose": (
        {"hold_days": 30, "hold_chosen": False},
        ["The days without picking after a spray whose label nobody knows were chosen"],
        "30 days, which nobody chose",
    ),
    "no backup tried": ({"proved_at": None}, ["A backup has been tried"], "never"),
    "a backup tried long ago": (
        {"proved_at": NOW - timedelta(days=91)},
        ["A backup has been tried"],
        "last on 2026-08-26",
    ),
    "a full disk": ({"free_mb": 63}, ["There is room on the disk"], "63 MB free, 64 MB wanted"),
}


@pytest.mark.parametrize(("given", "names", "found"), FAULTS.values(), ids=FAULTS)
def test_what_does_not_hold_is_named_with_what_was_found_and_what_to_do(
    given: dict[str, Any], names: list[str], found: str
) -> None:
    """One fault, and the points it is about; all others hold."""
    failing = [point for point in checklist(replace(GOOD, **given)) if not point.holds]

    assert names == [point.name for point in failing]
    assert found in failing[0].found
    assert all(point.to_do for point in failing)


def test_a_system_that_does_not_tell_is_believed() -> None:
    """Without systemd nobody says whether a time service runs: that alone keeps nobody from starting."""
    points = {point.name: point for point in checklist(replace(GOOD, in_step=None))}

    assert points["The clock can be trusted"].holds
    assert "the system does not tell" in points["The clock can be trusted"].found


def test_a_district_without_a_height_is_named_and_stops_nobody() -> None:
    """First fruit is told less well without it; how to tell it stands beside the name."""
    point = next(
        one
        for one in checklist(replace(GOOD, without_height=("Zaruvi",)))
        if one.name == "There is a district"
    )

    assert point.holds
    assert (
        "2; no height is known of Zaruvi (trussline district change NAME --elevation METRES)" == point.found
    )
