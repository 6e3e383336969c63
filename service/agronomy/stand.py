"""The stand: how many plants stand where, what they lie on, and how many to order.

Density is asked for and never assumed: it comes from the bed, the path, the rows and the spacing. All ground
is taken as planted, without headlands. Lengths are in metres, ground in square metres, plants are whole.
"""

import math
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path
from typing import Annotated, Final

from pydantic import Field
from pydantic.dataclasses import dataclass as checked

from service.agronomy.figures import DATA, STRICT, Source, possible, read_figures

DEFAULT_STAND: Final = DATA / "stand.toml"

HECTARE_M2: Final = 10_000
# What is a whole number on paper may fall short of it by this much in the machine.
_HAIR: Final = 1e-9


@checked(frozen=True, kw_only=True, config=STRICT)
class Film:
    """How mulch film lies: bed height, what is dug in on either side, what the ends take in percent."""

    bed_height_m: Annotated[float, Field(ge=0, le=1)]
    tuck_m: Annotated[float, Field(ge=0, le=1)]
    end_percent: Annotated[int, Field(ge=0, le=50)]
    source: Source


@checked(frozen=True, kw_only=True, config=STRICT)
class Drip:
    """How many rows of plants one drip line waters."""

    rows_a_line: Annotated[int, Field(ge=1)]
    source: Source


@checked(frozen=True, kw_only=True, config=STRICT)
class Seedlings:
    """What is lost of seedlings in percent, and the age in days before which gaps are filled."""

    loss_percent: Annotated[int, Field(ge=0, le=90)]
    replant_before_day: Annotated[int, Field(ge=0)]
    source: Source


@checked(frozen=True, kw_only=True, config=STRICT)
class StandFigures:
    """All figures of `data/stand.toml`."""

    film: Film
    drip: Drip
    seedlings: Seedlings


class Assumed(StrEnum):
    """What a stand's figures took for granted."""

    NO_HEADLANDS = "no_headlands"
    """All ground is bed and path."""
    BED_HEIGHT = "bed_height"
    """The height of the beds was not told."""
    LINES_BY_ROWS = "lines_by_rows"
    """Drip lines were counted from the rows."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Layout:
    """How plants stand on their beds.

    Attributes:
        bed_m: width of a bed.
        path_m: width of the path between two beds; 0 for none.
        rows: rows of plants on a bed.
        spacing_m: from plant to plant in its row.

    Raises:
        Refused: one of them cannot be.
    """

    bed_m: float
    path_m: float
    rows: int
    spacing_m: float

    def __post_init__(self) -> None:
        """Refuse what no bed can be."""
        possible("The width of a bed", self.bed_m, 0.1, 10, "metres")
        possible("The width of a path", self.path_m, 0, 10, "metres")
        possible("The number of rows on a bed", self.rows, 1, 20, "rows")
        possible("The spacing of plants in a row", self.spacing_m, 0.05, 5, "metres")

    @property
    def pitch_m(self) -> float:
        """From the middle of one bed to the middle of the next."""
        return self.bed_m + self.path_m

    @property
    def ground_per_plant_m2(self) -> float:
        """Ground of one plant, its share of the path included."""
        return self.pitch_m * self.spacing_m / self.rows

    @property
    def plants_per_ha(self) -> float:
        """Plants on a hectare without headlands."""
        return HECTARE_M2 / self.ground_per_plant_m2


@dataclass(frozen=True, kw_only=True, slots=True)
class Stand:
    """What a number of plants in a layout comes to.

    Attributes:
        plants: whole plants.
        bed_metres: length of all beds, end to end.
        ground_m2: ground of beds and paths.
        drip_m: length of all drip lines.
        film_m: length of mulch film, what the ends take included.
        film_width_m: the least width of that film.
        assumed: what was taken for granted.
    """

    plants: int
    bed_metres: float
    ground_m2: float
    drip_m: float
    film_m: float
    film_width_m: float
    assumed: tuple[Assumed, ...]


def load_stand(path: Path = DEFAULT_STAND) -> StandFigures:
    """Read the figures of stands.

    Raises:
        FiguresError: the file cannot be used.
    """
    return read_figures(StandFigures, path)


def plants_on_ground(layout: Layout, ground_m2: float) -> int:
    """Return how many whole plants fit on some ground, all of it bed and path.

    Raises:
        Refused: there is no such piece of ground.
    """
    possible("Ground", ground_m2, 0, 1_000 * HECTARE_M2, "square metres")
    return math.floor(ground_m2 / layout.ground_per_plant_m2 + _HAIR)


def plants_on_beds(layout: Layout, beds: int, bed_length_m: float) -> int:
    """Return how many plants fit on beds of a given length, counted row by row.

    The first and last plant of a row stand half a spacing from the bed's end.

    Raises:
        Refused: there are no such beds.
    """
    possible("The number of beds", beds, 0, 100_000, "beds")
    possible("The length of a bed", bed_length_m, 0, 10_000, "metres")
    return beds * layout.rows * math.floor(bed_length_m / layout.spacing_m + _HAIR)


def stand_of(
    figures: StandFigures, layout: Layout, plants: int, *, bed_height_m: float | None = None
) -> Stand:
    """Return what `plants` in a layout need: beds, ground, drip and film.

    `bed_height_m` None means that nobody told; the usual height is taken then.

    Raises:
        Refused: the number of plants or the height cannot be.
    """
    possible("The number of plants", plants, 0, 100_000_000, "plants")
    film, assumed = figures.film, [Assumed.NO_HEADLANDS, Assumed.LINES_BY_ROWS]
    if bed_height_m is None:
        bed_height_m = film.bed_height_m
        assumed.append(Assumed.BED_HEIGHT)
    possible("The height of a bed", bed_height_m, 0, 1, "metres")
    bed_metres = plants * layout.spacing_m / layout.rows
    return Stand(
        plants=plants,
        bed_metres=bed_metres,
        ground_m2=bed_metres * layout.pitch_m,
        drip_m=bed_metres * math.ceil(layout.rows / figures.drip.rows_a_line),
        film_m=bed_metres * (100 + film.end_percent) / 100,
        film_width_m=layout.bed_m + 2 * (bed_height_m + film.tuck_m),
        assumed=tuple(assumed),
    )
