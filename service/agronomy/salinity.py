"""What salt costs: the yield that is left of a full one, by the model of Maas and Hoffman (1977).

Up to a threshold of the soil's conductivity nothing is lost, above it a fixed share with each further dS/m. Figures,
with their sources, stand in data/salinity.toml. Conductivity is in deciSiemens a metre (dS/m), that of the soil in its
saturated extract.
"""

from dataclasses import dataclass
from functools import cache
from typing import Annotated, Final

from pydantic import Field
from pydantic.dataclasses import dataclass as checked

from service.agronomy.figures import DATA, STRICT, Bounds, Source, read_figures, refuse_outside
from service.core.errors import Refused

_FILE: Final = DATA / "salinity.toml"
_WHOLE: Final = 100.0
_SLIP: Final = "dS/m (1 dS/m is 1000 microSiemens a centimetre)"
_BOUNDS: Final = (
    Bounds("soil_ds_m", "The conductivity of the soil", 0, 40, _SLIP),
    Bounds("water_ds_m", "The conductivity of the water", 0, 60, _SLIP),
)

_Positive = Annotated[float, Field(gt=0)]


@checked(frozen=True, kw_only=True, config=STRICT)
class Yield:
    """What the crop bears without loss, and what it loses beyond."""

    threshold_ds_m: _Positive
    loss_percent_a_ds_m: _Positive
    source: Source


@checked(frozen=True, kw_only=True, config=STRICT)
class Gathering:
    """How many times the conductivity of the water that of the soil becomes."""

    times_water: _Positive
    source: Source


@checked(frozen=True, kw_only=True, config=STRICT)
class SaltFigures:
    """All of the file."""

    yield_: Annotated[Yield, Field(alias="yield")]
    soil: Gathering


@dataclass(frozen=True, kw_only=True, slots=True)
class Salt:
    """What was measured, in dS/m; at least one of the two.

    Attributes:
        soil_ds_m: of the soil's saturated extract.
        water_ds_m: of the water given.

    Raises:
        Refused: nothing was measured, or a figure is impossible.
    """

    soil_ds_m: float | None = None
    water_ds_m: float | None = None

    def __post_init__(self) -> None:
        """Refuse what cannot be; most often microSiemens."""
        refuse_outside(_BOUNDS, self)
        if self.soil_ds_m is None and self.water_ds_m is None:
            raise Refused("Give the conductivity of the soil or of the water, in dS/m.")


@dataclass(frozen=True, kw_only=True, slots=True)
class SaltLoss:
    """What salt costs.

    Attributes:
        soil_ds_m: the conductivity of the soil that counts: as measured, or as the water makes it, the worse of both.
        yield_percent: what is left of a full yield.
        from_water: whether that conductivity follows from the water's, which is an assumption about drainage.
    """

    soil_ds_m: float
    yield_percent: float
    from_water: bool

    @property
    def warn(self) -> bool:
        """Whether the farmer is to be warned: some yield is lost."""
        return self.yield_percent < _WHOLE


def salt_loss(salt: Salt) -> SaltLoss:
    """Find what the salt that was measured costs."""
    by_water = None if salt.water_ds_m is None else salt.water_ds_m * _figures().soil.times_water
    worst = max(value for value in (salt.soil_ds_m, by_water) if value is not None)
    return SaltLoss(soil_ds_m=worst, yield_percent=yield_percent(worst), from_water=worst != salt.soil_ds_m)


def yield_percent(soil_ds_m: float) -> float:
    """Return what is left of a full yield, 0 to 100, at a conductivity of the soil's saturated extract."""
    figures = _figures().yield_
    lost = figures.loss_percent_a_ds_m * max(0.0, soil_ds_m - figures.threshold_ds_m)
    return max(0.0, _WHOLE - lost)


@cache
def _figures() -> SaltFigures:
    return read_figures(SaltFigures, _FILE)
