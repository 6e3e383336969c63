"""Reads and keeps the weather of districts; `service.core.weather_ports` says which of several figures holds."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from itertools import chain, groupby
from operator import attrgetter
from typing import Any, Final

from sqlalchemy import Connection, Row, Select, Table, insert, select, update

from service.core.weather_ports import Batch, DayWeather, HourWeather, ImportWay, NewBatch
from service.db.tables.people import district
from service.db.tables.staff import officer
from service.db.tables.weather import import_batch, weather_day, weather_hour


@dataclass(frozen=True, slots=True)
class _Group:
    """Figures that come from one row together: the best that has those which are wanted."""

    names: tuple[str, ...]
    wanted: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Figures:
    """The figures of a table: the column of each, and how many of its units make one of the figure's."""

    columns: Mapping[str, tuple[str, int]]
    groups: tuple[_Group, ...]

    def value(self, name: str, row: Row[Any]) -> float | None:
        """Return a figure of a row."""
        column, size = self.columns[name]
        value: int | None = getattr(row, column)
        return value if value is None or size == 1 else value / size

    def kept(self, one: DayWeather | HourWeather) -> dict[str, Any]:
        """Return the columns of one day or hour."""
        values = {column: (getattr(one, name), size) for name, (column, size) in self.columns.items()}
        return {
            "observed": one.observed,
            "issued_at": one.issued_at,
            **{
                column: None if value is None else round(value * size)
                for column, (value, size) in values.items()
            },
        }


def _alone(*names: str) -> tuple[_Group, ...]:
    return tuple(_Group((name,), (name,)) for name in names)


_DAY: Final = _Figures(
    columns={
        "tmin_c": ("tmin_tenths_c", 10),
        "tmax_c": ("tmax_tenths_c", 10),
        "rain_mm": ("rain_tenths_mm", 10),
        "wind_m_s": ("wind_tenths_m_s", 10),
        # Kept in tenths of hPa, of which ten make a kPa.
        "ea_kpa": ("vapour_tenths_hpa", 100),
        "humidity_percent": ("humidity_tenths_percent", 10),
        "radiation_mj_m2": ("radiation_tenths_mj_m2", 10),
    },
    groups=(
        _Group(("tmin_c", "tmax_c", "ea_kpa"), ("tmin_c", "tmax_c")),
        *_alone("rain_mm", "wind_m_s", "humidity_percent", "radiation_mj_m2"),
    ),
)
_HOUR: Final = _Figures(
    columns={
        "air_c": ("air_tenths_c", 10),
        "rain_mm": ("rain_tenths_mm", 10),
        "humidity_percent": ("humidity_tenths_percent", 10),
        "wet_minutes": ("wet_minutes", 1),
    },
    groups=_alone("air_c", "rain_mm", "humidity_percent", "wet_minutes"),
)


class Weather:
    """Reads what is known of the weather."""

    def __init__(self, connection: Connection) -> None:
        """Ask on `connection`."""
        self._connection = connection

    def between(self, district_id: int, first: date, last: date) -> Mapping[date, DayWeather]:
        """Return the days of which something is known, first and last included, in their order."""
        day = weather_day.c.day
        found = _standing(weather_day, district_id).where(day >= first, day <= last)
        return {
            on: DayWeather(**_merged(_DAY, tuple(rows)))
            for on, rows in groupby(
                self._connection.execute(found.order_by(day, *_best(weather_day))), attrgetter("day")
            )
        }

    def hours(self, district_id: int, since: datetime, until: datetime) -> Mapping[datetime, HourWeather]:
        """Return the hours that begin from `since` on and before `until`, by their beginning in UTC."""
        at = weather_hour.c.at
        found = _standing(weather_hour, district_id).where(at >= since, at < until)
        return {
            when: HourWeather(**_merged(_HOUR, tuple(rows)))
            for when, rows in groupby(
                self._connection.execute(found.order_by(at, *_best(weather_hour))), attrgetter("at")
            )
        }


