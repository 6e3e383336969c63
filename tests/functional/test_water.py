"""Stories of water: how much the plants need today, the farmer's own can, and the rain in a gauge.

Litres are reckoned by hand beside each story. Millimetres come from examples of FAO Irrigation and Drainage Paper 56,
or from Eq. 21 and 52 of it, recomputed.
"""

from datetime import UTC, date, datetime, timedelta
from typing import Any, Unpack

import pytest

from service.agronomy.traits import PlotTraits
from service.core.columns import PlotChange
from service.core.weather_ports import DayWeather, ImportWay, NewBatch
from tests.village import Phone, Village

# A day of which the paper has an example, 6 July; in a year that lies ahead of the village.
UCCLE = datetime(2027, 7, 6, 7, 0, tzinfo=UTC)
# The middle of July, likewise.
LYON = datetime(2027, 7, 15, 7, 0, tzinfo=UTC)


@pytest.fixture
def phone(village: Village) -> Phone:
    """The phone of a farmer with 400 plants, 200 days old, at 1,900 m; nobody told what covers the soil."""
    phone = village.phone()
    phone.joins(plants=400, days_ago=200)
    return phone


def weather(village: Village, days: dict[date, DayWeather], district: str = "Ketumali") -> None:
    """Let weather of a district come in."""
    with village.database.work() as work:
        place = next(one for one in work.people.districts() if one.name == district)
        new = NewBatch(
            district_id=place.id,
            at=village.clock.now(),
            officer_id=None,
            way=ImportWay.COMMAND,
            file_name="days.csv",
            days=days,
            hours={},
        )
        work.weather_batches.keep(new)
        work.commit()


def forecast(village: Village, **figures: float) -> DayWeather:
    """Return a day that was forecast a little while ago."""
    return DayWeather(observed=False, issued_at=village.clock.now(), **figures)


def change_plots(village: Village, **values: Unpack[PlotChange]) -> None:
    """Change the plots, as an officer would have it."""
    with village.database.work() as work:
        for row in village.rows("SELECT id FROM plot"):
            work.plots.set(int(str(row["id"])), **values)
        work.commit()


def be_like(village: Village, **words: Any) -> None:  # noqa: ANN401 - the words of `PlotTraits`
    """Let the plots be like that."""
    traits = PlotTraits(**words)
    change_plots(village, mulch_kind=traits.mulch, water_method=traits.water_method)


def gauges(village: Village) -> list[tuple[object, object]]:
    """Return what is kept of rain and holds: day and tenths of a millimetre."""
    rows = village.rows("SELECT day, tenths_mm FROM rain_report WHERE voided_by IS NULL ORDER BY id")
    return [(str(row["day"]), row["tenths_mm"]) for row in rows]


@pytest.fixture
def far_phone(village: Village) -> Phone:
    """The phone of a farmer in a district at 50.8 degrees north and 100 m, on the day of an example of the paper."""
    with village.database.work() as work:
        work.people.add_district("Mto Baridi", "Africa/Dar_es_Salaam", 100, 508)
        work.commit()
    village.clock.set(UCCLE)
    phone = village.phone()
    phone.says(f"JOIN Neema 400 {village.today - timedelta(days=200):%d/%m/%Y} Mto Baridi")
    phone.says("YES")
    return phone


def test_litres_of_a_published_day(village: Village, far_phone: Phone) -> None:
    """FAO-56, example 18: 3.9 mm on 6 July at 50.8 degrees north.

    3.88 mm x 0.85 x 0.225 m2 = 0.742 litres; of what is given by can 0.75 arrives: 0.99 a plant, 396 for 400 plants,
    40 cans of 10 litres, and half of it to keep them alive. That weather is kept in tenths changes nothing of it.
    """
    day = forecast(village, tmin_c=12.3, tmax_c=21.5, ea_kpa=1.409, wind_m_s=2.078, radiation_mj_m2=22.07)
    weather(village, {village.today: day}, "Mto Baridi")

    answer = far_phone.says("water")

    assert answer == (
        "Neema, water today: about 1.0 litres a plant, 400 for 400 plants: 40 cans of 10 litres. "
        "When water is short, 20 cans keep them alive. 22 degrees forecast. Assumed: bare soil, usual beds."
    )


