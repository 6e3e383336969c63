"""Reference evapotranspiration: the worked examples of FAO Irrigation and Drainage Paper 56, and what is refused.

Allen, Pereira, Raes and Smith (1998), Crop evapotranspiration. The figures were checked through copies in the tests of
other programs; where one is from memory, that is said beside it.
"""

from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.agronomy.evapotranspiration import (
    Method,
    Weather,
    hargreaves_mm,
    net_longwave_mj_m2,
    penman_monteith_mm,
    pressure_kpa,
    reference,
    saturation_kpa,
)
from service.core.errors import Refused

# Example 17: Bangkok in April, the mean of the month.
BANGKOK = Weather(
    latitude_deg=13 + 44 / 60,
    elevation_m=2,
    on=date(2015, 4, 15),
    tmin_c=25.6,
    tmax_c=34.8,
    ea_kpa=2.85,
    wind_m_s=2,
    sunshine_h=8.5,
)
# Example 18: Uccle on 6 July, the wind measured at 10 m.
UCCLE = Weather(
    latitude_deg=50 + 48 / 60,
    elevation_m=100,
    on=date(2015, 7, 6),
    tmin_c=12.3,
    tmax_c=21.5,
    ea_kpa=1.409,
    wind_m_s=2.78,
    wind_height_m=10,
    sunshine_h=9.25,
)
# Example 20: Lyon in July, only temperatures known.
LYON = Weather(
    latitude_deg=45 + 43 / 60,
    elevation_m=200,
    on=date(2015, 7, 15),
    tmin_c=14.8,
    tmax_c=26.6,
    wind_m_s=2,
    wind_height_m=2,
)


def sky(latitude: float, on: date, **more: float) -> Weather:
    """Return a mild day somewhere, for what depends on sun and place alone."""
    return Weather(latitude_deg=latitude, elevation_m=0, on=on, tmin_c=12, tmax_c=24, **more)


@pytest.mark.parametrize(
    ("latitude", "on", "expected", "decimals"),
    [
        pytest.param(-20, date(2015, 9, 3), 32.2, 1, id="example 8, 20 degrees south on day 246"),
        pytest.param(-22.9, date(2015, 5, 15), 25.1, 1, id="example 10, Rio on day 135"),
        pytest.param(45 + 43 / 60, date(2015, 7, 15), 40.6, 1, id="example 20, Lyon on day 196"),
        pytest.param(50 + 48 / 60, date(2015, 7, 6), 41.09, 2, id="example 18, Uccle on day 187"),
        pytest.param(13 + 44 / 60, date(2015, 4, 15), 38.06, 2, id="example 17, Bangkok on day 105"),
        pytest.param(0, date(2015, 3, 21), 37.82, 2, id="worked out by hand, the equator on day 80"),
    ],
)
def test_radiation_above_the_air(latitude: float, on: date, expected: float, decimals: int) -> None:
    """Sun and place alone give the radiation at the top of the air."""
    assert expected == round(sky(latitude, on).ra_mj_m2, decimals)


def test_radiation_from_sunshine() -> None:
    """Example 10, Rio in May: 7.1 hours of sunshine bring 14.5 MJ of 18.8 (hours and answer from memory)."""
    rio = sky(-22.9, date(2015, 5, 15), sunshine_h=7.1)

    assert (10.9, 14.5, 18.8) == (
        round(rio.daylight_h, 1),
        round(rio.radiation_from_sunshine_mj_m2 or 0, 1),
        round(rio.clear_sky_mj_m2, 1),
    )


def test_a_month_by_penman_monteith() -> None:
    """Example 17: Bangkok loses 5.7 mm a day in April, 0.14 MJ going into soil that warms (answer from memory)."""
    radiation = BANGKOK.radiation_from_sunshine_mj_m2 or 0
    net = 0.77 * radiation - net_longwave_mj_m2(BANGKOK, 2.85, radiation)
    warms = replace(BANGKOK, soil_heat_mj_m2=0.14 * (30.2 - 29.2))
    eto = penman_monteith_mm(warms, ea_kpa=2.85, wind_m_s=2, radiation_mj_m2=radiation)

    assert (22.65, 14.33) == (round(radiation, 2), round(net, 2))
    assert 5.72 == round(eto, 2)


def test_a_day_by_penman_monteith() -> None:
    """Example 18: Uccle loses 3.9 mm on 6 July, and each step on the way is the paper's."""
    found = reference(UCCLE)
    radiation = UCCLE.radiation_from_sunshine_mj_m2 or 0
    net = 0.77 * radiation - net_longwave_mj_m2(UCCLE, 1.409, radiation)

    # The paper takes the factor for 10 m from a table, rounded to 0.748.
    assert pytest.approx(2.078, abs=0.002) == UCCLE.wind_2m_m_s
    assert (1.997, 16.1, 22.07, 13.28) == (
        round(UCCLE.es_kpa, 3),
        round(UCCLE.daylight_h, 1),
        round(radiation, 2),
        round(net, 2),
    )
    assert (3.88, Method.PENMAN_MONTEITH, {}) == (round(found.eto_mm, 2), found.method, found.assumed)


def test_what_is_missing_is_put_in_and_named() -> None:
    """Example 20: Lyon loses 4.6 mm a day in July, vapour and radiation put in by the paper's own rules."""
    found = reference(LYON)

    assert 4.56 == round(found.eto_mm, 2)
    assert Method.PENMAN_MONTEITH is found.method
    assert {"ea_kpa": 1.68, "radiation_mj_m2": 22.29} == {
        name: round(value, 2) for name, value in found.assumed.items()
    }


