"""The weather page: what is known, a file seen before it is kept, its faults, and taking it back."""

import html
import io
import re
from datetime import date, timedelta
from typing import Final

from werkzeug.test import TestResponse

from service.core.rights import Role
from service.use_cases.weather.sheets import LARGEST_BYTES
from tests.stand_in_house import Planter
from tests.web_desk import Desk

WEEK: Final = "day,tmin_c,tmax_c,rain_mm\r\n2026-11-23,8,20,0\r\n2026-11-24,9,21,4.5\r\n"


def bring(desk: Desk, text: str | bytes, district: int, **form: str) -> TestResponse:
    """Send a file as the page's form does."""
    data = text if isinstance(text, bytes) else text.encode()
    fields = {"token": desk.token(), "district": str(district), "what": "measured", **form}
    return desk.client.post(
        "/weather/look",
        data={**fields, "file": (io.BytesIO(data), "week.csv")},
        base_url=desk.origin,
        headers={"Origin": desk.origin},
    )


def hidden(page: str) -> dict[str, str]:
    """Return what the form of a preview brings back."""
    found = re.findall(
        r'<input type="hidden" name="(\w+)" value="([^"]*)"', page.partition("/weather/keep")[2]
    )
    return {name: html.unescape(value) for name, value in found if name != "token"}


def table(page: str) -> list[str]:
    """Return the days of the page's table, cell by cell."""
    rows = re.findall(
        r'<tr><th scope="row">(.*?)</tr>', page.partition("The same as a table")[2].partition("</table>")[0]
    )
    return [re.sub(r"(</?t[hd][^>]*>)+", " ", row).strip() for row in rows]


def test_an_empty_district_says_what_is_missing(desk: Desk, planter: Planter) -> None:
    """Gaps are told in numbers, and there is nothing to draw."""
    page = desk.text(f"/weather?district={planter.districts['Ketumali']}")

    assert "No rain figure for 14 of the 14 days before today." in page
    assert "No temperatures for 7 of the 7 days from today on." in page
    assert "<svg" not in page


def test_a_file_is_seen_kept_and_taken_back(desk: Desk, planter: Planter) -> None:
    """Nothing is kept before the second step; the way back stands beside the file."""
    here = planter.districts["Ketumali"]
    preview = bring(desk, WEEK, here).text
    looked_at = desk.text(f"/weather?district={here}")
    kept = desk.send("/weather/keep", **hidden(preview))
    page = desk.text(kept.location)
    back = re.findall(r'action="(/weather/\d+/back)"', page)
    desk.send(back[0])
    after = desk.text(f"/weather?district={here}")

    assert "lowest 9 °C, highest 21 °C, rain 4.5 mm" in preview
    assert "No rain figure for 14 of the 14 days before today." in looked_at
    assert ["Mon 23 Nov 8.0 20.0 0.0 measured", "Tue 24 Nov 9.0 21.0 4.5 measured"] == table(page)
    assert "week.csv" in page
    assert "No rain figure for 14 of the 14 days before today." in after
    assert "taken back" in after
    assert [] == re.findall(r'action="(/weather/\d+/back)"', after)


def test_what_is_replaced_is_shown_beside_what_it_was(desk: Desk, planter: Planter) -> None:
    """The officer sees both figures before agreeing."""
    planter.weather("Ketumali", ahead=-1, rain_mm=40.0)
    preview = bring(desk, WEEK, planter.districts["Ketumali"]).text

    said = re.sub(r"<[^>]+>", "", preview)
    assert "24 November 2026: rain 40 mm, then lowest 9 °C, highest 21 °C, rain 4.5 mm" in said
    assert "1 line adds, 1 line replaces what is known, 0 lines change nothing." in said


def test_weather_that_came_in_between_is_not_replaced_unseen(desk: Desk, planter: Planter) -> None:
    """A preview left open overnight is not what is kept."""
    form = hidden(bring(desk, WEEK, planter.districts["Ketumali"]).text)
    planter.weather("Ketumali", ahead=-1, rain_mm=40.0)
    answer = desk.send("/weather/keep", **form)

    assert 400 == answer.status_code
    assert "Other weather has come in meanwhile" in answer.text


def test_all_faults_are_listed_and_nothing_is_kept(desk: Desk, planter: Planter) -> None:
    """At most fifty lines, and how many more; words of the file stay words."""
    text = "day,rain_mm\n2026-11-24,<b>\n" + "2026-11-24,much\n" * 60
    answer = bring(desk, text, planter.districts["Ketumali"])

    assert 400 == answer.status_code
    assert "Line 2: rain_mm is &#39;&lt;b&gt;&#39;, which is no number" in answer.text
    assert 50 == answer.text.count("<li>Line")
    assert "And 11 more lines." in answer.text


def test_a_forecast_names_its_moment(desk: Desk, planter: Planter) -> None:
    """Without one it is asked for; with one it is drawn as a forecast."""
    here, text = planter.districts["Ketumali"], "day,tmin_c,tmax_c\n2026-11-26,1.4,19\n"
    without = bring(desk, text, here, what="forecast", issued="")
    later = bring(desk, text, here, what="forecast", issued="2026-11-26T06:00")
    preview = bring(desk, text, here, what="forecast", issued="2026-11-25T06:00")
    page = desk.text(desk.send("/weather/keep", **hidden(preview.text)).location)

    assert "Say when the forecast was issued" in without.text
    assert "still to come: correct it" in later.text
    assert ["Thu 26 Nov 1.4 19.0 – forecast"] == table(page)
    assert 'class="forecast"' in page


def test_what_is_no_file_of_weather_is_told(desk: Desk, planter: Planter) -> None:
    """No file, a workbook, one that is too large: each is said on the page."""
    here = planter.districts["Ketumali"]

    assert "Choose a file first." in desk.send("/weather/look", district=str(here)).text
    assert "not in UTF-8" in bring(desk, b"PK\x03\x04\xff", here).text
    assert "larger than 384 kB" in bring(desk, b"x" * (LARGEST_BYTES + 1), here).text
    assert 413 == bring(desk, b"x" * (LARGEST_BYTES + 64 * 1024), here).status_code


def test_the_largest_file_comes_through_both_steps(desk: Desk, planter: Planter) -> None:
    """What may be sent may also be kept: the second form carries as much as the first."""
    days = (date(2026, 11, 24) - timedelta(days=ago) for ago in range(9_000))
    text = "day,rain_mm\n" + "".join(f"{day},{'4.5':>31}\n" for day in days)
    assert LARGEST_BYTES - 10_000 < len(text) < LARGEST_BYTES
    preview = bring(desk, text, planter.districts["Ketumali"])
    kept = desk.send("/weather/keep", **hidden(preview.text))

    assert 303 == kept.status_code


def test_an_officer_sees_their_own_districts_only(desk: Desk, planter: Planter) -> None:
    """Neither by address nor in the choice."""
    desk.sign_in("Tulia", role=Role.OFFICER, districts=frozenset({planter.districts["Ndaliro"]}))
    page = desk.text("/weather")

    assert "Weather, Ndaliro" in page
    assert "Zaruvi<" not in page
    assert 404 == desk.get(f"/weather?district={planter.districts['Zaruvi']}").status_code
