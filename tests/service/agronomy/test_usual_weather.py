"""A usual day where no weather is known, and where a district lies of which nobody told."""

from datetime import date
from importlib.resources import files

import pytest

from service.agronomy.evapotranspiration import reference
from service.agronomy.usual_weather import usual_weather
from service.agronomy.zone_latitude import zone_latitude


@pytest.mark.parametrize(
    ("elevation_m", "mean_c"),
    [
        pytest.param(1000, 22.5, id="low"),
        pytest.param(1650, 18.925, id="middle"),
        pytest.param(2600, 13.7, id="high"),
    ],
)
def test_it_is_colder_with_height(elevation_m: float, mean_c: float) -> None:
    """On the equator there is no season: 28 degrees less 5.5 for each kilometre, and 12 between night and day."""
    weather = usual_weather(latitude_deg=0, elevation_m=elevation_m, on=date(2026, 11, 28))

    assert pytest.approx(mean_c) == weather.tmean_c
    assert pytest.approx(12) == weather.tmax_c - weather.tmin_c


def test_a_whole_month_has_one_usual_day() -> None:
    """Its middle; so the answer of tomorrow is that of today."""
    days = {usual_weather(latitude_deg=-3.4, elevation_m=1650, on=date(2026, 11, day)) for day in (1, 15, 30)}

    assert [date(2026, 11, 15)] == [weather.on for weather in days]


@pytest.mark.parametrize(
    ("latitude_deg", "warm", "cold"),
    [pytest.param(-9, 1, 7, id="south"), pytest.param(9, 7, 1, id="north")],
)
def test_the_warm_months_are_those_of_the_high_sun(latitude_deg: float, warm: int, cold: int) -> None:
    """Nine degrees from the equator the warmest month lies 2.7 degrees above the coldest: twice 0.15 x 9."""
    months = [
        usual_weather(latitude_deg=latitude_deg, elevation_m=1650, on=date(2026, month, 1)).tmean_c
        for month in (warm, cold)
    ]

    assert pytest.approx(2.7, abs=0.01) == months[0] - months[1]


def test_such_a_day_takes_what_a_highland_day_takes() -> None:
    """24 and 12 degrees at 1 degree south take 4.25 mm in mid-January by FAO-56 Eq. 52, recomputed by hand."""
    weather = usual_weather(latitude_deg=-1, elevation_m=1845, on=date(2026, 1, 15))

    assert [pytest.approx(12, abs=0.01), pytest.approx(24, abs=0.01)] == [weather.tmin_c, weather.tmax_c]
    assert pytest.approx(4.25, abs=0.01) == reference(weather).eto_mm


@pytest.mark.parametrize(
    ("zone", "degrees"),
    [
        # As zone.tab of the IANA time zone database has them: -0648+03917, -0117+03649, +0902+03842.
        pytest.param("Africa/Dar_es_Salaam", -6.8, id="south"),
        pytest.param("Africa/Nairobi", -1.2833, id="near-the-equator"),
        pytest.param("Africa/Addis_Ababa", 9.0333, id="north"),
        pytest.param("UTC", 0, id="no-place"),
        # With seconds: -690022+0393524.
        pytest.param("Antarctica/Syowa", -66, id="in-seconds-and-too-far"),
        # +404251-0740023.
        pytest.param("America/New_York", 40.7142, id="in-seconds"),
        # -7750+16636: nothing can be reckoned there.
        pytest.param("Antarctica/McMurdo", -66, id="too-far"),
    ],
)
def test_a_zone_lies_where_its_table_says(zone: str, degrees: float) -> None:
    """A zone that is no place is taken for the equator."""
    assert pytest.approx(degrees, abs=0.001) == zone_latitude(zone)


def test_every_row_of_that_table_is_read() -> None:
    """None is passed over for looking different, as no place of them lies on the equator itself."""
    table = files("tzdata").joinpath("zoneinfo", "zone.tab").read_text(encoding="utf-8")
    zones = [line.split("\t")[2] for line in table.splitlines() if not line.startswith("#")]

    assert [] == [zone for zone in zones if zone_latitude(zone) == 0]
