"""Files of weather as spreadsheets write them, and what is said about lines that cannot be taken."""

from datetime import UTC, date, datetime
from typing import Final

import pytest

from service.core.errors import Refused
from service.core.weather_ports import DayWeather, HourWeather
from service.use_cases.weather.figures import Span, told
from service.use_cases.weather.rows import Gathered, Origin
from service.use_cases.weather.sheets import LARGEST_BYTES, MOST_LINES, decoded, read_sheet

# 28 November 2026, noon in Dar es Salaam.
NOW: Final = datetime(2026, 11, 28, 9, 0, tzinfo=UTC)
MEASURED: Final = Origin(zone="Africa/Dar_es_Salaam", now=NOW)
ISSUED: Final = datetime(2026, 11, 28, 3, 0, tzinfo=UTC)
FORECAST: Final = Origin(zone="Africa/Dar_es_Salaam", now=NOW, issued_at=ISSUED)
DAY: Final = date(2026, 11, 27)


def said(text: str, origin: Origin = MEASURED) -> list[str]:
    """Return what is wrong with a file, line by line."""
    return [str(fault) for fault in read_sheet(text, origin).faults]


@pytest.mark.parametrize(
    "text",
    [
        pytest.param("day,tmin_c,tmax_c,rain_mm\r\n2026-11-27,1.4,21,0\r\n", id="as RFC 4180 has it"),
        pytest.param("day;tmin_c;tmax_c;rain_mm\n2026-11-27;1,4;21;0\n", id="semicolons, decimal commas"),
        pytest.param('day,tmin_c,tmax_c,rain_mm\n2026-11-27,"1,4","21,0",0', id="quoted decimal commas"),
        pytest.param(
            "\n Rain_mm , DAY ,tmax_c,tmin_c\n\n0, 2026-11-27 ,+21.0,1.40\n,,,\n", id="any order, gaps"
        ),
    ],
)
def test_a_file_may_be_written_in_several_ways(text: str) -> None:
    """Whatever the spreadsheet's country, and with or without a byte order mark."""
    expected = DayWeather(observed=True, tmin_c=1.4, tmax_c=21.0, rain_mm=0.0)

    for data in (text.encode(), b"\xef\xbb\xbf" + text.encode()):
        assert Gathered(days={DAY: expected}, hours={}, faults=()) == read_sheet(decoded(data), MEASURED)


def test_every_column_has_its_place() -> None:
    """Vapour comes in hPa and is handed on in kPa, as FAO-56 reckons with it; the rest stays as it is."""
    columns = "day,tmin_c,tmax_c,rain_mm,wind_m_s,vapour_hpa,humidity_percent,radiation_mj_m2"
    (day,) = read_sheet(f"{columns}\n2026-11-27,9,21.5,12.7,1.9,12.3,81,18.2", MEASURED).days.values()

    assert (
        DayWeather(
            observed=True,
            tmin_c=9.0,
            tmax_c=21.5,
            rain_mm=12.7,
            wind_m_s=1.9,
            ea_kpa=1.23,
            humidity_percent=81.0,
            radiation_mj_m2=18.2,
        )
        == day
    )
    words = "lowest 9 °C, highest 21.5 °C, rain 12.7 mm, wind 1.9 m/s, vapour 12.3 hPa, humidity 81 %"
    assert f"{words}, radiation 18.2 MJ/m2" == told(Span.DAY, day)


def test_hours_are_of_the_districts_zone() -> None:
    """An hour without a zone is the district's, one with a zone its own; both become one moment."""
    sheet = "hour,air_c,wet_minutes\n2026-11-28T05:00,15.2,60\n2026-11-28T03:00+00:00,15.0,\n"

    assert {
        datetime(2026, 11, 28, 2, 0, tzinfo=UTC): HourWeather(observed=True, air_c=15.2, wet_minutes=60),
        datetime(2026, 11, 28, 3, 0, tzinfo=UTC): HourWeather(observed=True, air_c=15.0),
    } == read_sheet(sheet, MEASURED).hours


def test_a_forecast_is_for_days_to_come() -> None:
    """Each day keeps when it was forecast."""
    found = read_sheet("day,tmin_c\n2026-11-28,4\n2026-11-29,1.4", FORECAST)

    assert [
        DayWeather(observed=False, issued_at=ISSUED, tmin_c=4.0),
        DayWeather(observed=False, issued_at=ISSUED, tmin_c=1.4),
    ] == list(found.days.values())


