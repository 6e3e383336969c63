"""Reference evapotranspiration against two libraries that others wrote: refet (Apache-2.0) and pyet (MIT).

refet in its method "asce", the standardised equation of ASCE-EWRI (2005); its other method differs from FAO-56. Both
are in deploy/lock-oracles.txt.
"""

import math
from datetime import date

import pandas as pd
import pyet
import pytest
import refet
from hypothesis import given
from hypothesis import strategies as st

from service.agronomy.evapotranspiration import Weather, hargreaves_mm, reference, saturation_kpa

# pandas alone takes a second to load.
pytestmark = pytest.mark.slow


@st.composite
def weathers(draw: st.DrawFn) -> Weather:
    """Draw a day whose every figure was measured, wherever strawberries might grow."""
    tmin = draw(st.floats(min_value=-5, max_value=28))
    place = Weather(
        latitude_deg=draw(st.floats(min_value=-55, max_value=55)),
        elevation_m=draw(st.floats(min_value=0, max_value=3500)),
        on=draw(st.dates(min_value=date(2020, 1, 1), max_value=date(2030, 12, 31))),
        tmin_c=tmin,
        tmax_c=tmin + draw(st.floats(min_value=0.5, max_value=22)),
    )
    return Weather(
        latitude_deg=place.latitude_deg,
        elevation_m=place.elevation_m,
        on=place.on,
        tmin_c=place.tmin_c,
        tmax_c=place.tmax_c,
        ea_kpa=saturation_kpa(tmin) * draw(st.floats(min_value=0.3, max_value=1)),
        wind_m_s=draw(st.floats(min_value=0.2, max_value=10)),
        radiation_mj_m2=place.clear_sky_mj_m2 * draw(st.floats(min_value=0.2, max_value=1)),
    )


def series(value: float | None, on: date) -> "pd.Series[float]":
    """Return a figure as pyet wants it: with its day."""
    return pd.Series([value], index=pd.DatetimeIndex([on]))


def by_refet(weather: Weather, *, wind_height_m: float) -> float:
    """Return what refet finds for a day whose wind was measured at a height."""
    found = refet.Daily(
        tmin=weather.tmin_c,
        tmax=weather.tmax_c,
        ea=weather.ea_kpa,
        rs=weather.radiation_mj_m2,
        uz=weather.wind_m_s,
        zw=wind_height_m,
        elev=weather.elevation_m,
        lat=weather.latitude_deg,
        doy=weather.on.timetuple().tm_yday,
        method="asce",
    ).eto()
    return max(0.0, float(found[0]))


@given(weathers())
def test_penman_monteith_is_that_of_refet(weather: Weather) -> None:
    """ASCE has another exponent for pressure and a rounder solar constant: hundredths of a millimetre, no more."""
    expected = by_refet(weather, wind_height_m=2)

    assert expected == pytest.approx(reference(weather).eto_mm, abs=0.01)


def test_a_slip_would_be_seen() -> None:
    """FAO-56, example 18, has its wind at 10 m; taken for wind at 2 m it is far outside what is allowed above."""
    weather = Weather(
        latitude_deg=50.8,
        elevation_m=100,
        on=date(2015, 7, 6),
        tmin_c=12.3,
        tmax_c=21.5,
        ea_kpa=1.409,
        wind_m_s=2.78,
        wind_height_m=10,
        radiation_mj_m2=22.07,
    )

    assert by_refet(weather, wind_height_m=10) == pytest.approx(reference(weather).eto_mm, abs=0.01)
    assert by_refet(weather, wind_height_m=2) > reference(weather).eto_mm + 0.08


@given(weathers())
def test_penman_monteith_is_that_of_pyet(weather: Weather) -> None:
    """The same equation of the same paper, by other hands."""
    on = weather.on
    expected = pyet.pm_fao56(
        tmean=series(weather.tmean_c, on),
        wind=series(weather.wind_m_s, on),
        rs=series(weather.radiation_mj_m2, on),
        tmax=series(weather.tmax_c, on),
        tmin=series(weather.tmin_c, on),
        ea=series(weather.ea_kpa, on),
        elevation=weather.elevation_m,
        lat=math.radians(weather.latitude_deg),
    ).iloc[0]

    assert expected == pytest.approx(reference(weather).eto_mm, abs=0.01)


@given(weathers())
def test_hargreaves_is_that_of_pyet(weather: Weather) -> None:
    """Temperatures alone give the same, once the latent heat is that of the paper, 2.45 MJ a kilogram.

    pyet has it follow the temperature (FAO-56, Eq. 3-1 of its annex).
    """
    on = weather.on
    heat = 2.501 - 0.002361 * weather.tmean_c
    found = pyet.hargreaves(
        tmean=series(weather.tmean_c, on),
        tmax=series(weather.tmax_c, on),
        tmin=series(weather.tmin_c, on),
        lat=math.radians(weather.latitude_deg),
    ).iloc[0]
    expected = found * heat / 2.45

    assert expected == pytest.approx(hargreaves_mm(weather), rel=0.002)
