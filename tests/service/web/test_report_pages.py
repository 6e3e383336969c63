"""The report page and its file."""

import csv
import io
from datetime import date, timedelta

import pytest

from service.core.rights import Role
from service.web.report.figures import Figure, Section
from service.web.report.periods import Period, period
from service.web.report.sheet import safe, sheet
from tests.stand_in_house import TODAY, Planter
from tests.web_desk import Desk


@pytest.fixture
def filled(planter: Planter) -> Planter:
    """A farmer with two weights, and one who lives elsewhere."""
    asha, phone = planter.farmer("Asha Mwarobi")
    plot = planter.plot(asha)
    planter.weight(plot, phone, ago=0, grams=12_500)
    planter.weight(plot, phone, ago=2, grams=1_000_250)
    planter.text_out(phone, "Wiki hii.", ago=timedelta(hours=2), farmer_id=asha, kind="reminder")
    planter.text_out(phone, "Asante.", ago=timedelta(hours=1), state="failed", why="no")
    wendo, other = planter.farmer("Wendo", district="Zaruvi")
    planter.weight(planter.plot(wendo), other, ago=1, grams=3_000)
    return planter


@pytest.mark.parametrize(
    ("length", "day", "first", "last"),
    [
        ("week", "2026-11-25", date(2026, 11, 23), date(2026, 11, 29)),
        ("week", "2026-12-31", date(2026, 12, 28), date(2027, 1, 3)),
        ("month", "2028-02-29", date(2028, 2, 1), date(2028, 2, 29)),
        ("month", "2026-12-31", date(2026, 12, 1), date(2026, 12, 31)),
        ("year", "soon", date(2026, 11, 23), date(2026, 11, 29)),
        ("month", "9999-12-31", date(2999, 12, 1), date(2999, 12, 31)),
    ],
)
def test_weeks_and_months_hold_the_day_asked_for(length: str, day: str, first: date, last: date) -> None:
    """A week begins on Monday (ISO 8601); what cannot be read is this week."""
    found = period(length, day, TODAY)

    assert (first, last) == (found.first, found.last)
    assert found.first.day == 1 or found.first.isoweekday() == 1
    assert (last - first).days + 1 == len(found.days)


def test_the_page_tells_the_week(desk: Desk, filled: Planter) -> None:
    """All districts first, one on request; the drawing's figures stand in a table too."""
    everything = desk.text("/report")
    one = desk.text(f"/report?district={filled.districts['Zaruvi']}")

    assert "All your districts, 23 November 2026 to 29 November 2026." in everything
    assert "1,015.75" in everything
    assert "1,000.25 kg on the best day" in everything
    assert "1 delivered" in everything
    assert "1 failed: never sent" in everything
    assert "Zaruvi, 23 November" in one
    assert "3.00 kg on the best day" in one
    assert "1,015.75" not in one


def test_an_empty_month_says_so(desk: Desk, filled: Planter) -> None:
    """Nothing was picked in May; from there one gets on to June, and from this month to none that is to come."""
    may = desk.text("/report?length=month&day=2026-05-12")

    assert "No weight was told for these days." in may
    assert "None in these days." in may
    assert "day=2026-06-01" in may
    assert "The month after" not in desk.text("/report?length=month")


def test_an_officer_sees_their_own_district_only(desk: Desk, filled: Planter) -> None:
    """What was picked elsewhere is in no sum, and another district's report is not there."""
    desk.sign_in("Officer Tulia", role=Role.OFFICER, districts=frozenset({filled.districts["Zaruvi"]}))

    assert "3.00 kg on the best day" in desk.text("/report")
    assert 404 == desk.get(f"/report?district={filled.districts['Ndaliro']}").status_code
    assert 404 == desk.get(f"/report.csv?district={filled.districts['Ndaliro']}").status_code


def test_the_file_is_read_back_as_it_was_shown(desk: Desk, filled: Planter) -> None:
    """Python's own reader finds the page's figures; lines end as RFC 4180 has them, instants name their zone."""
    answer = desk.get(f"/report.csv?district={filled.districts['Ndaliro']}")
    lines = list(csv.reader(io.StringIO(answer.text, newline="")))
    values = {(about, figure): value for _, _, _, about, figure, value in lines[1:]}

    assert "text/csv" == answer.mimetype
    assert "report-week-2026-11-23.csv" in answer.headers["Content-Disposition"]
    assert ["from", "until", "district", "about", "figure", "value"] == lines[0]
    assert ["2026-11-23T00:00:00+03:00", "2026-11-30T00:00:00+03:00", "Ndaliro"] == lines[1][:3]
    assert answer.text.count("\r\n") == answer.text.count("\n") == len(lines)
    assert "1012.75" == values["Weights", "kilos picked"]
    assert "0.00" == values["Collections", "kilos accepted"]
    assert "0" == values["Calls for help", "words of danger"]
    assert "1" == values["Texts out", "reminder: delivered"]
    assert "12.50" == values["Kilos by day", "2026-11-25"]
    assert "62123" not in answer.text


@pytest.mark.parametrize("typed", ["=1+1", "+1", "-1", "@SUM(A1)", "\t=1", "\r=1"])
def test_no_cell_is_a_formula(typed: str) -> None:
    """A district somebody named like a formula is words in every spreadsheet."""
    days = Period(length="week", first=TODAY, last=TODAY).within("Africa/Dar_es_Salaam")
    found = [Section(title=typed, figures=(Figure(name=typed, value="1"),))]
    text = sheet(found, (), days=days, district=typed, zone="Africa/Dar_es_Salaam")
    cells = [cell for line in csv.reader(io.StringIO(text, newline="")) for cell in line]

    assert safe(typed) == f"'{typed}"
    assert 3 == cells.count(f"'{typed}")
    assert typed not in cells


def test_words_with_commas_and_quotes_stay_one_cell() -> None:
    """Quoted and doubled as RFC 4180, section 2, rules 6 and 7 have it."""
    days = Period(length="week", first=TODAY, last=TODAY).within("Africa/Dar_es_Salaam")
    found = [Section(title="Jobs", figures=(Figure(name='said "done", and more', value="1,234"),))]
    text = sheet(found, (), days=days, district="Ndaliro", zone="Africa/Dar_es_Salaam")

    assert text.endswith(',Jobs,"said ""done"", and more",1234\r\n')


def test_a_spreadsheet_takes_what_was_chosen(desk: Desk, filled: Planter) -> None:
    """It is a second button of the same form, so that a day just chosen is in it."""
    page = desk.text("/report")
    form = page.partition('<form method="get" action="/report">')[2].partition("</form>")[0]

    assert '<button class="quiet" formaction="/report.csv">For a spreadsheet</button>' in form


def test_a_day_that_is_none_is_told(desk: Desk, filled: Planter) -> None:
    """The page shows this week and says so; the file leads there. An empty day is this week's."""
    page, file = desk.text("/report?day=2026-02-30"), desk.get("/report.csv?day=2026-02-30")

    assert "“2026-02-30” is no day there is: this week is shown." in page
    assert (303, "/report?day=2026-02-30") == (file.status_code, file.location)
    assert "is no day" not in desk.text("/report?day=")


def test_a_district_says_which_texts_it_leaves_out(desk: Desk, filled: Planter) -> None:
    """The sums of the districts are less than that of all: texts to strangers are nobody's."""
    district = filled.districts["Ndaliro"]

    assert "in no district" in desk.text(f"/report?district={district}")
    assert "in no district" not in desk.text("/report")