def test_temperatures_alone_count_as_the_mean_of_the_week(village: Village) -> None:
    """FAO-56, example 20: 14.8 and 26.6 degrees in July at 45.7 degrees north take 5.0 mm by Hargreaves.

    5.03 mm x 0.85 x 0.225 m2 / 0.75 = 1.283 litres a plant, 513 for 400 plants. Days that differ have that mean.
    """
    with village.database.work() as work:
        work.people.add_district("Mto Mrefu", "Africa/Dar_es_Salaam", 200, 457)
        work.commit()
    village.clock.set(LYON)
    phone = village.phone()
    phone.says(f"JOIN Neema 400 {village.today - timedelta(days=200):%d/%m/%Y} Mto Mrefu")
    phone.says("YES")
    off = {-2: -1.0, -1: 1.0, 1: 2.0, 3: -2.0, 4: 30.0}
    days = {
        village.today + timedelta(days=away): DayWeather(observed=True, tmin_c=14.8 + by, tmax_c=26.6 + by)
        for away, by in off.items()
    }
    weather(village, days, "Mto Mrefu")

    answer = phone.says("water")

    assert "about 1.3 litres a plant, 510 for 400 plants: 51 cans" in answer
    assert "27 degrees measured" in answer


def test_temperatures_of_the_day_alone_are_one_more_day_of_the_week(village: Village, phone: Phone) -> None:
    """What nobody told more of is no day by itself: 24 degrees today and 20 tomorrow are 22."""
    days = {ahead: forecast(village, tmin_c=12, tmax_c=24 - 4 * ahead) for ahead in (0, 1)}
    weather(village, {village.today + timedelta(days=ahead): day for ahead, day in days.items()})

    assert "22 degrees forecast" in phone.says("water")


def test_humidity_stands_in_for_vapour(village: Village, far_phone: Phone) -> None:
    """FAO-56, Eq. 19: 70.6 % of the mean of 2.564 and 1.431 kPa are the 1.41 kPa of example 18, and so its 3.9 mm."""
    figures = {"tmin_c": 12.3, "tmax_c": 21.5, "wind_m_s": 2.078, "radiation_mj_m2": 22.07}
    weather(village, {village.today: forecast(village, humidity_percent=70.6, **figures)}, "Mto Baridi")

    assert "about 1.0 litres a plant, 400 for 400 plants" in far_phone.says("water")


def test_without_weather_a_usual_day_is_taken_and_said(phone: Phone) -> None:
    """At 1,900 m: 28 - 5.5 x 1.9 = 17.55 degrees, and 0.51 more in November at 6.8 degrees south: 18.06.

    Eq. 21 gives 38.45 MJ, Eq. 52 0.0023 x 35.86 x 12^0.5 x 15.69 = 4.48 mm; x 0.85 x 0.225 / 0.75 = 1.143 litres a
    plant, 457 for 400 plants.
    """
    answer = phone.says("water")

    assert answer == (
        "Neema, water today: about 1.1 litres a plant, 460 for 400 plants: 46 cans of 10 litres. "
        "When water is short, 23 cans keep them alive. "
        "Assumed: a usual day this month at 1900 m, bare soil, usual beds."
    )
    assert 2 == phone.received[-1].parts


def test_weather_that_cannot_be_is_left_out(village: Village, phone: Phone) -> None:
    """More vapour than such air can hold: the temperatures are taken alone, and nobody is left without an answer."""
    weather(village, {village.today: forecast(village, tmin_c=10, tmax_c=20, ea_kpa=5)})

    assert "20 degrees forecast" in phone.says("water")


@pytest.mark.parametrize(
    ("mulch", "litres", "said"),
    [
        # 4.481 mm x 0.85 x 0.225 / 0.75 x 400 = 457; a cover leaves 0.85 or 0.65 of it; in whole cans of 10.
        pytest.param(None, 460, "bare soil", id="not-told"),
        pytest.param("straw", 390, "usual beds", id="straw"),
        pytest.param("plastic", 300, "usual beds", id="plastic"),
    ],
)
def test_a_cover_saves_water(
    village: Village, phone: Phone, mulch: str | None, litres: int, said: str
) -> None:
    """What nobody told is assumed and said; what is known is not."""
    be_like(village, mulch=mulch)

    answer = phone.says("water")

    assert f"{litres} for 400 plants" in answer
    assert said in answer
    assert ("bare soil" in answer) == (mulch is None)


def test_water_goes_by_the_plots_own_beds(village: Village, phone: Phone) -> None:
    """Beds of 1.2 m, paths of 0.4 m, 3 rows, 30 cm: 0.16 m2 a plant: 4.481 x 0.85 x 0.16 / 0.75 x 400 = 325, 33 cans."""
    change_plots(village, bed_width_cm=120, path_width_cm=40, bed_rows=3, spacing_cm=30)

    answer = phone.says("water")

    assert "about 0.8 litres a plant, 330 for 400 plants: 33 cans" in answer
    assert "usual beds" not in answer


def test_beds_that_cannot_be_are_taken_as_usual_ones(village: Village, phone: Phone) -> None:
    """A bed of 12 cm is a slip; the farmer is answered all the same, and told what was taken."""
    change_plots(village, bed_width_cm=12, path_width_cm=40, bed_rows=3, spacing_cm=30)

    answer = phone.says("water")

    assert "460 for 400 plants" in answer
    assert "usual beds" in answer


