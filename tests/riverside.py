"""A group whose fruit is collected: an officer, the group "Riverside", and its collection days in a village."""

from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta
from typing import Final
from zoneinfo import ZoneInfo

from service.core.collecting import Collection
from service.core.rights import Role
from service.core.staff import Officer
from service.use_cases.collecting.arranging import Plan, amend, change_day, keep_day, set_up
from service.use_cases.collecting.delivering import Brought, enter
from service.use_cases.spraying_by_officer import Deed
from tests.village import ZONE, Phone, Village

# The village's first day is Wednesday 25 November 2026.
SATURDAY: Final = date(2026, 11, 28)
TUESDAY: Final = date(2026, 12, 1)
PLAN: Final = Plan(
    place="Ketumali store", weekdays=frozenset({1, 5}), hour=10, first_on=SATURDAY, last_on=None
)


@dataclass
class Riverside:
    """The group and what its officer does."""

    village: Village
    officer: Officer = field(init=False)
    group_id: int = field(init=False)
    collection_id: int = 0

    def __post_init__(self) -> None:
        with self.village.database.work() as work:
            self.officer = work.staff.add_officer("Amina", Role.OFFICER, self.village.clock.now())
            ketumali = next(one.id for one in work.people.districts() if one.name == "Ketumali")
            work.staff.set_districts(self.officer.id, [ketumali])
            work.places.add_group(ketumali, "Riverside")
            self.group_id = work.places.groups(None)[0].id
            self.officer = work.staff.officer("Amina") or self.officer
            work.commit()

    @property
    def deed(self) -> Deed:
        """The officer at this moment."""
        now = self.village.clock.now()
        return Deed(officer=self.officer, on=self.village.today, now=now, real_now=now)

    @property
    def collection(self) -> Collection:
        """The group's collection as it stands."""
        with self.village.database.look() as work:
            found = work.collections.get(self.collection_id)
        assert found is not None
        return found

    def joins(self, *, name: str = "Neema", days_ago: int = 200, language: str = "en") -> Phone:
        """Let a farmer join and be put into the group."""
        phone = self.village.phone()
        phone.joins(name=name, days_ago=days_ago, language=language)
        with self.village.database.work() as work:
            work.people.set_farmer(self.farmer(name), group_id=self.group_id)
            work.commit()
        return phone

    def farmer(self, name: str) -> int:
        """Return a farmer's id."""
        found = self.village.row("SELECT id FROM farmer WHERE name = :name", name=name)["id"]
        assert isinstance(found, int)
        return found

    def is_collected(self, **other: object) -> None:
        """Set the group's collection on Tuesdays and Saturdays, but for what is told otherwise."""
        plan = replace(PLAN, **other)  # type: ignore[arg-type]
        with self.village.database.work() as work:
            self.collection_id = set_up(work, self.village.tools, self.deed, self.group_id, plan)

    def has_another(self, name: str) -> None:
        """Let another group of the district be collected at the same time."""
        with self.village.database.work() as work:
            district = next(iter(self.officer.districts or ()))
            work.places.add_group(district, name)
            other = next(one.id for one in work.places.groups(None) if one.name == name)
            set_up(work, self.village.tools, self.deed, other, PLAN)

    def brings(self, name: str, grams: int, price: int) -> None:
        """Let the clerk enter on the page what a farmer brought today."""
        brought = Brought(accepted_g=grams, rejected_g=0, reason=None, words="", price=price)
        with self.village.database.work() as work:
            enter(
                work,
                self.village.tools,
                self.deed,
                self.collection,
                self.village.today,
                farmer_id=self.farmer(name),
                brought=brought,
            )

    def amends(self, **other: object) -> None:
        """Change the collection."""
        plan = replace(PLAN, **other)  # type: ignore[arg-type]
        with self.village.database.work() as work:
            amend(work, self.village.tools, self.deed, self.collection, plan)

    def changes(self, day: date, moved_to: date | None = None) -> None:
        """Call a day off, or move it."""
        with self.village.database.work() as work:
            change_day(work, self.village.tools, self.deed, self.collection, day, moved_to=moved_to)

    def keeps(self, day: date) -> None:
        """Let a day be as it was planned."""
        with self.village.database.work() as work:
            keep_day(work, self.village.tools, self.deed, self.collection, day)


def until(village: Village, day: date, hour: int) -> None:
    """Let time pass to an hour of a day, the worker ticking at one, eight and six in the evening on the way."""
    end = datetime(day.year, day.month, day.day, hour, tzinfo=ZoneInfo(ZONE))
    while True:
        here = village.clock.now().astimezone(ZoneInfo(ZONE))
        stops = [here.replace(hour=each, minute=0, second=0, microsecond=0) for each in (1, 8, 18)]
        ahead = [stop if stop > here else stop + timedelta(days=1) for stop in stops]
        if min(ahead) >= end:
            break
        village.clock.set(min(ahead))
        village.work_through()
    village.clock.set(end)
    village.work_through()
