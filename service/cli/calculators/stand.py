"""How many plants stand where, and what their beds need."""

from collections.abc import Iterator
from typing import Final

from service.agronomy.plant_counts import Order, seedlings_to_order
from service.agronomy.stand import (
    Assumed,
    Layout,
    Stand,
    load_stand,
    plants_on_beds,
    plants_on_ground,
    stand_of,
)
from service.cli.calculators.shape import WHOLE, Answer, Argument, Calculator
from service.core.errors import Refused

_SQUARE: Final = 100
_NO_HEADLANDS: Final = ("headlands", "none")


def _compute(
    *,
    bed_m: float,
    path_m: float,
    rows: int,
    spacing_m: float,
    plants: int | None,
    ground_m2: float | None,
    beds: int | None,
    bed_length_m: float | None,
    bed_height_m: float | None,
    loss_percent: int | None,
) -> Answer:
    layout = Layout(bed_m=bed_m, path_m=path_m, rows=rows, spacing_m=spacing_m)
    figures = load_stand()
    found = _plants(layout, plants, ground_m2, beds, bed_length_m)
    per_plant = {
        "ground_m2_a_plant": layout.ground_per_plant_m2,
        "plants_per_ha": layout.plants_per_ha,
        "plants_per_100_m2": plants_on_ground(layout, _SQUARE),
    }
    if found is None:
        return Answer(values=per_plant, lines=[_density(layout)], assumed=dict([_NO_HEADLANDS]))
    stand = stand_of(figures, layout, found, bed_height_m=bed_height_m)
    order = seedlings_to_order(figures, found, loss_percent)
    taken: dict[Assumed, tuple[str, object]] = {
        Assumed.NO_HEADLANDS: _NO_HEADLANDS,
        Assumed.LINES_BY_ROWS: ("rows_a_drip_line", figures.drip.rows_a_line),
        Assumed.BED_HEIGHT: ("bed_height_m", figures.film.bed_height_m),
    }
    assumed = dict(taken[what] for what in stand.assumed)
    if order.loss_assumed:
        assumed["loss_percent"] = order.loss_percent
    return Answer(
        values=per_plant
        | {
            "plants": stand.plants,
            "bed_metres": stand.bed_metres,
            "ground_m2": stand.ground_m2,
            "drip_m": stand.drip_m,
            "film_m": stand.film_m,
            "film_width_m": stand.film_width_m,
            "seedlings_to_order": order.seedlings,
        },
        lines=_lines(layout, stand, order),
        assumed=assumed,
    )


def _plants(
    layout: Layout, plants: int | None, ground_m2: float | None, beds: int | None, bed_length_m: float | None
) -> int | None:
    """Return the plants by the one way they were told; None where none was."""
    if (beds is None) != (bed_length_m is None):
        raise Refused("Beds are counted with their length: give both --beds and --bed-length.")
    if sum(way is not None for way in (plants, ground_m2, beds)) > 1:
        raise Refused("Plants are told in one way: give --plants, --ground, or --beds with --bed-length.")
    if beds is not None and bed_length_m is not None:
        return plants_on_beds(layout, beds, bed_length_m)
    return plants if ground_m2 is None else plants_on_ground(layout, ground_m2)


def _density(layout: Layout) -> str:
    return (
        f"Each plant has {layout.ground_per_plant_m2:.4g} square metres, its share of the path included: "
        f"{layout.plants_per_ha:,.0f} plants on a hectare, {plants_on_ground(layout, _SQUARE)} on 100 square metres."
    )


def _lines(layout: Layout, stand: Stand, order: Order) -> Iterator[str]:
    yield _density(layout)
    yield f"{stand.plants:,} plants take {stand.bed_metres:,.1f} m of bed on {stand.ground_m2:,.1f} square metres."
    yield (
        f"They need {stand.drip_m:,.1f} m of drip line, and {stand.film_m:,.1f} m of film at least "
        f"{stand.film_width_m:.2f} m wide."
    )
    yield f"Order {order.seedlings:,} seedlings, as {order.loss_percent} % may be lost."


STAND: Final = Calculator(
    name="stand",
    about="""Compute how many plants fit on beds.

    And what these beds need in ground, drip line, film and seedlings. Without --plants, --ground or --beds only the
    density is told. All ground is taken as planted.

    Example: trussline calc stand --bed 1.0 --path 0.5 --rows 2 --spacing 0.3 --ground 500
    """,
    arguments=(
        Argument(flag="bed", name="bed_m", what="width of a bed", unit="metres", needed=True),
        Argument(flag="path", name="path_m", what="width of the path beside it", unit="metres", needed=True),
        Argument(flag="rows", name="rows", what="number of rows on a bed", type=WHOLE, needed=True),
        Argument(
            flag="spacing", name="spacing_m", what="spacing of plants in a row", unit="metres", needed=True
        ),
        Argument(flag="plants", name="plants", what="number of plants", type=WHOLE),
        Argument(flag="ground", name="ground_m2", what="ground of beds and paths", unit="square metres"),
        Argument(flag="beds", name="beds", what="number of beds", type=WHOLE),
        Argument(flag="bed-length", name="bed_length_m", what="length of a bed", unit="metres"),
        Argument(flag="bed-height", name="bed_height_m", what="height of a bed", unit="metres"),
        Argument(
            flag="loss", name="loss_percent", what="seedlings that are lost", unit="percent", type=WHOLE
        ),
    ),
    compute=_compute,
)
