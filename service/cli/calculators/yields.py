"""What a stand is expected to bear, and how a farmer's own weights lie to it."""

from collections.abc import Iterator, Sequence
from dataclasses import asdict
from datetime import date, timedelta
from typing import Final

from service.agronomy.calendar import load_calendar
from service.agronomy.yield_curve import Bearing, Expected, Pace, Weight, expected, own_pace
from service.agronomy.yield_figures import load_yield
from service.cli.arguments import DAY
from service.cli.calculators.shape import NUMBER, WHOLE, Answer, Argument, Calculator, Pair, Pairs

_GRAMS_A_KILO: Final = 1000
_YEAR: Final = timedelta(days=365)
_WEIGHTS: Final = Pairs(DAY, "=", NUMBER, "2026-03-25=12.5")


def _compute(
    *,
    planted_on: date,
    plants: int,
    elevation_m: int | None,
    first: date | None,
    last: date | None,
    weights: Sequence[Pair],
) -> Answer:
    between = load_calendar().first_fruit_between(planted_on, elevation_m)
    # Low ground is what the calendar takes where no elevation is known.
    assumed: dict[str, object] = {} if elevation_m is not None else {"elevation_m": "low"}
    if first is None:
        first = assumed["from"] = between[0]
    if last is None:
        last = assumed["to"] = first + _YEAR - timedelta(days=1)
    figures, stand = load_yield(), Bearing(first_fruit_on=between[0], plants=plants)
    range_ = expected(figures, stand, first, last)
    own = [Weight(picked_on=on, grams=round(kg * _GRAMS_A_KILO)) for on, kg in weights]
    pace = own_pace(figures, stand, own, last)
    return Answer(
        values={
            "from": first,
            "to": last,
            "first_fruit_from": between[0],
            "first_fruit_to": between[1],
            "low_g": range_.low,
            "typical_g": range_.typical,
            "high_g": range_.high,
            "typical_g_a_plant": range_.grams_a_plant,
            "pace": None if pace is None else asdict(pace),
        },
        lines=_lines(between, first, last, range_, pace, some=bool(own)),
        assumed=assumed,
    )


def _lines(
    between: tuple[date, date], first: date, last: date, range_: Expected, pace: Pace | None, *, some: bool
) -> Iterator[str]:
    yield f"First ripe fruit is expected from {between[0]} to {between[1]}."
    yield (
        f"From {first} to {last} {_kg(range_.low)} to {_kg(range_.high)} kg are expected, typically "
        f"{_kg(range_.typical)}: {range_.grams_a_plant:.0f} g a plant."
    )
    yield "This is a working range to compare with, and promises nothing."
    if pace is not None:
        share = "" if pace.percent is None else f", {pace.percent:.0f} % of what is typical"
        yield f"Since {pace.since} {_kg(pace.grams)} kg were picked{share}: {pace.against} the range."
    elif some:
        yield "These weights are too few, or span too few days, to say anything of a pace."


def _kg(grams: int) -> str:
    return f"{grams / _GRAMS_A_KILO:,.1f}"


YIELD: Final = Calculator(
    name="yield",
    about="""Compute what a stand may bear.

    As a range, and how a farmer's own weights lie to it. Without days: the first year of fruit. The range has no
    published source and promises nothing.

    Example: trussline calc yield --planted 2026-03-25 --plants 250 --from 2026-09-01 --to 2026-11-30
    """,
    arguments=(
        Argument(
            flag="planted", name="planted_on", what="planting date, like 2026-03-25", type=DAY, needed=True
        ),
        Argument(flag="plants", name="plants", what="number of plants", type=WHOLE, needed=True),
        Argument(
            flag="elevation",
            name="elevation_m",
            what="elevation",
            unit="whole metres above the sea",
            type=WHOLE,
        ),
        Argument(flag="from", name="first", what="first day, like 2026-09-01", type=DAY),
        Argument(flag="to", name="last", what="last day, like 2026-11-30", type=DAY),
        Argument(
            flag="weight",
            name="weights",
            what="weight of a day, like 2026-03-25=12.5",
            unit="kg",
            type=_WEIGHTS,
            many=True,
        ),
    ),
    compute=_compute,
)
