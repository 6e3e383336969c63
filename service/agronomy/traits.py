"""What a plot is like, as far as that selects or moves jobs: and sets of such plots, as whole numbers.

Each group of words has one bit for every word and one for "nobody told". A plot has exactly one bit of each group
set. A set of plots allows some bits of each group: so a plot belongs to it when none of its bits is barred, which a
database tells by one "and" of two whole numbers. All sets here are of this kind; what is left of one when another is
taken away falls into several, no two of which share a plot.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache, cached_property
from itertools import product
from types import MappingProxyType
from typing import Final, Literal, Self, get_args

from pydantic import ConfigDict, model_validator
from pydantic.dataclasses import dataclass as checked

PlantType = Literal["day_neutral", "short_day"]
Stock = Literal["plug", "bare_root", "runner_plant"]
MulchKind = Literal["none", "straw", "plastic"]
WaterMethod = Literal["can", "drip"]
# Rows kept for their runners, from which new plants are taken.
MotherRows = Literal["yes", "no"]

_GROUPS: Final[Mapping[str, tuple[str | None, ...]]] = MappingProxyType(
    {
        name: (None, *get_args(words))
        for name, words in (
            ("plant_type", PlantType),
            ("stock", Stock),
            ("mulch", MulchKind),
            ("water_method", WaterMethod),
            ("mother_rows", MotherRows),
        )
    }
)
# Room for five words and "nobody told" in each group. What databases keep rests on the places of the bits, so that
# new words go to the end of their group.
_ROOM: Final = 6
_BITS: Final = {
    (name, word): 1 << group * _ROOM + at
    for group, (name, words) in enumerate(_GROUPS.items())
    for at, word in enumerate(words)
}
_OF_GROUP: Final = {name: sum(_BITS[name, word] for word in words) for name, words in _GROUPS.items()}
# The set of all plots.
EVERY: Final = sum(_BITS.values())


@dataclass(frozen=True, kw_only=True)
class PlotTraits:
    """What one plot is like; None is what nobody told.

    Attributes:
        plant_type: whether its plants flower whatever the length of the day, or in short days.
        stock: what was planted.
        mulch: what covers the beds.
        water_method: how water is given.
        mother_rows: whether runners are kept for new plants.
    """

    plant_type: PlantType | None = None
    stock: Stock | None = None
    mulch: MulchKind | None = None
    water_method: WaterMethod | None = None
    mother_rows: MotherRows | None = None

    @cached_property
    def bits(self) -> int:
        """What a database keeps of them: one bit of each group."""
        return sum(_BITS[name, getattr(self, name)] for name in _GROUPS)


UNTOLD: Final = PlotTraits()


# What a plot keeps each group as.
COLUMNS: Final[Mapping[str, str]] = MappingProxyType(
    {name: "mulch_kind" if name == "mulch" else name for name in _GROUPS}
)


def told(columns: Mapping[str, object]) -> PlotTraits:
    """Return what a plot is like that keeps these columns; others are left alone."""
    return PlotTraits(**{name: columns.get(column) for name, column in COLUMNS.items()})  # type: ignore[arg-type]


def bits_by_group() -> Mapping[str, Mapping[str | None, int]]:
    """Return for each group the bit of each of its words, and that of "nobody told"."""
    return {name: {word: _BITS[name, word] for word in words} for name, words in _GROUPS.items()}


@cache
def traits_of(bits: int) -> PlotTraits:
    """Return the plot that has these bits, which are those of `PlotTraits.bits`; few kinds, so each is made once."""
    words_of = {
        name: next(word for word in words if bits & _BITS[name, word]) for name, words in _GROUPS.items()
    }
    return PlotTraits(**words_of)  # type: ignore[arg-type] # words of these groups


def every_kind() -> Iterator[PlotTraits]:
    """Yield every plot that can be told from the others."""
    for words in product(*_GROUPS.values()):
        yield PlotTraits(**dict(zip(_GROUPS, words, strict=True)))  # type: ignore[arg-type] # words of these groups


@checked(frozen=True, kw_only=True, config=ConfigDict(extra="forbid"))
class Which:
    """Which plots are meant, as a calendar says it: one of the words of each group that is named.

    A plot of which nobody told is meant only where its group is not named.
    """

    plant_type: tuple[PlantType, ...] = ()
    stock: tuple[Stock, ...] = ()
    mulch: tuple[MulchKind, ...] = ()
    water_method: tuple[WaterMethod, ...] = ()
    mother_rows: tuple[MotherRows, ...] = ()

    @model_validator(mode="after")
    def _names_some(self) -> Self:
        if self.allowed == EVERY:
            raise ValueError("name at least one group, like plant_type, with its words")
        return self

    @cached_property
    def allowed(self) -> int:
        """The set of plots that is meant."""
        return sum(
            sum(_BITS[name, word] for word in getattr(self, name)) or _OF_GROUP[name] for name in _GROUPS
        )


def belongs(bits: int, allowed: int) -> bool:
    """Tell whether a plot of these bits is in a set."""
    return not bits & barred(allowed)


def barred(allowed: int) -> int:
    """Return the bits no plot of a set may have: what a database asks by."""
    return EVERY & ~allowed


def groups_named(sets: Iterable[int]) -> int:
    """Return the bits of all groups by which some of these sets tell plots apart; 0 if each holds all plots."""
    named = {name for allowed in sets for name, group in _OF_GROUP.items() if group & ~allowed}
    return sum(_OF_GROUP[name] for name in named)


def common(one: int, other: int) -> int | None:
    """Return the set of plots that are in both sets; None if there is none."""
    both = one & other
    return both if all(both & group for group in _OF_GROUP.values()) else None


def without(whole: int, taken: int) -> Iterator[int]:
    """Yield sets that together hold the plots of `whole` that are not in `taken`, each plot in one of them."""
    left = whole
    for group in _OF_GROUP.values():
        if (rest := common(left, EVERY & ~(taken & group))) is not None:
            yield rest
        left &= taken | ~group
