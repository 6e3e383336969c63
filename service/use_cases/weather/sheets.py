"""Files of weather: comma-separated values as RFC 4180 has them, a line a day or an hour.

The first line names the columns. Semicolons may stand for commas, and a comma for the decimal point, since
spreadsheets of many countries write files that way; a byte order mark is passed over.
"""

import csv
import io
from collections.abc import Iterator, Mapping, Sequence
from typing import Final

from service.core.errors import Refused
from service.use_cases.weather.figures import FIGURES, Span
from service.use_cases.weather.rows import Fault, Gathered, Origin, gather

# Below what Werkzeug keeps in memory, so that no file of somebody's lies about on the disk.
LARGEST_BYTES: Final = 384 * 1024
# A year of hours and some.
MOST_LINES: Final = 10_000
FAULTS_SHOWN: Final = 50


def decoded(data: bytes) -> str:
    """Return the text of a file.

    Raises:
        Refused: it is too large, or no UTF-8.
    """
    if len(data) > LARGEST_BYTES:
        raise Refused(f"The file is larger than {LARGEST_BYTES // 1024} kB: send it in parts.")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise Refused("The file is not in UTF-8: save it as CSV in UTF-8 and send it again.") from None


def read_sheet(text: str, origin: Origin) -> Gathered:
    """Read a file.

    Raises:
        Refused: its first line does not name the columns, or it is no file of this kind at all.
    """
    first = text.lstrip("\r\n").partition("\n")[0]
    cut = csv.reader(io.StringIO(text, newline=""), delimiter=";" if ";" in first else ",", strict=True)
    try:
        lines = [(cut.line_num, cells) for cells in cut if any(cell.strip() for cell in cells)]
    except csv.Error as error:
        raise Refused(f"The file cannot be cut into cells after line {cut.line_num}: {error}.") from error
    if len(lines) > MOST_LINES:
        raise Refused(f"The file has more than {MOST_LINES:,} lines: send it in parts.")
    if not lines:
        raise Refused("The file is empty: its first line names the columns, like day,tmin_c,tmax_c,rain_mm.")
    columns = tuple(cell.strip().casefold() for cell in lines[0][1])
    span = _span(columns)
    faults: list[Fault] = []
    found = gather(span, _cells(columns, lines[1:], faults), origin)
    return Gathered(
        days=found.days,
        hours=found.hours,
        faults=tuple(sorted((*found.faults, *faults), key=lambda fault: fault.line)),
    )


def _span(columns: Sequence[str]) -> Span:
    """Return what the lines are about.

    Raises:
        Refused: the names of the columns do not say.
    """
    span = next((one for one in Span if one in columns), None)
    if span is None:
        raise Refused("The first line has to name a column day, or a column hour; here it names neither.")
    known = (span.value, *(figure.column for figure in FIGURES[span]))
    odd = [name for name in columns if name not in known]
    twice = [name for name in columns if columns.count(name) > 1]
    wrong = (
        (odd, "There is no column “{}”: use "),
        (twice, "The column “{}” stands there twice: use once each of "),
        ([] if len(columns) > 1 else [span.value], "Beside “{}” nothing is told: add some of "),
    )
    for names, sentence in wrong:
        if names:
            raise Refused(f"{sentence.format(names[0])}{', '.join(known)}.")
    return span


def _cells(
    columns: Sequence[str], lines: Sequence[tuple[int, Sequence[str]]], faults: list[Fault]
) -> Iterator[tuple[int, Mapping[str, str]]]:
    """Give each line's cells their names; a line of another length is a fault."""
    for number, cells in lines:
        if len(cells) == len(columns):
            yield number, dict(zip(columns, cells, strict=True))
            continue
        sentence = f"it has {len(cells)} cells, and the first line names {len(columns)} columns: correct it."
        faults.append(Fault(line=number, sentence=sentence))