def test_all_faults_are_told_at_once() -> None:
    """Line by line, each with what to do; the lines that can be taken are read all the same."""
    found = read_sheet(
        "day,tmin_c,tmax_c\n"
        "2026-11-20,9,21\n"
        "2026-11-21,9;21\n"
        "2026-11-22,warm,21\n"
        "2026-11-23,9,210\n"
        "2026-11-24,21,9\n"
        "24/11/2026,9,21\n"
        "2026-11-20,8,20\n"
        "2026-11-25,,\n"
        "2026-11-29,9,21\n"
        "1926-11-20,9,21\n",
        MEASURED,
    )

    assert [
        "Line 3: it has 2 cells, and the first line names 3 columns: correct it.",
        "Line 4: tmin_c is 'warm', which is no number: write it like 12.5.",
        "Line 5: tmax_c is 210, outside of -20 to 55 °C: correct it, or leave it empty.",
        "Line 6: tmin_c 21 lies above tmax_c 9: exchange or correct them.",
        "Line 7: day is '24/11/2026', which is no day: write it like 2026-03-25.",
        "Line 8: 2026-11-20 stands in line 2 already: take one of the two out.",
        "Line 9: it says nothing: fill in a figure, or take the line out.",
        "Line 10: 2026-11-29 is still to come: send it as a forecast, with the moment it was issued.",
        "Line 11: 1926-11-20 lies before the year 2000: correct it.",
    ] == [str(fault) for fault in found.faults]
    assert [date(2026, 11, 20)] == list(found.days)


@pytest.mark.parametrize(
    ("text", "origin", "fault"),
    [
        pytest.param(
            "day,tmin_c\n2026-11-27,4",
            FORECAST,
            "2026-11-27 had passed when the forecast was issued, on 2026-11-28: take the line out.",
            id="forecast of a day that had passed",
        ),
        pytest.param(
            "day,tmin_c\n2027-11-29,4",
            FORECAST,
            "2027-11-29 is more than 30 days after the forecast was issued: take it out.",
            id="forecast of next year",
        ),
        pytest.param(
            "day,tmin_c,tmax_c,vapour_hpa\n2026-11-27,9,21,28",
            MEASURED,
            "vapour_hpa is 28, but air of these temperatures holds 18.2 hPa at most: correct it, or leave it empty.",
            id="more vapour than the air holds",
        ),
        pytest.param(
            "hour,air_c\n2026-11-27T05:30,9",
            MEASURED,
            "hour is 2026-11-27T05:30: write the full hour at which it begins, like 2026-03-25T05:00.",
            id="half an hour",
        ),
        pytest.param(
            "hour,air_c\n2026-11-28T13:00,9",
            MEASURED,
            "2026-11-28T13:00 is still to come: send it as a forecast, with the moment it was issued.",
            id="measured in an hour",
        ),
        pytest.param(
            "hour,air_c\nnoon,9",
            MEASURED,
            "hour is 'noon', which is no hour: write it like 2026-03-25T05:00.",
            id="no hour",
        ),
        pytest.param(
            "day,rain_mm\n2026-11-27,1e3",
            MEASURED,
            "rain_mm is '1e3', which is no number: write it like 12.5.",
            id="a number as machines write it",
        ),
    ],
)
def test_what_cannot_be_is_told(text: str, origin: Origin, fault: str) -> None:
    """A slip of the clock, the unit or the year does not become weather."""
    assert [f"Line 2: {fault}"] == said(text, origin)


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        pytest.param("", "The file is empty", id="nothing"),
        pytest.param("date,tmin_c\n2026-11-27,9", "name a column day, or a column hour", id="no key"),
        pytest.param(
            "day,frost\n2026-11-27,9", "no column “frost”: use day, tmin_c", id="a column of its own"
        ),
        pytest.param("day,tmin_c,tmin_c\n", "“tmin_c” stands there twice", id="a column twice"),
        pytest.param("day\n2026-11-27", "Beside “day” nothing is told", id="days alone"),
        pytest.param('day,tmin_c\n"2026-11-27,9', "cannot be cut into cells", id="a quote left open"),
        pytest.param(
            "day,rain_mm\n" + "2026-11-27,1\n" * MOST_LINES, "more than 10,000 lines", id="too long"
        ),
    ],
)
def test_a_file_of_another_kind_is_refused_whole(text: str, sentence: str) -> None:
    """With what it ought to be."""
    with pytest.raises(Refused, match=sentence):
        read_sheet(text, MEASURED)


@pytest.mark.parametrize(
    ("data", "sentence"),
    [
        pytest.param("day,tmin_c\n".encode("utf-16"), "not in UTF-8", id="UTF-16"),
        pytest.param(b"PK\x03\x04\xff\xfe", "not in UTF-8", id="a workbook"),
        pytest.param(b"x" * (LARGEST_BYTES + 1), "larger than 384 kB", id="too large"),
    ],
)
def test_bytes_that_are_no_text_are_refused(data: bytes, sentence: str) -> None:
    """A workbook sent instead of its sheet, or far too much."""
    with pytest.raises(Refused, match=sentence):
        decoded(data)
