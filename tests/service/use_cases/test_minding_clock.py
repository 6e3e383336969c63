from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta

import pytest

from service.clock import BootClock, Pulse
from service.use_cases.minding_clock import mind_clock

LAST = datetime(2026, 11, 25, 7, 0, tzinfo=UTC)
UP = 1000.0


@dataclass
class Kept:
    """Settings in memory."""

    values: dict[str, str] = field(default_factory=dict)

    def setting(self, name: str) -> str | None:
        """Return a setting."""
        return self.values.get(name)

    def put_setting(self, name: str, value: str) -> None:
        """Keep a setting."""
        self.values[name] = value


def said(*, clock: timedelta, steady: timedelta, boot: str = "one") -> str | None:
    """Return what the second of two looks says: how far either clock has come since the first."""
    kept = Kept()
    assert mind_clock(kept, LAST, Pulse(boot="one", seconds=UP)) is None
    return mind_clock(kept, LAST + clock, Pulse(boot=boot, seconds=UP + steady.total_seconds()))


HALF_MINUTE = timedelta(seconds=30)
YEAR = timedelta(days=365)


@pytest.mark.parametrize(
    ("clock", "steady"),
    [
        (HALF_MINUTE, HALF_MINUTE),
        (timedelta(days=3), timedelta(days=3)),
        (HALF_MINUTE + timedelta(minutes=4), HALF_MINUTE),
        (HALF_MINUTE - timedelta(minutes=4), HALF_MINUTE),
    ],
    ids=["a tick", "three days asleep", "slewed forward", "slewed back"],
)
def test_a_clock_that_goes_as_the_steady_one_is_trusted(clock: timedelta, steady: timedelta) -> None:
    """Time that has really passed is no jump, nor are the minutes a time service moves a clock by."""
    assert said(clock=clock, steady=steady) is None


@pytest.mark.parametrize(
    ("clock", "sentence"),
    [
        (YEAR, "The clock was put forward by 365 days at about 2027-11-25 07:00 UTC."),
        (-YEAR, "The clock was put back by 365 days at about 2025-11-25 07:00 UTC."),
        (timedelta(minutes=6), "The clock was put forward by 6 minutes at about 2026-11-25 07:06 UTC."),
        (timedelta(hours=3), "The clock was put forward by 3 hours at about 2026-11-25 10:00 UTC."),
    ],
    ids=["a year on", "a year back", "six minutes", "three hours"],
)
def test_a_jump_is_told_with_its_size(clock: timedelta, sentence: str) -> None:
    """More than five minutes against the steady clock, either way."""
    assert sentence == said(clock=clock, steady=HALF_MINUTE)


@pytest.mark.parametrize(
    ("clock", "sentence"),
    [
        (timedelta(days=3), None),
        (timedelta(days=31), None),
        (
            timedelta(days=32),
            "The clock says 2026-12-27 07:00 UTC, 32 days after the last time this service ran.",
        ),
        (-timedelta(minutes=4), None),
        (
            -timedelta(minutes=6),
            "The clock says 2026-11-25 06:54 UTC, which is before the last time this service ran, 2026-11-25 07:00 UTC.",
        ),
    ],
    ids=["three days off", "a month off", "longer", "four minutes back", "six minutes back"],
)
def test_after_a_restart_of_the_machine_a_step_back_or_a_far_one_tells(
    clock: timedelta, sentence: str | None
) -> None:
    """The steady clock has begun anew: only what cannot be an outage is a jump."""
    assert sentence == said(clock=clock, steady=-timedelta(seconds=900), boot="two")


def test_the_machines_own_steady_clock_only_goes_forward() -> None:
    """Two looks in one process are of one boot, the second no earlier."""
    first, second = BootClock().pulse(), BootClock().pulse()

    assert first.boot == second.boot
    assert first.seconds <= second.seconds
