"""How fast all plots are forecast and their risks judged, held against reading them with their weights."""

from collections.abc import Iterable, Mapping
from datetime import date, timedelta
from typing import Final

from scheduler.bench.ground import NIGHT, Ground
from scheduler.bench.report import Report
from scheduler.bench.timing import MemoryWatch, Stopwatch
from service.agronomy.forecast import forecast
from service.agronomy.forecast_plots import BearingPlot
from service.agronomy.risk import Conditions, Day, Risk, Stage
from service.agronomy.risk_figures import RiskFigures, load_risk
from service.agronomy.risk_table import risks_of
from service.clock import local_day
from service.core.model import District
from service.db.measuring.seeding import seed_weights
from service.db.work import Database
from service.use_cases.forecasting import Reckons, read_plots, reckons

_RATIO: Final = 3.0
# Weather of two weeks up to the day and the day itself, as a district's forecast has it.
_WEATHER_DAYS: Final = 15


def bench_agronomy(ground: Ground, farmers: int) -> Report:
    """Measure forecasting all districts and judging the risks of all plots, on made-up weights and weather.

    Figures:
        weights: those of the days a forecast knows.
        plots: those that may bear; forecasts: districts forecast; judged: plots whose risks were.
        seconds: reading all plots with their weights, forecasting and judging; `floor_seconds` for the reading alone.
        ratio: the one by the other.
        peak_mb: how far this process's memory rose at most meanwhile, in MiB.
    """
    report = Report("agronomy", ground.scratch, farmers=farmers, rounds=ground.rounds)
    watch = Stopwatch()
    by, risks = reckons(ground.tools.calendar), load_risk()
    with ground.seeded(farmers) as database:
        ground.say("making their weights")
        weights = seed_weights(database, NIGHT, by.figures.days)
        counts: Mapping[str, int] = {}
        peak = 0.0
        for _ in ground.turns():
            watch.time("read", lambda: sum(len(plots) for _, plots in _read(database, by)))
            memory = MemoryWatch()
            counts = watch.time("all", lambda: _reckon(database, by, risks))
            peak = max(peak, memory.growth_mb())
    report.put(weights=weights, **counts)
    report.put_seconds(watch, "all")
    report.put_seconds(watch, "read", "floor_")
    report.put_at_most("ratio", watch.median("all") / watch.median("read"), _RATIO)
    report.put(peak_mb=round(peak, 1))
    return report.finish()


def _read(database: Database, by: Reckons) -> Iterable[tuple[District, tuple[BearingPlot, ...]]]:
    """Yield each district with its plots."""
    with database.look() as work:
        for district in work.people.districts():
            first = local_day(NIGHT, district.zone)
            since = first - timedelta(days=by.figures.days)
            yield district, read_plots(work.fields, by.calendar, district.id, since, first)


def _reckon(database: Database, by: Reckons, risks: RiskFigures) -> Mapping[str, int]:
    plots = forecasts = judged = 0
    for district, there in _read(database, by):
        first = local_day(NIGHT, district.zone)
        plots += len(there)
        forecasts += forecast(by.figures, by.yields, there, first) is not None
        judged += sum(len(found) > 0 for found in _risks(risks, district, there, first))
    return {"plots": plots, "forecasts": forecasts, "judged": judged}


def _risks(
    risks: RiskFigures, district: District, plots: Iterable[BearingPlot], on: date
) -> Iterable[tuple[Risk, ...]]:
    """Yield the risks of each plot; those that stand alike in the same weather are judged once."""
    weather = tuple(
        Day(on=on - timedelta(days=back), min_c=4 + back % 7, max_c=19 + back % 9, rain_mm=back * 5 % 12)
        for back in range(_WEATHER_DAYS)
    )
    known: dict[frozenset[Stage], tuple[Risk, ...]] = {}
    for plot in plots:
        stages = frozenset({Stage.OPEN, Stage.FRUIT} if plot.first_fruit_on <= on else {Stage.OPEN})
        if stages not in known:
            conditions = Conditions(on=on, days=weather, stages=stages, elevation_m=district.elevation_m)
            known[stages] = risks_of(risks, conditions)
        yield known[stages]
