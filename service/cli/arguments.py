"""What is typed behind a command, read into values; a slip is answered with what to write instead."""

from datetime import date, datetime
from typing import Final

import click

WEEKDAYS: Final = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")


class Day(click.ParamType[date]):
    """A calendar day as ISO 8601 writes it."""

    name = "date"

    def convert(self, value: object, param: click.Parameter | None, ctx: click.Context | None) -> date:
        """Return the day that was written."""
        if isinstance(value, date):
            return value
        try:
            return date.fromisoformat(str(value))
        except ValueError:
            self.fail(f"{value!r} is no date: write it like 2026-03-25.", param, ctx)


class Moment(click.ParamType[datetime]):
    """A local date and time of day as ISO 8601 writes it, without a zone."""

    name = "time"

    def convert(self, value: object, param: click.Parameter | None, ctx: click.Context | None) -> datetime:
        """Return the moment that was written."""
        if isinstance(value, datetime):
            return value
        try:
            return datetime.strptime(str(value), "%Y-%m-%dT%H:%M")  # noqa: DTZ007 - the programme's zone is put on it
        except ValueError:
            self.fail(f"{value!r} is no time: write it like 2026-03-25T17:30.", param, ctx)


class Weekday(click.ParamType[int]):
    """A weekday in English; Monday is 0."""

    name = "weekday"

    def convert(self, value: object, param: click.Parameter | None, ctx: click.Context | None) -> int:
        """Return the weekday's number."""
        if isinstance(value, int):
            return value
        try:
            return WEEKDAYS.index(str(value).casefold()[:3])
        except ValueError:
            self.fail(f"{value!r} is no weekday: write one of {', '.join(WEEKDAYS)}.", param, ctx)


DAY: Final = Day()
MOMENT: Final = Moment()
WEEKDAY: Final = Weekday()
PORT: Final = click.IntRange(1, 65535)
ANY_PORT: Final = click.IntRange(0, 65535)
LIKELIHOOD: Final = click.FloatRange(0, 1)
