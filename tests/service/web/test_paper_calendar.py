"""The wall calendar: every day on which a job falls due stands on it, in the farmer's own words."""

import re
import shutil
from dataclasses import replace
from datetime import date, timedelta
from itertools import pairwise
from pathlib import Path

import pytest

from service.agronomy.calendar import END, Calendar, load_calendar
from service.agronomy.due import PlotDays, picking_text_day, season
from service.agronomy.traits import PlotTraits
from service.web.farmers.season import lay_out as strip_of
from service.web.paper.almanac import Almanac, Cell, Span, lay_out, months, weeks
from tests.stand_in_house import Planter, make_house
from tests.web_desk import Desk, app_of


@pytest.fixture(scope="module")
def calendar() -> Calendar:
    """The calendar that is shipped."""
    return load_calendar()


def stand(planted_on: date, text_day: int) -> PlotDays:
    """Return a plot that is picked on Mondays and Thursdays."""
    return PlotDays(
        planted_on=planted_on,
        text_day=text_day,
        picking_text_day=picking_text_day(text_day, {0, 3}),
        prompt_days=frozenset({0, 3}),
    )


def sheet(calendar: Calendar, plot: PlotDays) -> Almanac:
    """Return the sheet with ids for names and whole dates for figures, so that it can be read back."""
    return lay_out(
        calendar,
        plot,
        months(plot.planted_on, lambda day: f"{day:%b}"),
        strip_of(calendar),
        labels=str,
        stages=str,
        mark=date.isoformat,
        long_mark=date.isoformat,
    )


def told(span: Span, cell: Cell, day: date) -> bool:
    """Return whether a cell tells of a day, by a figure or by a line that runs through it."""
    place = 100 * (day - span.first).days / ((span.last - span.first).days + 1)
    # Places are rounded to a tenth of a percent.
    return day.isoformat() in cell.figures or any(
        line.y - 0.1 <= place < line.y + line.height + 0.1 for line in cell.strokes
    )


def test_the_sheet_is_of_the_plot_and_not_of_all(calendar: Calendar) -> None:
    """Mother rows keep their runners, so nothing on their wall says to take them off."""
    plot = stand(date(2026, 4, 27), 2)
    mother = replace(plot, traits=PlotTraits(mother_rows="yes"))

    assert {"runners"} == {*sheet(calendar, plot).jobs} - {*sheet(calendar, mother).jobs}


@pytest.mark.parametrize("text_day", range(7))
@pytest.mark.parametrize("planted_on", [date(2026, 4, 27), date(2023, 12, 31), date(2024, 2, 29)], ids=str)
def test_every_day_a_job_falls_due_is_told(calendar: Calendar, planted_on: date, text_day: int) -> None:
    """What is due by the calendar is on the sheet; nothing is told in a month that has none of it."""
    plot = stand(planted_on, text_day)
    made = sheet(calendar, plot)
    dues = season(calendar, plot, planted_on, planted_on + timedelta(days=END))
    missing = []
    for due in dues:
        row = next(row for row in made.rows if row.span.first <= due.due_on <= row.span.last)
        named = {cell.job: cell for cell in row.cells}
        if due.task.id in named:
            seen = told(row.span, named[due.task.id], due.due_on)
        else:
            seen = any(note.startswith(due.task.id) for note in row.notes)
        # First fruit is told by its range and the second asking after flowers not at all.
        if not seen and (due.task.id, due.ordinal) not in {("first_fruit", 0), ("flowers_stay", 1)}:
            missing.append((due.task.id, due.due_on))

    assert [] == missing
    per_row = [
        {due.task.id for due in dues if row.span.first <= due.due_on <= row.span.last} for row in made.rows
    ]
    figured = [{cell.job for cell in row.cells if cell.figures} for row in made.rows]
    assert all(figures <= due for figures, due in zip(figured, per_row, strict=True))