class WeatherBatches:
    """Keeps batches of weather, and takes them back."""

    def __init__(self, connection: Connection) -> None:
        """Ask on `connection`."""
        self._connection = connection

    def keep(self, new: NewBatch) -> int:
        """Keep a batch; return its number."""
        values = {
            "district_id": new.district_id,
            "at": new.at,
            "officer_id": new.officer_id,
            "way": new.way.value,
            "file_name": new.file_name,
            "rows": len(new.days) + len(new.hours),
        }
        added = insert(import_batch).values(**values).returning(import_batch.c.id)
        batch_id: int = self._connection.execute(added).scalar_one()
        key = {"district_id": new.district_id, "batch_id": batch_id}
        days = [{**key, "day": on, **_DAY.kept(one)} for on, one in new.days.items()]
        hours = [{**key, "at": at, **_HOUR.kept(one)} for at, one in new.hours.items()]
        for table, rows in ((weather_day, days), (weather_hour, hours)):
            if rows:
                self._connection.execute(insert(table), rows)
        return batch_id

    def find(self, batch_id: int) -> Batch | None:
        """Return one batch."""
        row = self._connection.execute(_BATCHES.where(import_batch.c.id == batch_id)).first()
        return _batch(row) if row else None

    def latest(self, districts: Iterable[int] | None, limit: int) -> tuple[Batch, ...]:
        """Return the batches of these districts, None for all, the last ones first."""
        found = _BATCHES.order_by(import_batch.c.id.desc()).limit(limit)
        if districts is not None:
            found = found.where(import_batch.c.district_id.in_(sorted(districts)))
        return tuple(_batch(row) for row in self._connection.execute(found))

    def undo(self, batch_id: int, officer_id: int | None, at: datetime) -> bool:
        """Take a batch back; return whether it stood until now."""
        standing = update(import_batch).where(
            import_batch.c.id == batch_id, import_batch.c.undone_at.is_(None)
        )
        return self._connection.execute(standing.values(undone_at=at, undone_by=officer_id)).rowcount == 1


_BATCHES: Final[Select[Any]] = (
    select(
        import_batch.c.id,
        import_batch.c.district_id,
        district.c.name.label("district"),
        import_batch.c.at,
        officer.c.name.label("officer"),
        import_batch.c.way,
        import_batch.c.file_name,
        import_batch.c.rows,
        import_batch.c.undone_at,
    )
    .join(district, district.c.id == import_batch.c.district_id)
    .outerjoin(officer, officer.c.id == import_batch.c.officer_id)
)


def _standing(table: Table, district_id: int) -> Select[Any]:
    """Return a district's rows whose batch was not taken back."""
    return (
        select(table)
        .join(import_batch, import_batch.c.id == table.c.batch_id)
        .where(table.c.district_id == district_id, import_batch.c.undone_at.is_(None))
    )


def _best(table: Table) -> tuple[Any, ...]:
    return table.c.observed.desc(), table.c.issued_at.desc(), table.c.batch_id.desc()


def _merged(figures: _Figures, rows: Sequence[Row[Any]]) -> dict[str, Any]:
    """Choose each figure from rows that stand the best first, and tell where they come from."""
    chosen = {name: row for group in figures.groups for name, row in _chosen(figures, group, rows)}
    issued = [row.issued_at for row in chosen.values() if row.issued_at is not None]
    return {
        "observed": all(row.observed for row in chosen.values()),
        "issued_at": max(issued, default=None),
        **{name: figures.value(name, row) for name, row in chosen.items()},
    }


def _chosen(figures: _Figures, group: _Group, rows: Sequence[Row[Any]]) -> Iterator[tuple[str, Row[Any]]]:
    """Say from which row each figure of a group comes: the best that has what is wanted, else the best with any."""
    with_all = (row for row in rows if all(figures.value(name, row) is not None for name in group.wanted))
    with_any = (row for row in rows if any(figures.value(name, row) is not None for name in group.names))
    row = next(chain(with_all, with_any), None)
    if row is not None:
        yield from ((name, row) for name in group.names if figures.value(name, row) is not None)


def _batch(row: Row[Any]) -> Batch:
    values = dict(row._mapping)  # noqa: SLF001 - public, underlined so that no column hides it
    return Batch(**{**values, "way": ImportWay(values["way"])})
