"""The register of farmers: searched, filtered, a page at a time."""

from collections.abc import Iterable
from datetime import datetime
from typing import Any, Final, TypeVar

from rapidfuzz.distance import OSA
from sqlalchemy import ColumnElement, Connection, Executable, Select, Table, and_, func, literal, or_, select

from flows.facts import FarmerState
from service.core.folding import folded
from service.core.model import HarvestState
from service.db.queries.console_values import FarmerLine, FarmerPage, Holder, PlotLine, Search
from service.db.tables.meta import Instant
from service.db.tables.people import district, farmer, farmer_group, farmer_phone, phone, village
from service.db.tables.plots import harvest, plot

# With fewer letters one that is wrong makes another name.
_SHORTEST_NEAR: Final = 4
_MOST_NEAR: Final = 500
_HERE: Final = farmer.c.state != FarmerState.ERASED

Value = TypeVar("Value")


class Register:
    """Reads the register of one officer."""

    def __init__(self, connection: Connection, theirs: ColumnElement[bool]) -> None:
        """Read in an open transaction what meets the condition `theirs`."""
        self._connection = connection
        self._theirs = theirs

    def page(self, search: Search) -> FarmerPage:
        """Return one page of the farmers that are looked for, by name; pages count from 1."""
        words = [self._fits(word) for word in search.words]
        return self._page(search, and_(_HERE, self._theirs, *words, *_conditions(search)))

    def near(self, search: Search) -> FarmerPage:
        """Return the first of those whose names have each word but for one letter, for where nobody has it whole.

        One slip leaves either half of a word whole, so the database finds them by halves; a few hundred are looked at.
        """
        if not search.words or min(map(len, search.words)) < _SHORTEST_NEAR:
            return FarmerPage(lines=(), total=0)
        halves = [
            or_(*(farmer.c.sought.contains(half, autoescape=True) for half in _halves(word)))
            for word in search.words
        ]
        wanted = and_(_HERE, self._theirs, *halves, *_conditions(search))
        found = select(farmer.c.id, farmer.c.sought).where(wanted).order_by(farmer.c.name).limit(_MOST_NEAR)
        ids = [row.id for row in self._connection.execute(found) if _is_near(search.words, row.sought)]
        return self._page(search, farmer.c.id.in_(ids[: search.size]))

    def _page(self, search: Search, wanted: ColumnElement[bool]) -> FarmerPage:
        found = (
            select(
                farmer.c.id,
                farmer.c.name,
                farmer.c.state,
                farmer.c.language,
                district.c.name.label("district"),
                village.c.name.label("village"),
                farmer_group.c.name.label("group"),
            )
            .join(district, district.c.id == farmer.c.district_id)
            .outerjoin(village, village.c.id == farmer.c.village_id)
            .outerjoin(farmer_group, farmer_group.c.id == farmer.c.group_id)
            .where(wanted)
            .order_by(farmer.c.name, farmer.c.id)
            .limit(search.size)
            .offset((search.page - 1) * search.size)
        )
        rows = [dict(row) for row in self._connection.execute(found).mappings()]
        plots = self._plots_of([row["id"] for row in rows])
        lines = tuple(
            FarmerLine(**row, plots=tuple(line for line in plots if line.farmer_id == row["id"]))
            for row in rows
        )
        total = self._connection.execute(select(func.count()).select_from(farmer).where(wanted))
        return FarmerPage(lines=lines, total=total.scalar_one())

    def on_phone(self, phone_id: int) -> tuple[Holder, ...]:
        """Return the farmers here whom a phone speaks for, by name."""
        theirs = select(farmer_phone.c.farmer_id).where(
            farmer_phone.c.phone_id == phone_id, farmer_phone.c.until.is_(None)
        )
        found = (
            select(
                farmer.c.id,
                farmer.c.name,
                village.c.name.label("village"),
                district.c.name.label("district"),
            )
            .join(district, district.c.id == farmer.c.district_id)
            .outerjoin(village, village.c.id == farmer.c.village_id)
            .where(_HERE, self._theirs, farmer.c.id.in_(theirs))
            .order_by(farmer.c.name, farmer.c.id)
        )
        return self._all(Holder, found)

    def _fits(self, word: str) -> ColumnElement[bool]:
        """Return the condition that a word is a part of the farmer's name, or of where they live."""
        places = (
            (village, farmer.c.village_id),
            (farmer_group, farmer.c.group_id),
            (district, farmer.c.district_id),
        )
        here = [column.in_(self._named(table, word)) for table, column in places]
        return or_(farmer.c.sought.contains(word, autoescape=True), *here)

    def _named(self, table: Table, word: str) -> list[int]:
        """Return the places with a word in their name; there are few, so they are looked through here."""
        rows = self._connection.execute(select(table.c.id, table.c.name))
        return [row.id for row in rows if word in folded(row.name)]

    def _plots_of(self, farmer_ids: Iterable[int]) -> tuple[PlotLine, ...]:
        """Return the plots of some farmers, the newest first, each with its last counted weight."""
        newest = (
            select(
                harvest.c.plot_id,
                harvest.c.picked_on,
                harvest.c.grams,
                func.row_number()
                .over(
                    partition_by=harvest.c.plot_id, order_by=(harvest.c.picked_on.desc(), harvest.c.id.desc())
                )
                .label("place"),
            )
            .join(plot, plot.c.id == harvest.c.plot_id)
            .where(harvest.c.state == HarvestState.COUNTED, plot.c.farmer_id.in_(farmer_ids))
            .subquery()
        )
        found = (
            select(
                plot.c.id,
                plot.c.farmer_id,
                plot.c.planted_on,
                plot.c.plants,
                plot.c.live,
                newest.c.grams.label("last_grams"),
                newest.c.picked_on.label("last_picked_on"),
            )
            .outerjoin(newest, and_(newest.c.plot_id == plot.c.id, newest.c.place == 1))
            .where(plot.c.farmer_id.in_(farmer_ids))
            .order_by(plot.c.live.desc(), plot.c.planted_on.desc(), plot.c.id.desc())
        )
        return self._all(PlotLine, found)

    def _all(self, kind: type[Value], statement: Executable) -> tuple[Value, ...]:
        return tuple(kind(**row) for row in self._connection.execute(statement).mappings())


