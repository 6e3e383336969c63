"""What an officer can correct of a plot, and what it may be."""

from collections.abc import Mapping
from dataclasses import asdict, dataclass, fields
from datetime import date
from types import MappingProxyType
from typing import Final, cast, get_args

from flows.moves.joining import MOST_PLANTS
from service.agronomy.figures import Bounds, refuse_outside
from service.agronomy.traits import MotherRows, MulchKind, PlantType, Stock, WaterMethod
from service.core.columns import PlotChange
from service.core.errors import Refused
from service.core.model import Plot
from service.use_cases.planting import FURTHEST_AHEAD, OLDEST

PRECISIONS: Final = ("exact", "about", "month")
# What each column may hold that is a word; None, that nobody told, is one more for all but the first.
WORDS: Final[Mapping[str, tuple[str, ...]]] = MappingProxyType(
    {
        "precision": PRECISIONS,
        "plant_type": get_args(PlantType),
        "stock": get_args(Stock),
        "mulch_kind": get_args(MulchKind),
        "water_method": get_args(WaterMethod),
        "mother_rows": get_args(MotherRows),
    }
)
_CHOOSE: Final = {
    "precision": "Choose how well the planting date is known.",
    "plant_type": "Choose one of the types of plants.",
    "stock": "Choose one of the kinds of young plants.",
    "mulch_kind": "Choose one of the kinds of mulch.",
    "water_method": "Choose one of the ways of watering.",
    "mother_rows": "Choose whether rows are kept for their runners.",
}
# As wide as `service.agronomy.stand.Layout` takes them; no strawberry stands higher than the last.
_MEASURES: Final[tuple[Bounds, ...]] = (
    Bounds("bed_width_cm", "The width of a bed", 10, 1000, "cm"),
    Bounds("path_width_cm", "The width of a path", 0, 1000, "cm"),
    Bounds("bed_rows", "The number of rows on a bed", 1, 20, "rows"),
    Bounds("spacing_cm", "The spacing of plants in a row", 5, 500, "cm"),
    Bounds("elevation_m", "The height above the sea", 0, 5000, "m"),
)


@dataclass(frozen=True, kw_only=True, slots=True)
class PlotEdit:
    """What a plot shall be; all that can be corrected of it. None is what nobody knows.

    Attributes:
        plant_type: this and the four after it as `service.agronomy.traits` has them.
        bed_width_cm: with path, rows on a bed and spacing of plants in a row: how the plants stand.
        elevation_m: height above the sea.
    """

    planted_on: date
    precision: str
    plants: int
    plant_type: str | None = None
    stock: str | None = None
    mulch_kind: str | None = None
    water_method: str | None = None
    mother_rows: str | None = None
    bed_width_cm: int | None = None
    path_width_cm: int | None = None
    bed_rows: int | None = None
    spacing_cm: int | None = None
    elevation_m: int | None = None

    @classmethod
    def of(cls, plot: Plot) -> "PlotEdit":
        """Return what the plot is now."""
        return cls(**{field.name: getattr(plot, field.name) for field in fields(cls)})

    def changes(self, plot: Plot) -> PlotChange:
        """Return what is not so yet, by column."""
        changed = {name: value for name, value in asdict(self).items() if value != getattr(plot, name)}
        return cast("PlotChange", changed)

    def check(self, plot: Plot, on: date) -> None:
        """Look whether a plot can be so on the local day `on`.

        Raises:
            Refused: the plot is closed, or a value cannot be.
        """
        wrong = (
            (plot.closed_on is not None, "This plot is closed: nothing of it can be changed."),
            (not 1 <= self.plants <= MOST_PLANTS, f"Plants are counted from 1 to {MOST_PLANTS:,}."),
            (
                self.planted_on != plot.planted_on
                and not on - OLDEST <= self.planted_on <= on + FURTHEST_AHEAD,
                "A planting date lies within the last three years or the next six months: give another day.",
            ),
            *((not self._knows(name), sentence) for name, sentence in _CHOOSE.items()),
        )
        for is_wrong, sentence in wrong:
            if is_wrong:
                raise Refused(sentence)
        refuse_outside(_MEASURES, self)

    def _knows(self, name: str) -> bool:
        """Tell whether a word is one that its column may hold."""
        word = getattr(self, name)
        return word in WORDS[name] or (word is None and name != "precision")
