"""A report as a file for a spreadsheet: comma-separated values as RFC 4180 has them.

A cell that a spreadsheet would take for a formula gets an apostrophe before it: names of places and programmes are
typed by people, and a file that reckons by itself can carry what is in it elsewhere (OWASP, "CSV Injection": cells that
begin with = + - @, a tab or a line end; from memory).
"""

import csv
import io
from collections.abc import Iterable, Iterator
from datetime import datetime
from typing import Final
from zoneinfo import ZoneInfo

from service.db.queries.reporting import DayPicked, Days
from service.web.report.figures import Section
from service.web.words import kilos

_FORMULA: Final = ("=", "+", "-", "@", "\t", "\r", "\n")
_HEADINGS: Final = ("from", "until", "district", "about", "figure", "value")


def sheet(
    found: Iterable[Section], picked: Iterable[DayPicked], *, days: Days, district: str, zone: str
) -> str:
    """Return the file: a line for each figure, with the instants its days begin and have ended at (ISO 8601)."""
    begins, ends = (_instant(one, zone) for one in (days.begins, days.ends))
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(_HEADINGS)
    for about, figure, value in _lines(found, picked):
        writer.writerow([safe(cell) for cell in (begins, ends, district, about, figure, value)])
    return out.getvalue()


def _lines(found: Iterable[Section], picked: Iterable[DayPicked]) -> Iterator[tuple[str, str, str]]:
    for section in found:
        for figure in section.figures:
            yield section.title, figure.name, _plain(figure.value)
            for name, value in figure.made_of:
                yield section.title, f"{figure.name}: {name}", _plain(value)
    for one in picked:
        yield "Kilos by day", one.day.isoformat(), _plain(kilos(one.grams))


def safe(cell: str) -> str:
    """Return a cell that no spreadsheet takes for a formula."""
    return f"'{cell}" if cell.startswith(_FORMULA) else cell


def _plain(value: str) -> str:
    """Return a number as machines read it, without the commas that people read it by."""
    return value.replace(",", "")


def _instant(instant: datetime, zone: str) -> str:
    return instant.astimezone(ZoneInfo(zone)).isoformat()
