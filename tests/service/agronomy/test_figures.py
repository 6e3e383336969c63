"""Files of figures: what is wrong with one is said in a sentence, and all shipped ones name their sources."""

import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest

from service.agronomy.figures import DATA, FiguresError, possible
from service.agronomy.stand import DEFAULT_STAND, load_stand
from service.core.errors import Refused


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        pytest.param("rows_a_line = 0", "drip.rows_a_line", id="an impossible figure"),
        pytest.param("rows_a_line = nan", "drip.rows_a_line", id="no number"),
        pytest.param("rows_a_lime = 2", "drip.rows_a_line", id="a slip in a name"),
        pytest.param("rows_a_line = ", "no TOML", id="not TOML"),
    ],
)
def test_a_wrong_figure_is_named(tmp_path: Path, wrong: str, said: str) -> None:
    """The sentence names file, entry and what to do."""
    path = tmp_path / "own.toml"
    text = DEFAULT_STAND.read_text(encoding="utf-8")
    path.write_text(text.replace("rows_a_line = 2", wrong), encoding="utf-8")

    with pytest.raises(FiguresError, match=rf"own\.toml.*{said}.*start again"):
        load_stand(path)


def test_a_figure_without_its_source_is_refused(tmp_path: Path) -> None:
    """A programme's own figures say where they come from as ours do."""
    path = tmp_path / "own.toml"
    text = DEFAULT_STAND.read_text(encoding="utf-8")
    path.write_text(text.replace('source = "common practice, no source"', ""), encoding="utf-8")

    with pytest.raises(FiguresError, match="source"):
        load_stand(path)


def test_a_missing_file_is_named(tmp_path: Path) -> None:
    """It is said which file is not there."""
    with pytest.raises(FiguresError, match=r"nowhere\.toml, the file itself: No such file"):
        load_stand(tmp_path / "nowhere.toml")


def _tables(raw: dict[str, object]) -> Iterator[dict[str, object]]:
    for value in raw.values():
        for table in value if isinstance(value, list) else [value]:
            if isinstance(table, dict):
                yield table


@pytest.mark.parametrize("path", sorted(DATA.glob("*.toml")), ids=lambda path: path.name)
def test_every_shipped_table_names_its_source(path: Path) -> None:
    """No figure came from nowhere."""
    raw = tomllib.loads(path.read_text(encoding="utf-8"))

    assert [] == [table for table in _tables(raw) if not table.get("source")]


def test_a_refusal_can_be_read_by_people() -> None:
    """Large figures are written out, and what was typed is repeated."""
    with pytest.raises(Refused) as caught:
        possible("Ground", -0.5, 0, 10_000_000, "square metres")

    expected = "Ground must lie between 0 and 10,000,000 square metres, not -0.5: correct it and ask again."
    assert expected == str(caught.value)