def test_months_run_from_planting_to_the_end(calendar: Calendar) -> None:
    """The first row is the month of planting, the last that of day 1095; a year is named where it begins."""
    rows = months(date(2026, 4, 27), lambda day: f"{day:%B}")

    assert ("April", "2026") == (rows[0].name, rows[0].year)
    assert rows[-1].first <= date(2026, 4, 27) + timedelta(days=END) <= rows[-1].last
    assert ["2026", "2027", "2028", "2029"] == [row.year for row in rows if row.year]
    assert all(later.first - earlier.last == timedelta(days=1) for earlier, later in pairwise(rows))
    assert ("1-4", "157-160") == (weeks(date(2001, 1, 1))[0].name, weeks(date(2001, 1, 1))[-1].name)


def test_weekly_jobs_are_lines_and_first_fruit_a_range(calendar: Calendar) -> None:
    """Taking flowers off is one line that ends when flowers stay; first fruit is never told as one day."""
    made = sheet(calendar, stand(date(2026, 4, 27), 2))
    flowers = [cell for row in made.rows for cell in row.cells if cell.job == "flowers_off"]
    notes = [note for row in made.rows for note in row.notes]

    assert not any(cell.figures for cell in flowers)
    assert [False, True, True, True, True, False] == [bool(cell.strokes) for cell in flowers[:6]]
    assert "first_fruit 2026-09-18 - 2026-10-08" in notes
    assert ["land 2026-03-04", "lime 2026-03-18"] == list(made.before[:2])


@pytest.mark.parametrize(
    ("language", "words"),
    [
        (
            "sw",
            ["Kalenda ya stroberi", "Jtatu 27/4/2026", "Toa maua", "VUNA 12.5", "Ago", "Tuma kwenda 15077"],
        ),
        (
            "en",
            ["Strawberry calendar", "Mon 27/4/2026", "Flowers off", "HARVEST 12.5", "Aug", "Text to 15077"],
        ),
    ],
)
def test_the_sheet_speaks_the_farmers_language(
    language: str, words: list[str], desk: Desk, planter: Planter
) -> None:
    """Jobs, months and the words to text are the farmer's; the farmer's page leads there."""
    farmer, _ = planter.farmer("Asha Mwarobi", language=language)
    plot = planter.plot(farmer)
    page = desk.text(f"/plots/{plot}/calendar")

    assert [] == [word for word in [*words, "Asha Mwarobi", f'lang="{language}"'] if word not in page]
    assert f'href="/plots/{plot}/calendar"' in desk.text(f"/farmers/{farmer}")


@pytest.mark.parametrize("number", ["", "114"], ids=["not-set", "set"])
def test_emergency_number_or_room_to_write_it(number: str, tmp_path: Path, empty_file: Path) -> None:
    """The number that is set stands in the box; without one there is a line to write it on, never a made-up one."""
    shutil.copy(empty_file, tmp_path / "trussline.db")
    house = make_house(f"sqlite:///{tmp_path / 'trussline.db'}", tmp_path, emergency_number=number)
    desk = Desk(house=house, app=app_of(house))
    desk.sign_in()
    page = desk.text("/calendar")
    house.database.close()

    assert [number] == re.findall(r'<p class="number">(.*?)</p>', page)


def test_blank_sheet_in_either_language(desk: Desk) -> None:
    """The sheet to be filled in by hand counts weeks, shows no date, and knows the languages there are."""
    page = desk.text("/calendar?language=sw")

    assert "Kalenda ya stroberi" in page
    assert "157-160" in page
    assert "2001" not in page
    assert 404 == desk.get("/calendar?language=xx").status_code


def test_card_speaks_both_languages(desk: Desk) -> None:
    """One side for each language, each with its own words; where no emergency number is set the page says so."""
    page = desk.text("/card")

    assert [] == [
        word for word in ("HARVEST 12.5", "VUNA 12.5", "POISON?", "SUMU?", "STOP", "ACHA") if word not in page
    ]
    assert "No emergency number is set" in page
    assert 1 == page.count('<article class="card">')
    assert 3 == page.count('<article class="card" aria-hidden="true">')
