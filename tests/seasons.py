"""Made-up seasons of a district, by other rules than those that the forecast goes by.

No open series of strawberry weights was found. Here fruit comes in flushes, each of which adds up along a logistic
curve (a dose-logistic curve fitted what Menzel 2021, Horticulturae 7(2):34, added up over a season), over a thin rest;
frost takes the flowers of some plots, so that weeks later they bear next to nothing; weather makes whole weeks better
or worse. Fruit hangs until it is picked, and is lost if it is not. Farmers miss picks, forget to tell them, fall silent
for weeks, or never tell any. All figures are invented.
"""

import math
from dataclasses import dataclass
from datetime import date, timedelta
from random import Random  # noqa: TID251 - seeded: a season is the same every time
from typing import Final

from service.agronomy.forecast_plots import BearingPlot, Pick

TODAY: Final = date(2026, 11, 28)
_FIRST_FRUIT_AGE: Final = 144
_LAST_AGE: Final = 1095
_HANGS: Final = 6


@dataclass(frozen=True, kw_only=True)
class Season:
    """A district as its officer knows it, and what only this module knows.

    Attributes:
        plots: what was told.
        picked: grams that were really picked on each day, by all.
    """

    plots: list[BearingPlot]
    picked: dict[date, float]


class _Weather:
    """What all plots of a district have in common."""

    def __init__(self, luck: Random, days: int) -> None:
        self.good: list[float] = []
        mood = 0.0
        for day in range(days):
            if day % 7 == 0:
                mood = 0.5 * mood + luck.gauss(0, 0.12)
            self.good.append(math.exp(mood))
        # One frost in three seasons of every five, somewhere in its middle.
        self.frost = luck.randrange(days // 4, days) if luck.random() < 0.6 else None


def season(seed: int, *, weeks: int = 26, plots: int | None = None) -> Season:
    """Return what a district told in so many weeks up to yesterday."""
    luck = Random(seed)  # noqa: S311 - luck, not secrets
    days = 7 * weeks
    weather = _Weather(luck, days)
    begins = TODAY - timedelta(days=days)
    picked: dict[date, float] = {}
    made = [_plot(luck, weather, begins, days, picked) for _ in range(plots or luck.randint(12, 120))]
    return Season(plots=made, picked=picked)


def _plot(luck: Random, weather: _Weather, begins: date, days: int, picked: dict[date, float]) -> BearingPlot:
    age = luck.randint(-100, 850)
    plants = int(luck.lognormvariate(5.7, 0.6)) + 20
    ripe = _ripe(luck, weather, age, days)
    told = _tell(luck, [grams * plants for grams in ripe], begins, picked)
    planted = begins - timedelta(days=age)
    return BearingPlot(
        first_fruit_on=planted + timedelta(days=_FIRST_FRUIT_AGE),
        ends_on=planted + timedelta(days=_LAST_AGE),
        plants=plants,
        picks=told,
    )


def _ripe(luck: Random, weather: _Weather, age: int, days: int) -> list[float]:
    """Return the grams that ripen on a plant each day."""
    begins = _FIRST_FRUIT_AGE + luck.gauss(8, 8)
    a_year = luck.lognormvariate(math.log(290), 0.35)
    every = luck.uniform(38, 60)
    width = luck.uniform(5, 9)
    rest = luck.uniform(0.2, 0.5)
    frozen = weather.frost is not None and luck.random() < 0.5
    ripe = []
    for day in range(days):
        since = age + day - begins
        if since < 0:
            ripe.append(0.0)
            continue
        flush = (1 - rest) * every * _logistic((since % every - every / 2) / width) / width
        tired = max(0.5, 1.08 - since / 2000)
        grams = a_year / 365 * (rest + flush) * tired * weather.good[day]
        # From open flower to ripe fruit are 24 to 44 days: Chandler (2004).
        if frozen and weather.frost is not None and 24 <= day - weather.frost <= 44:
            grams *= 0.15
        ripe.append(grams)
    return ripe


def _logistic(x: float) -> float:
    """Return how fast a logistic curve rises."""
    return 1 / (4 * math.cosh(x / 2) ** 2)


def _tell(luck: Random, ripe: list[float], begins: date, picked: dict[date, float]) -> list[Pick]:
    """Let a farmer pick what is ripe, and tell it or not."""
    pick_days = luck.choice(((0, 3), (1, 4), (2, 5), (0, 2, 4), (6,)))
    diligent, tells = luck.uniform(0.75, 1), luck.choice((0.0, 0.5, 0.85, 0.95, 0.95))
    silent = luck.randrange(len(ripe)) if luck.random() < 0.25 else len(ripe)
    told: list[Pick] = []
    hanging: list[float] = []
    for day, grams in enumerate(ripe):
        hanging = [*hanging, grams][-_HANGS:]
        on = begins + timedelta(days=day)
        if on.weekday() not in pick_days or luck.random() > diligent:
            continue
        weight, hanging = sum(hanging), []
        picked[on] = picked.get(on, 0.0) + weight
        if silent <= day < silent + 25 or luck.random() > tells:
            continue
        # A kitchen scale shows tenths of a kilo; nobody tells of nothing every time.
        shown = round(weight, -2)
        if shown or (luck.random() < 0.4 and told):
            told.append(Pick(on, int(shown)))
    return told
