"""Setting a group's collection, and calling a day of it off or moving it: farmers are told, and asked anew."""

from collections.abc import Set as AbstractSet
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final

from flows.alphabet import clip
from flows.collection_texts import EARLIEST, LATEST
from flows.wording import Phrase, Value
from service.agronomy.calendar import PICKING
from service.core.collecting import Collection
from service.core.columns import CollectionPlan
from service.core.errors import Refused
from service.core.ports import Work
from service.use_cases.audit import note
from service.use_cases.collecting.announcing import News, tell
from service.use_cases.collecting.following import ask_on, follow
from service.use_cases.planting import mask_of
from service.use_cases.spraying_by_officer import Deed
from service.use_cases.tools import Tools

LONGEST_PLACE: Final = 24
# More would need more texts a week than farmers have agreed to.
MOST_DAYS: Final = 3
# A day is moved within the weeks around it.
MOVED_WITHIN: Final = timedelta(days=14)
_CHANGED: Final = "the collection was changed"
_DAY: Final = timedelta(days=1)


@dataclass(frozen=True, kw_only=True, slots=True)
class Plan:
    """How a group's fruit is to be collected; see `service.core.collecting.Collection`."""

    place: str
    weekdays: frozenset[int]
    hour: int
    first_on: date
    last_on: date | None


def set_up(work: Work, tools: Tools, deed: Deed, group_id: int, plan: Plan) -> int:
    """Let a group's fruit be collected, and return the collection's id; its farmers are asked the evening before.

    Raises:
        Refused: the plan cannot be, or the group has a collection at that time.
    """
    _check(plan)
    if plan.first_on < deed.on:
        raise Refused("The first day has passed already: choose one from today on.")
    if any(_meets(one, plan) for one in work.collections.of_group(group_id)):
        raise Refused("This group has a collection at that time already: change that one, or end it first.")
    collection_id = work.collections.add(
        group_id=group_id, officer_id=deed.officer.id, at=deed.now, **_columns(plan)
    )
    collection = _the(work, collection_id)
    _take_effect(work, tools, deed, collection)
    note(work, deed.officer, "collection.set", _subject(collection), _told(plan), at=deed.real_now)
    work.commit()
    return collection_id


def amend(work: Work, tools: Tools, deed: Deed, collection: Collection, plan: Plan) -> None:
    """Give a collection another place, hour, weekdays or end; its first day stays once it has passed.

    Raises:
        Refused: the plan cannot be.
    """
    _check(plan)
    moved = plan.first_on != collection.first_on
    if moved and min(plan.first_on, collection.first_on) < deed.on:
        raise Refused("The first day has passed and stays as it was: correct the others.")
    work.collections.set(collection.id, **_columns(plan))
    _take_effect(work, tools, deed, _the(work, collection.id))
    note(work, deed.officer, "collection.amended", _subject(collection), _told(plan), at=deed.real_now)
    work.commit()


def change_day(
    work: Work, tools: Tools, deed: Deed, collection: Collection, day: date, *, moved_to: date | None
) -> None:
    """Call a day off, or hold it on another; done twice it is done once. Farmers whose plants bear are told.

    Raises:
        Refused: it is no coming day of the collection, or the other day cannot be.
    """
    if not collection.is_planned(day) or day < deed.on:
        raise Refused("Choose a coming day of this collection.")
    if day in collection.changes and collection.changes[day] == moved_to:
        return
    if moved_to is not None:
        _check_moved(collection, deed.on, day, moved_to)
    work.collections.change(collection.id, day, moved_to, officer_id=deed.officer.id, at=deed.now)
    changed = _the(work, collection.id)
    _call_off_question(work, tools, deed, changed, {day, moved_to})
    if moved_to is None:
        tell(work, tools, deed, changed, News(plain=_off(changed, day), until=day))
    else:
        there: dict[str, Value] = {"date": day, "date_next": moved_to, **_where(changed)}
        news = News(
            plain=Phrase("collection_moved", there),
            until=min(day, moved_to),
            asks=Phrase("collection_moved_ask", there),
            on=moved_to,
        )
        tell(work, tools, deed, changed, news)
    told = {"day": day, "moved_to": moved_to}
    note(work, deed.officer, "collection.day_changed", _subject(collection), told, at=deed.real_now)
    work.commit()