def test_by_drip_no_cans_are_counted(village: Village, phone: Phone) -> None:
    """Of what drips 0.90 arrives: 4.481 x 0.85 x 0.225 / 0.90 x 400 = 381 litres. Whoever tells a can carries it."""
    be_like(village, water_method="drip")

    answer = phone.says("water")

    assert (
        "water by drip today: about 1.0 litres a plant, 381 for 400 plants. When water is short, 190 litres"
        in answer
    )
    assert "460 for 400 plants: 23 cans of 20 litres" in phone.says("water can 20")


def test_by_drip_of_a_told_flow_minutes_are_counted(village: Village, phone: Phone) -> None:
    """4.481 x 0.85 x 0.225 / 0.90 = 0.952 litres: at 2 litres an hour 28.6 minutes, and half of that."""
    first = phone.says("water drip 2")
    village.pass_days(1)

    assert "about 1.0 litres a plant, 29 minutes of drip at 2 litres an hour" in first
    assert "14 minutes keep them alive" in first
    assert "29 minutes of drip" in phone.says("maji")
    # The last thing told holds.
    assert "46 cans of 10 litres" in phone.says("water can 10")
    assert [{"kind": "can", "millilitres": 10_000}] == village.rows("SELECT kind, millilitres FROM container")


@pytest.mark.parametrize(
    ("days_ago", "litres"),
    [
        # Crop coefficients by age: 0.40, between them, 0.85, at the end 0.75. 4.481 x Kc x 0.225 / 0.75 x 400, in cans.
        pytest.param(0, 220, id="planting-day"),
        pytest.param(105, 340, id="between"),
        pytest.param(1095, 400, id="at-the-end"),
        pytest.param(1400, 400, id="beyond-it"),
    ],
)
def test_water_goes_by_age(village: Village, phone: Phone, days_ago: int, litres: int) -> None:
    """Young plants drink less; whoever keeps theirs beyond three years is answered as well."""
    change_plots(village, planted_on=village.today - timedelta(days=days_ago))

    assert f"{litres} for 400 plants" in phone.says("water")


def test_plants_that_are_not_in_the_ground_yet(village: Village, phone: Phone) -> None:
    """There is nothing to reckon; the bed is to be wet on the day."""
    change_plots(village, planted_on=date(2026, 12, 20))

    assert "go into the ground on Sun 20/12/2026" in phone.says("water")


def test_a_plot_that_was_closed_needs_no_water(village: Village, phone: Phone) -> None:
    """No litres for plants that do not stand any more."""
    change_plots(village, closed_on=village.today)

    assert "No plants of yours are noted as standing" in phone.says("maji")


def test_the_farmers_own_can_is_kept(village: Village, phone: Phone) -> None:
    """457 litres are 23 cans of 20 litres, and so it stays until another size is told."""
    first = phone.says("water can 20")
    village.pass_days(1)

    assert "23 cans of 20 litres. When water is short, 11 cans" in first
    assert "23 cans of 20 litres" in phone.says("water")
    assert "37 cans of 12.5 litres" in phone.says("maji ndoo ya lita 12.5")
    assert [{"millilitres": 12_500}] == village.rows("SELECT millilitres FROM container")


def test_a_can_is_kept_where_no_water_is_needed(village: Village, phone: Phone) -> None:
    """The answer repeats the size, since no cans are counted."""
    change_plots(village, planted_on=date(2026, 12, 20))

    assert "Noted: your can holds 20 litres" in phone.says("water can 20")
    assert "Noted: your drip gives a plant 2 litres an hour" in phone.says("water drip 2")


def test_on_a_shared_phone_it_is_asked_whose(village: Village, phone: Phone) -> None:
    """Each has plants and a can of their own."""
    phone.joins(name="Asha", plants=100, days_ago=200)

    asked = phone.says("water can 20")
    answer = phone.says("2")

    assert "1 Neema 2 Asha" in asked
    # A quarter of 457 litres.
    assert "Asha, water today: about 1.1 litres a plant, 110 for 100 plants: 5.5 cans of 20 litres" in answer
    assert [{"name": "Asha"}] == village.rows(
        "SELECT name FROM farmer JOIN container ON container.farmer_id = farmer.id"
    )


def test_who_has_not_agreed_yet_gets_no_litres(village: Village, phone: Phone) -> None:
    """On a phone of two, of whom one has not said yes, water is the other's."""
    phone.says(f"JOIN Asha 100 {village.today - timedelta(days=200):%d/%m/%Y} Ketumali")
    village.pass_days(3)

    assert "Neema, water today: about 1.1 litres a plant, 460 for 400 plants" in phone.says("water")


