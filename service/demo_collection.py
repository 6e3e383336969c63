"""A collection in the demo: its group's farmers are asked the evening before, bring fruit, are told of it and paid.

Nothing is written past the use cases: what the pages show was entered, texted and paid as by an officer and a clerk.
"""

from collections.abc import Callable, Iterator
from datetime import datetime, timedelta
from functools import partial
from typing import Final

from service.bootstrap import House
from service.clock import local_day, local_instant
from service.core.collecting import Collection, WhyRejected
from service.core.phone import PhoneNumber
from service.core.rights import Role
from service.core.staff import Officer
from service.db.work import Work
from service.demo_data import FARMERS, REGION, ZONE, DemoFarmer, number
from service.demo_played import DemoDeed, DemoText, Played
from service.use_cases.collecting.arranging import Plan, set_up
from service.use_cases.collecting.delivering import Brought, enter
from service.use_cases.collecting.paying import pay
from service.use_cases.spraying_by_officer import Deed

DISTRICT: Final = "Zaruvi"
GROUP: Final = "Zaruvi hill"
OFFICER: Final = "Officer Tulia"
CLERK: Final = "Clerk Pili"
PRICE: Final = 2_500
_MEMBERS: Final = tuple(one for one in FARMERS if one.name in {"Salim", "Mwajuma", "Neema"})
# Days before the demo begins on which fruit came: what was said the evening before, what was accepted and what not.
_DAYS: Final = (
    (4, {"Salim": ("ESTIMATE 11", 10_500, 500), "Mwajuma": ("KADIRIO 4", 4_200, 0)}),
    (1, {"Salim": ("ESTIMATE 12", 12_000, 0), "Mwajuma": ("KADIRIO 4.5", 3_800, 400)}),
)

Texting = Callable[[DemoFarmer, datetime, str], DemoText]


def collection_deeds(begin: datetime, text: Texting) -> Iterator[Played]:
    """Yield all that happened at the collection before the instant at which the demo begins."""
    today = local_day(begin, ZONE)
    days = [today - timedelta(days=back) for back, _ in _DAYS]
    # The demo's own day is one as well: from the last of these to it goes a week and a half.
    weekdays = frozenset(day.weekday() for day in days)
    plan = Plan(place="Zaruvi store", weekdays=weekdays, hour=10, first_on=days[0], last_on=None)
    yield DemoDeed(at=local_instant(days[0] - timedelta(days=2), 9, ZONE), do=partial(_set_up, plan=plan))
    for place, (day, (_, brought)) in enumerate(zip(days, _DAYS, strict=True)):
        evening = local_instant(day - timedelta(days=1), 18, ZONE)
        yield DemoDeed(at=evening + timedelta(minutes=5), do=_nothing)
        for minute, (name, (words, accepted, rejected)) in enumerate(brought.items(), 20):
            farmer = next(one for one in _MEMBERS if one.name == name)
            yield text(farmer, evening + timedelta(minutes=minute), words)
            came = Brought(
                accepted_g=accepted,
                rejected_g=rejected,
                reason=WhyRejected.UNRIPE if rejected else None,
                words="",
                price=PRICE,
            )
            at = local_instant(day, 10, ZONE) + timedelta(minutes=minute)
            yield DemoDeed(at=at, do=partial(_enter, farmer=farmer, brought=came))
        yield DemoDeed(at=local_instant(day, 12, ZONE), do=_nothing)
        # Of the last day one farmer's money is still owed.
        paid = list(brought) if place == 0 else ["Salim"]
        yield DemoDeed(at=local_instant(day, 16, ZONE), do=partial(_pay, names=paid))


def _nothing(_house: House, _at: datetime) -> None:
    """Let what waits be sent."""


def _set_up(house: House, at: datetime, *, plan: Plan) -> None:
    with house.database.work() as work:
        district = next(one.id for one in work.people.districts() if one.name == DISTRICT)
        for name, role in ((OFFICER, Role.OFFICER), (CLERK, Role.CLERK)):
            added = work.staff.add_officer(name, role, at)
            work.staff.set_districts(added.id, [district])
        work.places.add_group(district, GROUP)
        group = next(one.id for one in work.places.groups(None) if one.name == GROUP)
        for farmer in _MEMBERS:
            work.people.set_farmer(_id_of(work, farmer), group_id=group)
        set_up(work, house.tools, _deed(work, OFFICER, at), group, plan)


def _enter(house: House, at: datetime, *, farmer: DemoFarmer, brought: Brought) -> None:
    with house.database.work() as work:
        deed = _deed(work, CLERK, at)
        enter(
            work,
            house.tools,
            deed,
            _the_collection(work),
            deed.on,
            farmer_id=_id_of(work, farmer),
            brought=brought,
        )


def _pay(house: House, at: datetime, *, names: list[str]) -> None:
    with house.database.work() as work:
        deed, collection = _deed(work, OFFICER, at), _the_collection(work)
        farmers = (_id_of(work, one) for one in _MEMBERS if one.name in names)
        owed = (work.deliveries.of(collection.id, deed.on, one) for one in farmers)
        pay(work, house.tools, deed, [one for one in owed if one is not None])


def _the_collection(work: Work) -> Collection:
    return work.collections.of_zone(ZONE)[0]


def _deed(work: Work, name: str, at: datetime) -> Deed:
    return Deed(officer=_officer(work, name), on=local_day(at, ZONE), now=at, real_now=at)


def _officer(work: Work, name: str) -> Officer:
    found = work.staff.officer(name)
    if found is None:
        raise LookupError(f"{name} is added before anything is done in that name")
    return found


def _id_of(work: Work, farmer: DemoFarmer) -> int:
    phone_id = work.people.find_phone(PhoneNumber(number(farmer.phone), REGION))
    theirs = () if phone_id is None else work.people.on_phone(phone_id)
    return next(one.id for one in theirs if one.name == farmer.name)