def keep_day(work: Work, tools: Tools, deed: Deed, collection: Collection, day: date) -> None:
    """Let a day be as it was planned after all; done twice it is done once. Farmers whose plants bear are told.

    Raises:
        Refused: the day has passed.
    """
    if day < deed.on:
        raise Refused("That day has passed: nothing can be changed of it any more.")
    if day not in collection.changes:
        return
    moved_to = collection.changes[day]
    work.collections.keep_day(collection.id, day)
    changed = _the(work, collection.id)
    _call_off_question(work, tools, deed, changed, {day, moved_to})
    there: dict[str, Value] = {"date": day, **_where(changed)}
    news = News(
        plain=Phrase("collection_again", there), until=day, asks=Phrase("collection_ask", there), on=day
    )
    tell(work, tools, deed, changed, news)
    note(work, deed.officer, "collection.day_kept", _subject(collection), {"day": day}, at=deed.real_now)
    work.commit()


def _check(plan: Plan) -> None:
    place = " ".join(plan.place.split())
    if not place or clip(place, at_most=LONGEST_PLACE) != place:
        raise Refused(f"Write the place in 1 to {LONGEST_PLACE} plain letters, as farmers know it.")
    if not 1 <= len(plan.weekdays) <= MOST_DAYS:
        raise Refused(f"Choose one to {MOST_DAYS} weekdays: farmers are promised at most three texts a week.")
    if not EARLIEST <= plan.hour <= LATEST:
        raise Refused(f"Choose an hour from {EARLIEST} to {LATEST}.")
    if plan.last_on is not None and plan.last_on < plan.first_on:
        raise Refused("The last day lies before the first one: correct one of them.")


def _check_moved(collection: Collection, on: date, day: date, moved_to: date) -> None:
    if moved_to < on or abs(moved_to - day) > MOVED_WITHIN:
        raise Refused(f"Move it to a coming day, at most {MOVED_WITHIN.days} days away.")
    if collection.is_on(moved_to) or moved_to == day:
        raise Refused("Fruit is collected on that day already: choose another one.")


def _meets(one: Collection, plan: Plan) -> bool:
    ends_before = one.last_on is not None and one.last_on < plan.first_on
    begins_after = plan.last_on is not None and plan.last_on < one.first_on
    return not ends_before and not begins_after


def _columns(plan: Plan) -> CollectionPlan:
    return {
        "place": " ".join(plan.place.split()),
        "weekdays": mask_of(plan.weekdays),
        "hour": plan.hour,
        "first_on": plan.first_on,
        "last_on": plan.last_on,
    }


def _told(plan: Plan) -> dict[str, object]:
    return {
        "place": plan.place,
        "weekdays": sorted(plan.weekdays),
        "hour": plan.hour,
        "first_on": plan.first_on,
        "last_on": plan.last_on,
    }


def _the(work: Work, collection_id: int) -> Collection:
    found = work.collections.get(collection_id)
    if found is None:
        raise LookupError(f"collection {collection_id} is gone in the transaction that keeps it")
    return found


def _subject(collection: Collection) -> str:
    return f"collection:{collection.id}"


def _where(collection: Collection) -> dict[str, Value]:
    return {"time": Phrase(f"hour.{collection.hour}"), "where": collection.place}


def _off(collection: Collection, day: date) -> Phrase:
    """Return what is said of a day that is called off, with the next one where one is in sight."""
    following = collection.next_on(day + _DAY)
    gone: dict[str, Value] = {"date": day, "where": collection.place}
    if following is None:
        return Phrase("collection_off_last", gone)
    return Phrase("collection_off", {**gone, "date_next": following})


def _take_effect(work: Work, tools: Tools, deed: Deed, collection: Collection) -> None:
    """Let plots follow a collection that was set, and have tomorrow asked about where fruit is collected then."""
    follow(work, collection.zone, deed.on)
    _call_off_question(work, tools, deed, collection, {deed.on + _DAY})
    if collection.is_on(deed.on + _DAY):
        ask_on(work, tools.calendar, collection, deed.on)


def _call_off_question(
    work: Work, tools: Tools, deed: Deed, collection: Collection, days: AbstractSet[date | None]
) -> None:
    """Where one of these days is tomorrow, write today's text anew that asks about it and has not left."""
    plots = [plot.id for plot in work.collections.plots(collection.id)]
    if deed.on + _DAY in days and plots:
        work.sprays.call_off(plots, [PICKING], _CHANGED, deed.now)
        work.planning.merge_again(collection.zone, tools.calendar.id, deed.on)