@pytest.mark.parametrize(
    ("words", "kept", "said"),
    [
        # The plants take 4.481 x 0.85 = 3.81 mm; of rain counts what exceeds 5 mm.
        pytest.param("rain 12", ("2026-11-25", 120), "No water is needed today", id="enough"),
        pytest.param("mvua mm 7 leo", ("2026-11-25", 70), "Put a finger into the soil first", id="some"),
        pytest.param("rain 4.5", ("2026-11-25", 45), "So little only wets leaves", id="little"),
        pytest.param("rain 0", ("2026-11-25", 0), "So little only wets leaves", id="none"),
        pytest.param("mvua 30 jana", ("2026-11-24", 300), "Put a finger into the soil first", id="yesterday"),
        pytest.param("rain 30 sunday", ("2026-11-22", 300), "today text WATER", id="days-ago"),
    ],
)
def test_rain_is_kept_and_says_what_it_means(
    village: Village, phone: Phone, words: str, kept: tuple[str, int], said: str
) -> None:
    """The figure, its day, and what to do today."""
    answer = phone.says(words)

    assert said in answer
    assert f"Noted: {kept[1] / 10:g} mm of rain on " in answer
    assert [kept] == gauges(village)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        pytest.param("rain", "How many millimetres", id="no-figure"),
        pytest.param("rain 400", "So much rain", id="too-much"),
        pytest.param("rain 12 tomorrow", "Which day", id="ahead"),
        pytest.param("rain 12 last week", "Which day", id="no-single-day"),
        pytest.param("rain 12 5/11", "Which day", id="too-long-ago"),
    ],
)
def test_rain_that_cannot_be_kept_is_asked_about(
    village: Village, phone: Phone, words: str, said: str
) -> None:
    """Nothing is kept, and the answer shows how it is written."""
    assert said in phone.says(words)
    assert [] == gauges(village)


def test_a_question_about_rain_stays_one(village: Village, phone: Phone) -> None:
    """It goes to the officer."""
    answer = phone.says("mvua kubwa itanyesha lini?")

    assert "Your question" in answer
    assert [] == gauges(village)


def test_rain_counts_in_what_is_watered(phone: Phone) -> None:
    """Of 7 mm two count: 3.81 - 2 = 1.81 mm x 0.225 / 0.75 x 400 = 217 litres, and first the finger."""
    phone.says("rain 7")

    answer = phone.says("water")

    assert "220 for 400 plants" in answer
    assert "Rain 7 mm: put a finger into the soil first" in answer


def test_enough_rain_means_no_water(phone: Phone) -> None:
    """Of 12 mm seven count, at most the 6.5 mm that the roots can take: more than the 3.81 mm they need."""
    phone.says("rain 12")

    assert "no water today: 12 mm of rain are enough" in phone.says("water")


def test_rain_does_not_come_through_plastic(village: Village, phone: Phone) -> None:
    """It runs off the bed, and the plants are watered as usual."""
    be_like(village, mulch="plastic")

    told = phone.says("rain 30")

    assert "Little of it comes through plastic" in told
    assert "300 for 400 plants" in phone.says("water")


def test_the_last_report_of_a_day_holds(village: Village, phone: Phone) -> None:
    """Texted again it replaces the first; taken back, the first holds again."""
    phone.says("rain 12")
    phone.says("rain 7")
    corrected = phone.says("water")
    undone = phone.says("undo")

    assert "Rain 7 mm" in corrected
    assert "Taken back: 7 mm of rain on Wed 25/11" in undone
    assert [("2026-11-25", 120)] == gauges(village)
    assert "12 mm of rain are enough" in phone.says("water")


def test_undo_takes_back_what_was_saved_last(phone: Phone) -> None:
    """Rain after a weight: first the rain, then the weight."""
    phone.says("harvest 4")
    phone.says("rain 12")

    assert "Taken back: 12 mm" in phone.says("undo")
    assert "4 kg" in phone.says("undo")


def test_the_farmers_gauge_wins_over_the_districts(village: Village, phone: Phone) -> None:
    """The district measured 20 mm, and at this plot nothing fell."""
    weather(village, {village.today: DayWeather(observed=True, rain_mm=20)})
    by_district = phone.says("water")
    phone.says("rain 0")

    assert "20 mm of rain are enough" in by_district
    assert "460 for 400 plants" in phone.says("water")


def test_rain_that_is_only_forecast_waters_nothing(village: Village, phone: Phone) -> None:
    """It may not come."""
    weather(village, {village.today: forecast(village, rain_mm=20)})

    assert "460 for 400 plants" in phone.says("water")


def test_what_was_told_of_water_goes_with_the_farmer(village: Village, phone: Phone) -> None:
    """Whoever is removed leaves neither can nor rain behind."""
    for words in ("water can 20", "rain 12", "records", "2", "2"):
        phone.says(words)

    assert [] == village.rows("SELECT * FROM container")
    assert [] == village.rows("SELECT * FROM rain_report")
