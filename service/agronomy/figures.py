"""How figures come out of their files, and how impossible input is refused.

Every figure the calculators rest on is data: a TOML file in `data/`, each part of it with its source or with
"common practice, no source". A programme may keep files of its own; they are checked the same way.
"""

import tomllib
from collections.abc import Iterable
from pathlib import Path
from typing import Annotated, Any, Final, NamedTuple, TypeVar

from pydantic import ConfigDict, Field, TypeAdapter, ValidationError

from service.core.errors import Refused, TrusslineError

DATA: Final = Path(__file__).with_name("data")
STRICT: Final = ConfigDict(extra="forbid", allow_inf_nan=False)

# Where a figure comes from, by name of what was published, or "common practice, no source".
Source = Annotated[str, Field(min_length=1)]

Figures = TypeVar("Figures")


class Bounds(NamedTuple):
    """What one figure of a value may be, both ends included.

    Attributes:
        name: the attribute that holds it.
        what: how a person calls it, at the start of a sentence.
        low: the smallest it may be.
        high: the largest it may be.
        unit: of all three.
    """

    name: str
    what: str
    low: float
    high: float
    unit: str


class FiguresError(TrusslineError):
    """A file of figures cannot be used; the sentence names the file, the entry and what to do."""

    def __init__(self, path: Path, entry: str, fault: str) -> None:
        """Say that `entry` of the file at `path` has `fault`."""
        super().__init__(f"Figures {path.name}, {entry}: {fault}. Correct the entry and start again.")
        self.path = path
        self.entry = entry


def read_figures(kind: type[Figures], path: Path) -> Figures:
    """Read the file at `path` and check that it holds figures of `kind`.

    Raises:
        FiguresError: the file is missing, is no TOML, or an entry makes no sense; the sentence says which.
    """
    try:
        raw: dict[str, Any] = tomllib.loads(path.read_text(encoding="utf-8"))
    except OSError as fault:
        raise FiguresError(path, "the file itself", fault.strerror or "it cannot be read") from fault
    except ValueError as fault:
        raise FiguresError(path, "the file itself", f"it is no TOML: {fault}") from fault
    try:
        return TypeAdapter(kind).validate_python(raw)
    except ValidationError as fault:
        first = fault.errors()[0]
        place = ".".join(map(str, first["loc"])) or "the whole file"
        raise FiguresError(path, place, first["msg"].removeprefix("Value error, ")) from fault


def possible(what: str, value: float, low: float, high: float, unit: str) -> None:
    """Refuse a value outside of what can be; both ends are possible.

    Raises:
        Refused: the value lies outside, or is no number at all.
    """
    # Written so that what is not a number is refused too.
    if not low <= value <= high:
        raise Refused(
            f"{what} must lie between {low:,.15g} and {high:,.15g} {unit}, not {value:,.15g}: correct it and ask again."
        )


def refuse_outside(bounds: Iterable[Bounds], values: object) -> None:
    """Look at each figure of `values` that is known; None stands for one that is not.

    Raises:
        Refused: one of them cannot be.
    """
    for name, what, low, high, unit in bounds:
        value = getattr(values, name)
        if value is not None:
            possible(what, value, low, high, unit)
