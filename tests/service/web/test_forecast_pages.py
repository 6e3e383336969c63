"""The forecast page: what is told of a district, to whom, and how far it is to be trusted."""

import re
from datetime import timedelta

import pytest

from service.agronomy.forecast import Range
from service.agronomy.forecast_backtest import FOUR_WEEKS, LAST_WEEK, Backtest, TriedWeek
from service.core.rights import Role
from service.web.forecast.drawing import HEIGHT, about, verdict
from tests.stand_in_house import TODAY, Planter
from tests.web_desk import Desk


@pytest.fixture
def filled(planter: Planter) -> Planter:
    """Three farmers in Ndaliro who have told 4 kg a week for 18 weeks, one who tells nothing, one in Zaruvi."""
    for name in ("Asha", "Juma", "Neema"):
        farmer, phone = planter.farmer(name, district="Ndaliro")
        plot = planter.plot(farmer, age=500)
        for ago in range(2, 7 * 18, 7):
            planter.weight(plot, phone, ago=ago, grams=1500)
            planter.weight(plot, phone, ago=ago + 4, grams=2500)
    planter.plot(planter.farmer("Tatu", district="Ndaliro")[0], age=500)
    wendo, phone = planter.farmer("Wendo", district="Zaruvi")
    planter.weight(planter.plot(wendo), phone, ago=3, grams=77_000)
    return planter


def page_of(desk: Desk, filled: Planter, district: str) -> str:
    """Open the page of a district, on one line."""
    return " ".join(desk.text(f"/forecast?district={filled.districts[district]}").split())


def test_two_weeks_are_told_with_their_range(desk: Desk, filled: Planter) -> None:
    """Twice 12 kg, drawn and in a table; that nothing is promised stands beside the figures."""
    page = page_of(desk, filled, "Ndaliro")

    assert "Ndaliro, 23 November 2026 to 6 December 2026" in page
    assert "A week goes from Monday to Sunday, as in the report" in page
    assert "<dt>kg in the two weeks, expected</dt><dd>24</dd>" in page
    assert "Nothing of this is promised" in page
    assert 8 == page.count('class="bar"')
    assert 2 == page.count('class="range"')
    assert 8 == len(
        re.findall(
            r'<th scope="row">\d+ \w{3}</th><td class="r">12</td><td class="r"></td><td class="r">3</td>',
            page,
        )
    )
    assert 2 == len(
        re.findall(r'<td class="r">12</td><td class="r">[\d.]+ to \d+</td><td class="r"></td>', page)
    )


def test_how_good_it_was_and_what_it_rests_on(desk: Desk, filled: Planter) -> None:
    """The trial in words, and how many plots are known how well."""
    page = page_of(desk, filled, "Ndaliro")

    assert "Of 16 weeks forecast, 16 lay within their range; eight in ten are meant to." in page
    assert 'plots that may bear</th><td class="r">4</td>' in page
    assert 'at least half of the last 8 weeks</th><td class="r">3</td>' in page
    assert 'like all others</th><td class="r">1</td>' in page


def test_a_week_without_a_report_is_a_gap(desk: Desk, planter: Planter) -> None:
    """It is no bar of nothing: the table says that nobody told a weight."""
    farmer, phone = planter.farmer("Asha", district="Ndaliro")
    plot = planter.plot(farmer, age=500)
    for ago in (4, 11, 25, 32):
        planter.weight(plot, phone, ago=ago, grams=4000)
    page = page_of(desk, planter, "Ndaliro")

    assert 4 == page.count("nobody told a weight")
    assert 4 == page.count('class="bar"')


def test_too_little_is_said(desk: Desk, filled: Planter) -> None:
    """One weight is no forecast, and no drawing is made of it."""
    page = page_of(desk, filled, "Zaruvi")

    assert "Too few weights were told here to forecast anything: weights of 3 weeks are the least." in page
    assert "<svg" not in page
    assert "How good it was" not in page


def test_without_a_choice_the_first_district_is_shown(desk: Desk, filled: Planter) -> None:
    """All districts can be chosen; the report leads here, with the district that was chosen there."""
    page = desk.text("/forecast")
    ndaliro = filled.districts["Ndaliro"]

    assert "Zaruvi, 23 November" in page
    assert all(f">{name}</option>" in page for name in filled.districts)
    assert 'href="/forecast"' in desk.text("/report")
    assert f'href="/forecast?district={ndaliro}"' in desk.text(f"/report?district={ndaliro}")


def test_an_officer_sees_their_own_district_only(desk: Desk, filled: Planter) -> None:
    """Another district's is not there, and there is nothing to choose."""
    desk.sign_in("Officer Tulia", role=Role.OFFICER, districts=frozenset({filled.districts["Ndaliro"]}))

    assert "Ndaliro, 23 November" in desk.text("/forecast")
    assert "<select" not in desk.text("/forecast")
    assert 404 == desk.get(f"/forecast?district={filled.districts['Zaruvi']}").status_code


def test_without_a_district_the_page_says_so(desk: Desk) -> None:
    """A programme that has just begun."""
    assert "There is no district yet." in desk.text("/forecast")


@pytest.mark.parametrize(
    ("grams", "said"), [(0, "0.0"), (8_449, "8.4"), (10_000, "10"), (1_234_567, "1,235")]
)
def test_kilos_are_told_no_finer_than_known(grams: float, said: str) -> None:
    """Small weights have a decimal, large ones none."""
    assert said == about(grams)


@pytest.mark.parametrize(("plain", "warned"), [(30_000, False), (21_000, True)], ids=["farther", "nearer"])
def test_a_forecast_that_lost_says_so(plain: float, *, warned: bool) -> None:
    """Where repeating last week was nearer, the officer reads it."""
    week = TriedWeek(
        first=TODAY - timedelta(days=7),
        ahead=1,
        told=20_000,
        range=Range(low=21_000, expected=25_000, high=29_000),
        plain={LAST_WEEK: plain, FOUR_WEEKS: 40_000},
    )
    sentences = list(verdict(Backtest(weeks=(week,), scale=None)))

    assert "was off by 5.0 kg a week on average" in sentences[0]
    assert "Of 1 weeks forecast, 0 lay within" in sentences[1]
    assert warned == ("take the forecast with care" in sentences[-1])


def test_bars_keep_to_the_drawing(desk: Desk, filled: Planter) -> None:
    """The highest of all reaches the top, and none goes below the line."""
    page = page_of(desk, filled, "Ndaliro")
    tops = [float(y) for y in re.findall(r'<rect class="(?:bar|range)"[^>]* y="([\d.]+)"', page)]

    assert 18 == min(tops)
    assert max(tops) <= 18 + HEIGHT