def _halves(word: str) -> tuple[str, str]:
    middle = len(word) // 2
    return word[:middle], word[middle:]


def _is_near(words: Iterable[str], name: str) -> bool:
    return all(any(OSA.distance(word, part, score_cutoff=1) <= 1 for part in name.split()) for word in words)


def _conditions(search: Search) -> list[ColumnElement[bool]]:
    """Return what each filter that is set asks of a farmer."""
    given = (
        (search.ends, farmer.c.id.in_(_on_phone(search.ends))),
        (search.district, farmer.c.district_id == search.district),
        (search.village, farmer.c.village_id == search.village),
        (search.group, farmer.c.group_id == search.group),
        (search.state, farmer.c.state == search.state),
        (search.paused_at is not None, _resting(search.paused_at)),
        (search.language, farmer.c.language == search.language),
        (search.planted is not None, farmer.c.id.in_(_planted(search))),
    )
    return [condition for is_set, condition in given if is_set]


def _resting(at: datetime | None) -> ColumnElement[bool]:
    return and_(farmer.c.state == FarmerState.ACTIVE, farmer.c.paused_until > literal(at, Instant))


def _on_phone(ends: str) -> Select[Any]:
    return (
        select(farmer_phone.c.farmer_id)
        .join(phone, phone.c.id == farmer_phone.c.phone_id)
        .where(phone.c.last3.endswith(ends, autoescape=True), farmer_phone.c.until.is_(None))
    )


def _planted(search: Search) -> Select[Any]:
    """Return whose open plots were planted in the days asked for, both included; None leaves an end open."""
    first, last = search.planted or (None, None)
    ends = []
    if first is not None:
        ends.append(plot.c.planted_on >= first)
    if last is not None:
        ends.append(plot.c.planted_on <= last)
    return select(plot.c.farmer_id).where(plot.c.closed_on.is_(None), *ends)
