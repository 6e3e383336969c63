"""How long picked fruit still keeps."""

from collections.abc import Iterator, Sequence
from typing import Final

from service.agronomy.cooling import CoolingFigures, Lain, ShelfLife, load_cooling, shelf_life
from service.cli.calculators.shape import NUMBER, Answer, Argument, Calculator, Pair, Pairs


def _compute(*, lain: Sequence[Pair], kept_at_c: float) -> Answer:
    figures = load_cooling()
    found = shelf_life(figures, [Lain(hours=hours, at_c=at_c) for hours, at_c in lain], kept_at_c)
    return Answer(
        values={
            "days_left_least": found.days_left[0],
            "days_left_most": found.days_left[1],
            "kept_at_c": found.kept_at_c,
            "used_percent": found.used_percent,
            "hours_warm": found.hours_warm,
            "cooled_late": found.cooled_late,
            "beyond_figures": found.beyond_figures,
            "sell_today": found.sell_today,
        },
        lines=_lines(figures, found),
        assumed={} if lain else {"lain": "cooled at once"},
    )


def _lines(figures: CoolingFigures, found: ShelfLife) -> Iterator[str]:
    least, most = found.days_left
    yield f"Kept at {found.kept_at_c:g} °C the fruit lasts {least:.1f} to {most:.1f} days more."
    if found.sell_today:
        yield "It may not keep until tomorrow: sell it today."
    if found.cooled_late:
        yield (
            f"It lay warm for {found.hours_warm:g} hours; cool it within {figures.cooling.within_hours:g}, "
            f"to {figures.cooling.cold_c:g} °C or less."
        )
    if found.beyond_figures:
        yield f"No figure is known above {figures.keeps[-1].at_c:g} °C: the last line was drawn on."


COOLING: Final = Calculator(
    name="cooling",
    about="""Compute how long picked fruit keeps.

    By the hours it has lain at which temperatures: a range, and no word on whether fruit is fit to eat.

    Example: trussline calc cooling --lain 2@25 --lain 5@10 --kept-at 0
    """,
    arguments=(
        Argument(
            flag="lain",
            name="lain",
            what="how long it lay how warm since picking, in order, like 2@25",
            unit="hours@degrees Celsius",
            type=Pairs(NUMBER, "@", NUMBER, "2@25"),
            many=True,
        ),
        Argument(
            flag="kept-at",
            name="kept_at_c",
            what="temperature it is kept at from now on",
            unit="degrees Celsius",
            needed=True,
        ),
    ),
    compute=_compute,
)