def test_radiation_alone_has_the_paper_s_wind_put_in() -> None:
    """Where no wind is known the paper takes 2 m a second."""
    found = reference(sky(-3.4, date(2015, 7, 15), radiation_mj_m2=20))

    assert {"ea_kpa", "wind_m_s"} == set(found.assumed)
    assert 2 == found.assumed["wind_m_s"]


def test_a_gauge_of_unknown_height_is_taken_to_stand_at_2_m() -> None:
    """Most forecasts tell the wind at 10 m, so that whoever did not say is told what was taken."""
    unsaid = reference(sky(-3.4, date(2015, 7, 15), wind_m_s=3))
    said = reference(sky(-3.4, date(2015, 7, 15), wind_m_s=3, wind_height_m=2))

    assert unsaid.eto_mm == said.eto_mm
    assert {**said.assumed, "wind_height_m": 2} == unsaid.assumed


def test_temperatures_alone_by_hargreaves() -> None:
    """The Lyon of example 20 by Eq. 52: 5.03 mm, as computed from the paper's figures."""
    weather = Weather(latitude_deg=45 + 43 / 60, elevation_m=200, on=LYON.on, tmin_c=14.8, tmax_c=26.6)
    found = reference(weather)

    assert (5.03, Method.HARGREAVES, {}) == (round(found.eto_mm, 2), found.method, found.assumed)


@pytest.mark.parametrize(("on", "expected"), [(date(2015, 1, 15), 4.25), (date(2015, 7, 15), 3.90)])
def test_a_highland_day_by_hargreaves(on: date, expected: float) -> None:
    """A highland of 12 to 24 degrees, 1 degree south: worked out by hand with Eq. 52."""
    assert expected == round(hargreaves_mm(sky(-1, on)), 2)


def test_air_thins_and_warm_air_holds_more() -> None:
    """FAO-56, examples 2 and 3: 81.8 kPa at 1800 m; 3.075 kPa saturated at 24.5 degrees (both from memory)."""
    assert (81.8, 3.075) == (round(pressure_kpa(1800), 1), round(saturation_kpa(24.5), 3))


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        pytest.param({"tmin_c": 25}, "The highest temperature, 24, lies below the lowest, 25", id="crossed"),
        pytest.param(
            {"latitude_deg": 91},
            "latitude must lie between -66 and 66 degrees, south negative, not 91",
            id="latitude",
        ),
        pytest.param({"latitude_deg": float("nan")}, "latitude must .* not nan", id="no number"),
        pytest.param({"elevation_m": 9000}, "elevation must .* not 9,000", id="elevation"),
        pytest.param({"wind_m_s": -1}, "wind must lie between 0 and 50 metres a second, not -1", id="wind"),
        pytest.param({"ea_kpa": 3.5}, "holds at most 2.19 kPa of vapour", id="vapour"),
        pytest.param({"radiation_mj_m2": 45}, "MJ per square metre reach the top of the air", id="radiation"),
        pytest.param({"sunshine_h": 13}, "That day is 12.0 hours long there", id="sunshine"),
        pytest.param({"tmax_c": float("inf")}, "highest temperature must .* not inf", id="endless"),
    ],
)
def test_impossible_weather_is_refused(change: dict[str, float], sentence: str) -> None:
    """A slip, most often in a unit, is told in one sentence that says what can be."""
    day: dict[str, float] = {"latitude_deg": 0, "elevation_m": 1650, "tmin_c": 12, "tmax_c": 24} | change

    with pytest.raises(Refused, match=sentence):
        Weather(on=date(2015, 3, 21), **day)


LATITUDES = st.floats(min_value=-66, max_value=66)
DAYS = st.dates(min_value=date(2020, 1, 1), max_value=date(2030, 12, 31))


@given(LATITUDES, DAYS, st.floats(min_value=-10, max_value=34), st.floats(min_value=0, max_value=25))
def test_both_methods_answer_wherever_plants_grow(
    latitude: float, on: date, tmin: float, span: float
) -> None:
    """Any day within the bounds has an answer that can be, and a wider span of temperatures never lowers it."""
    day = Weather(latitude_deg=latitude, elevation_m=0, on=on, tmin_c=tmin, tmax_c=tmin + span)
    windy = Weather(latitude_deg=latitude, elevation_m=0, on=on, tmin_c=tmin, tmax_c=tmin + span, wind_m_s=2)
    wider = Weather(latitude_deg=latitude, elevation_m=0, on=on, tmin_c=tmin, tmax_c=tmin + span + 1)

    assert 0 <= reference(windy).eto_mm < 20
    assert 0 <= hargreaves_mm(day) <= hargreaves_mm(wider)


@given(st.floats(min_value=0.5, max_value=15), st.floats(min_value=0.1, max_value=5))
def test_wind_dries_and_vapour_keeps(wind: float, more: float) -> None:
    """On a dry day stronger wind takes more; moister air at the same radiation takes less."""
    base = {"wind_m_s": wind, "radiation_mj_m2": 10.0}

    dry = penman_monteith_mm(LYON, ea_kpa=0.8, **base)
    moist = penman_monteith_mm(LYON, ea_kpa=2.4, **base)
    windier = penman_monteith_mm(LYON, ea_kpa=0.8, wind_m_s=wind + more, radiation_mj_m2=10)

    assert dry < windier
    assert moist < dry
