"""Files of figures: what is wrong with one is said in a sentence, and all shipped ones name their sources."""

import math
import tomllib
from collections.abc import Iterator
from pathlib import Path
from types import SimpleNamespace
from typing import Annotated

import pytest
from pydantic import Field
from pydantic.dataclasses import dataclass

from service.agronomy.figures import (
    DATA,
    STRICT,
    Bounds,
    FiguresError,
    Source,
    possible,
    read_figures,
    refuse_outside,
)
from service.core.errors import Refused

RIGHT = """
[drip]
rows_a_line = 2
source = "common practice, no source"
"""


@dataclass(frozen=True, kw_only=True, config=STRICT)
class Drip:
    """One part of a file of figures."""

    rows_a_line: Annotated[float, Field(ge=1)]
    source: Source


@dataclass(frozen=True, kw_only=True, config=STRICT)
class Bed:
    """A file of figures as a calculator would have it."""

    drip: Drip


def test_a_file_becomes_figures(tmp_path: Path) -> None:
    """What a file says is what is reckoned with."""
    path = tmp_path / "own.toml"
    path.write_text(RIGHT, encoding="utf-8")

    assert 2 == read_figures(Bed, path).drip.rows_a_line


@pytest.mark.parametrize(
    ("right", "wrong", "said"),
    [
        pytest.param("rows_a_line = 2", "rows_a_line = 0", "drip.rows_a_line", id="an impossible figure"),
        pytest.param("rows_a_line = 2", "rows_a_line = nan", "drip.rows_a_line", id="no number"),
        pytest.param("rows_a_line = 2", "rows_a_lime = 2", "drip.rows_a_line", id="a slip in a name"),
        pytest.param("rows_a_line = 2", "rows_a_line = ", "no TOML", id="not TOML"),
        pytest.param('source = "common practice, no source"', "", "drip.source", id="a figure from nowhere"),
        pytest.param('"common practice, no source"', '""', "drip.source", id="an empty source"),
    ],
)
def test_a_wrong_figure_is_named(tmp_path: Path, right: str, wrong: str, said: str) -> None:
    """The sentence names file, entry and what to do."""
    path = tmp_path / "own.toml"
    path.write_text(RIGHT.replace(right, wrong), encoding="utf-8")

    with pytest.raises(FiguresError, match=rf"own\.toml.*{said}.*start again"):
        read_figures(Bed, path)


def test_a_missing_file_is_named(tmp_path: Path) -> None:
    """It is said which file is not there."""
    with pytest.raises(FiguresError, match=r"nowhere\.toml, the file itself: No such file"):
        read_figures(Bed, tmp_path / "nowhere.toml")


def _without_source(place: str, value: object) -> Iterator[str]:
    """Yield the places of all tables that hold figures and do not say where these come from."""
    if isinstance(value, list):
        for number, part in enumerate(value):
            yield from _without_source(f"{place}[{number}]", part)
    if not isinstance(value, dict) or value.get("source"):
        return
    if not all(isinstance(part, dict | list) for part in value.values()):
        yield place
    for name, part in value.items():
        yield from _without_source(f"{place}.{name}", part)


@pytest.mark.parametrize("path", sorted(DATA.glob("*.toml")), ids=lambda path: path.name)
def test_every_shipped_table_names_its_source(path: Path) -> None:
    """No figure came from nowhere; what stands above all tables names the file and its version."""
    raw = tomllib.loads(path.read_text(encoding="utf-8"))
    tables = {name: value for name, value in raw.items() if isinstance(value, dict | list)}

    assert tables
    assert [] == list(_without_source(path.name, tables))


def test_a_table_without_a_source_is_seen() -> None:
    """The look above goes into tables of tables and into lists of them."""
    raw = tomllib.loads(
        "[soil.loam]\nholds = 1\n[[frost.stages]]\ncritical = 2\n[rain]\nsource = 's'\nleast = 5"
    )

    assert ["x.soil.loam", "x.frost.stages[0]"] == list(_without_source("x", raw))


def test_a_refusal_can_be_read_by_people() -> None:
    """Large figures are written out, and what was typed is repeated."""
    with pytest.raises(Refused) as caught:
        possible("Ground", -0.5, 0, 10_000_000, "square metres")

    expected = "Ground must lie between 0 and 10,000,000 square metres, not -0.5: correct it and ask again."
    assert expected == str(caught.value)


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_what_is_no_number_is_refused(value: float) -> None:
    """It compares with nothing, and would pass a look that asks whether it is too large."""
    with pytest.raises(Refused, match="Ground must lie between 0 and 1 square metres"):
        possible("Ground", value, 0, 1, "square metres")


def test_of_a_value_all_that_is_known_is_looked_at() -> None:
    """Both ends are possible, what is not known is not looked at, and the first slip is told."""
    bounds = (Bounds("rain", "Rain", 0, 10, "mm"), Bounds("wind", "The wind", 0, 50, "m/s"))

    refuse_outside(bounds, SimpleNamespace(rain=None, wind=50))
    refuse_outside(bounds, SimpleNamespace(rain=0, wind=None))
    with pytest.raises(Refused, match="The wind must lie between 0 and 50 m/s, not 51"):
        refuse_outside(bounds, SimpleNamespace(rain=10, wind=51))
