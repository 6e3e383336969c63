"""Which days a collection is on."""

from dataclasses import replace
from datetime import date, timedelta
from typing import Final

from service.core.collecting import Collection

MONDAY: Final = date(2026, 11, 30)
THURSDAY: Final = MONDAY + timedelta(days=3)
EVERY: Final = Collection(
    id=1,
    group_id=1,
    group="Riverside",
    district_id=1,
    district="Ketumali",
    zone="Africa/Dar_es_Salaam",
    place="Store",
    weekdays=frozenset({0, 3}),
    hour=10,
    first_on=MONDAY,
    last_on=MONDAY + timedelta(days=13),
)


def test_the_weekdays_hold_from_the_first_day_to_the_last() -> None:
    """Two weeks of Mondays and Thursdays, and nothing before or after."""
    days = list(EVERY.days(MONDAY - timedelta(days=7), MONDAY + timedelta(days=28)))

    assert [MONDAY + timedelta(days=step) for step in (0, 3, 7, 10)] == days


def test_a_day_is_called_off_or_held_on_another() -> None:
    """The moved day is one of the collection, whatever its weekday; the next one after it stays."""
    tuesday = MONDAY + timedelta(days=1)
    changed = replace(EVERY, changes={MONDAY: tuesday, THURSDAY: None})

    assert [tuesday, MONDAY + timedelta(days=7)] == list(changed.days(MONDAY, MONDAY + timedelta(days=9)))
    assert MONDAY + timedelta(days=7) == changed.next_on(THURSDAY)
    assert changed.is_planned(MONDAY)


def test_the_evenings_before_are_asked_on_and_lead_from_the_first_to_the_last() -> None:
    """Sunday and Wednesday; on the last day itself nobody is asked in the morning either."""
    leads = [day for day in range(-3, 16) if EVERY.leads(MONDAY + timedelta(days=day))]

    assert frozenset({6, 2}) == EVERY.eves
    assert list(range(-1, 14)) == leads


def test_of_a_collection_that_is_over_no_day_is_in_sight() -> None:
    """Nor of one of which every day was called off."""
    assert EVERY.next_on(MONDAY + timedelta(days=14)) is None
