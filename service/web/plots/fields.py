"""The fields of a plot in the form that corrects it: their names, what may be chosen, and what was typed."""

from collections.abc import Iterable, Mapping
from dataclasses import asdict
from datetime import date
from typing import Any, Final

from werkzeug.datastructures import MultiDict

from service.core.errors import Refused
from service.use_cases.plot_edits import PlotEdit
from service.web.words import MULCHES, full_day, worded

_NO_DAY: Final = "Write the planting date as day, month and year."
_NO_NUMBER: Final = {
    "plants": "Write how many plants there are, in figures.",
    "bed_width_cm": "Write how wide a bed is in centimetres, in figures.",
    "path_width_cm": "Write how wide a path is in centimetres, in figures.",
    "bed_rows": "Write how many rows of plants stand on a bed, in figures.",
    "spacing_cm": "Write how far plants stand apart in their row in centimetres, in figures.",
    "elevation_m": "Write how many metres above the sea the plot lies, in figures.",
}
# More digits than any of them has.
_MOST_DIGITS: Final = 9
LABELS: Final = {
    "planted_on": "planting date",
    "precision": "how well it is known",
    "plants": "plants",
    "plant_type": "type of plants",
    "stock": "planted as",
    "mulch_kind": "mulch",
    "water_method": "watered by",
    "mother_rows": "rows kept for their runners",
    "bed_width_cm": "width of a bed in cm",
    "path_width_cm": "width of a path in cm",
    "bed_rows": "rows on a bed",
    "spacing_cm": "from plant to plant in cm",
    "elevation_m": "metres above the sea",
}
CHOICES: Final[Mapping[str, dict[str, str]]] = {
    "precision": {"exact": "to the day", "about": "about then", "month": "the month only"},
    "plant_type": {
        "day_neutral": "day-neutral: flower in every season",
        "short_day": "short-day: flower while days are short",
    },
    "stock": {
        "plug": "plugs, roots in a ball of soil",
        "bare_root": "plants with bare roots",
        "runner_plant": "young plants cut from runners",
    },
    "mulch_kind": MULCHES,
    "water_method": {"can": "can or bucket", "drip": "drip lines"},
    "mother_rows": {"yes": "yes, for new plants", "no": "no"},
}
# The names in the form, where they are not those of the columns.
_NAMES: Final = {"planted_on": "planted", "mulch_kind": "mulch"}


def read(form: MultiDict[str, str]) -> PlotEdit:
    """Return what was typed.

    Raises:
        Refused: it is no day or no number; the sentence says of what.
    """
    try:
        planted_on = date.fromisoformat(form.get("planted", ""))
    except ValueError as error:
        raise Refused(_NO_DAY) from error
    typed: dict[str, Any] = {name: form.get(field(name)) or None for name in CHOICES}
    typed |= {name: _number(form, name) for name in _NO_NUMBER}
    if typed["plants"] is None:
        raise Refused(_NO_NUMBER["plants"])
    typed["precision"] = typed["precision"] or "exact"
    return PlotEdit(planted_on=planted_on, **typed)


def _number(form: MultiDict[str, str], name: str) -> int | None:
    # Thousands of plants may be set apart. In centimetres a point is a slip: 1.2 would be taken for 12.
    apart = " ,." if name == "plants" else " "
    typed = "".join(char for char in form.get(name, "") if char not in apart)
    if not typed:
        return None
    if not (typed.isascii() and typed.isdecimal() and len(typed) <= _MOST_DIGITS):
        raise Refused(_NO_NUMBER[name])
    return int(typed)


def field(name: str) -> str:
    """Return the name in the form of a column."""
    return _NAMES.get(name, name)


def hidden(edit: PlotEdit) -> list[tuple[str, str]]:
    """Return a correction as the fields of a form, by name and value."""
    return [(field(name), "" if value is None else _plain(value)) for name, value in asdict(edit).items()]


def _plain(value: object) -> str:
    return value.isoformat() if isinstance(value, date) else str(value)


def changes(before: object, after: object, names: Iterable[str]) -> list[tuple[str, str, str]]:
    """Return what changes of a plot, in words: what, from what, to what."""
    return [
        (LABELS[name], told(name, getattr(before, name)), told(name, getattr(after, name))) for name in names
    ]


def told(name: str, value: object) -> str:
    """Return the value of a column in words."""
    if value is None:
        return "not known"
    if isinstance(value, date):
        return full_day(value)
    return worded(str(value), CHOICES[name]) if name in CHOICES else f"{value:,}"
