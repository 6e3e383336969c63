"""The forecast of a district at a terminal, and how good such forecasts have been."""

import json
from collections.abc import Callable, Iterator
from typing import Any, Final, TypeVar

import click

from service.agronomy.forecast import Forecast, Range
from service.agronomy.forecast_backtest import FOUR_WEEKS, LAST_WEEK, OURS, Backtest
from service.agronomy.forecast_plots import WEEK
from service.cli.opening import open_house
from service.clock import local_day
from service.core.errors import Refused
from service.core.weeks import week_of
from service.use_cases.forecasting import Outlook, look_ahead, reckons

_GRAMS_A_KILO: Final = 1000
_TRIALS: Final = 8
_MOST_TRIALS: Final = 52
_Command = TypeVar("_Command", bound=Callable[..., object])
_TOO_LITTLE: Final = (
    "The farmers of {district} have told weights in too few weeks to forecast anything: "
    "try again when there are some more."
)
_METHODS: Final = {
    OURS: "This forecast",
    LAST_WEEK: "Last week again",
    FOUR_WEEKS: "The mean of four weeks",
}


@click.group("forecast")
def forecast_group() -> None:
    """Forecast the kilos that a district will tell, and see how good such forecasts have been.

    Example: trussline forecast show --district Ndaliro
    """


def _options(command: _Command) -> _Command:
    as_json = click.option("--json", "as_json", is_flag=True, help="For programs: one JSON object.")
    district = click.option("--district", required=True, metavar="NAME", help="One of the programme's.")
    return district(as_json(command))


@forecast_group.command()
@_options
def show(district: str, *, as_json: bool) -> None:
    """Forecast what the farmers of a district will tell in this week and the next, as a range.

    From their plots' ages and the weights of the last weeks. A week begins on Monday. It promises nothing.

    Example: trussline forecast show --district Ndaliro
    """
    outlook = _look(district, 0).forecast
    if outlook is None:
        raise Refused(_TOO_LITTLE.format(district=district))
    click.echo(json.dumps(_plain(outlook)) if as_json else "\n".join(_told(district, outlook)))


@forecast_group.command("backtest")
@click.option(
    "--trials",
    type=click.IntRange(1, _MOST_TRIALS),
    default=_TRIALS,
    show_default=True,
    help="On how many past weeks.",
)
@_options
def try_it(district: str, trials: int, *, as_json: bool) -> None:
    """Make the forecast as of past weeks, and hold it against what was told afterwards.

    Beside it stand two forecasts that know nothing of plants.

    Example: trussline forecast backtest --district Ndaliro --json
    """
    found = _look(district, trials).backtest
    if found is None:
        raise Refused(_TOO_LITTLE.format(district=district))
    click.echo(json.dumps(_scores(found)) if as_json else "\n".join(_judged(found)))


def _look(name: str, trials: int) -> Outlook:
    with open_house() as house, house.database.look() as work:
        there = {one.name.casefold(): one for one in work.people.districts()}
        wanted = there.get(name.casefold())
        if wanted is None:
            raise Refused(f"There is no district {name}: see `trussline district list`.")
        first = week_of(local_day(house.service_clock.now(), wanted.zone))
        return look_ahead(
            reckons(house.tools.calendar_in(wanted.name)), work.fields, wanted.id, first, trials=trials
        )


def _told(district: str, found: Forecast) -> Iterator[str]:
    yield f"{district}, 14 days from {found.first}: {_range(found.all)}."
    for place, week in enumerate(found.weeks, start=1):
        yield f"Week {place}: {_range(week)}."
    yield f"Picked, told or not: about {_kilos(found.picked)} kg."
    yield "The range is meant to hold eight times in ten. Nothing of it is promised."


def _range(range_: Range) -> str:
    return f"{_kilos(range_.low)} to {_kilos(range_.high)} kg, {_kilos(range_.expected)} expected"


def _kilos(grams: float) -> str:
    return f"{grams / _GRAMS_A_KILO:,.0f}"


def _judged(found: Backtest) -> Iterator[str]:
    yield f"Of {len(found.weeks)} weeks {found.inside} lay within the range, which is meant for eight in ten."
    for name, words in _METHODS.items():
        scaled = found.scaled(name)
        mase = "" if scaled is None else f" (MASE {scaled:.2f})"
        yield f"{words} was off by {found.off(name) / _GRAMS_A_KILO:,.1f} kg a week{mase}."


def _plain(found: Forecast) -> dict[str, Any]:
    return {
        "from": found.first.isoformat(),
        "days": WEEK * len(found.weeks),
        "all_kg": _plain_range(found.all),
        "weeks_kg": [_plain_range(week) for week in found.weeks],
        "days_kg": [_kg(grams) for grams in found.days],
        "picked_kg": _kg(found.picked),
        "past": [
            {
                "from": week.first.isoformat(),
                "kg": None if week.told is None else _kg(week.told),
                "plots": week.plots,
            }
            for week in found.past
        ],
    }


def _plain_range(range_: Range) -> dict[str, float]:
    return {"low": _kg(range_.low), "expected": _kg(range_.expected), "high": _kg(range_.high)}


def _kg(grams: float) -> float:
    return round(grams / _GRAMS_A_KILO, 3)


def _scores(found: Backtest) -> dict[str, Any]:
    return {
        "weeks": len(found.weeks),
        "inside": found.inside,
        "coverage": round(found.inside / len(found.weeks), 3),
        "methods": {
            name: {"mae_kg": _kg(found.off(name)), "mase": _rounded(found.scaled(name))} for name in _METHODS
        },
        "tried": [
            {
                "from": week.first.isoformat(),
                "ahead": week.ahead,
                "kg": _kg(week.told),
                "forecast_kg": _plain_range(week.range),
                "plain_kg": {name: _kg(grams) for name, grams in week.plain.items()},
            }
            for week in found.weeks
        ],
    }


def _rounded(scaled: float | None) -> float | None:
    return None if scaled is None else round(scaled, 3)
