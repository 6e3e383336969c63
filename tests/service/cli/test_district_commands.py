"""Districts as an administrator keeps them: one name each, and a place that can be corrected."""

from pathlib import Path

import pytest
from click.testing import CliRunner

from service.cli.main import main
from service.core.errors import Refused
from service.core.model import District
from service.settings import Settings
from service.use_cases.changing_districts import change_district
from service.use_cases.districts import find_districts
from tests.village import Village


@pytest.fixture
def runner(settings: Settings, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> CliRunner:
    """A terminal in a programme with the district Ndaliro, at 2150 m."""
    monkeypatch.chdir(tmp_path)
    return CliRunner(env={"TRUSSLINE_DATA_DIR": str(settings.data_dir)})


def said(runner: CliRunner, *words: str) -> tuple[int, str]:
    """Type a command and return its exit code and what it says."""
    result = runner.invoke(main, ["district", *words])
    return result.exit_code, result.output


@pytest.mark.parametrize("name", ["ndaliro", "NDALIRO", "Nda liro"])
def test_a_name_that_differs_only_in_how_it_is_written_is_refused(runner: CliRunner, name: str) -> None:
    """Two districts that a hurried eye cannot tell apart would get each other's officers and farmers."""
    code, told = said(runner, "add", name)

    assert (1, True) == (code, f"{name} differs from it only in how it is written: use Ndaliro." in told)
    assert "Ndaliro (Africa/Dar_es_Salaam, 2,150 m)" in said(runner, "list")[1]
    assert name not in said(runner, "list")[1]


def test_an_exact_name_wins_and_another_must_be_clear() -> None:
    """Where two are alike from earlier days, each is found by its own letters, and neither by other ones."""
    both = [
        District(id=at, name=name, zone="Africa/Dar_es_Salaam", elevation_m=None)
        for at, name in enumerate(("Zaruvi", "zaruvi"), start=1)
    ]

    assert [1, 2] == [one.id for one in find_districts(both, ["Zaruvi", "zaruvi"])]
    assert [1] == [one.id for one in find_districts(both[:1], [" ZARUVI "])]
    with pytest.raises(Refused, match="ZARUVI may be Zaruvi or zaruvi: write it just so"):
        find_districts(both, ["ZARUVI"])


@pytest.mark.parametrize(
    "other", [("--elevation", "2100"), ("--latitude", "-3.4"), ("--zone", "Africa/Nairobi")]
)
def test_adding_with_other_values_says_how_to_change(runner: CliRunner, other: tuple[str, str]) -> None:
    """Nothing that somebody types is dropped in silence; the same again does no harm."""
    code, told = said(runner, "add", "Ndaliro", *other)

    assert 1 == code
    assert "There is a district Ndaliro already (Africa/Dar_es_Salaam, 2,150 m)" in told
    assert "trussline district change --help" in told
    assert 0 == said(runner, "add", "Ndaliro", "--elevation", "2150")[0]


def test_a_district_is_corrected_and_the_record_keeps_it(runner: CliRunner) -> None:
    """What is named changes, all else stays; who looks later sees what it was."""
    told = said(runner, "change", "Ndaliro", "--elevation", "2100", "--latitude", "-3.4")
    again = said(runner, "change", "Ndaliro", "--elevation", "2100")
    moved = said(runner, "change", "Ndaliro", "--zone", "Africa/Nairobi")

    assert (0, "Ndaliro: Africa/Dar_es_Salaam, 2,100 m, latitude -3.4\n") == told
    assert (1, True) == (again[0], "Ndaliro lies so already" in again[1])
    assert (0, "Ndaliro: Africa/Nairobi, 2,100 m, latitude -3.4\n") == moved
    kept = CliRunner(env=runner.env).invoke(main, ["audit", "list"]).output
    assert "district.changed" in kept
    assert "elevation_m [2150, 2100], latitude [null, -34]" in kept


def test_plots_lie_where_their_district_lies_unless_told_otherwise(village: Village) -> None:
    """A new height holds for the plots that took the old one; a zone by which texts are planned stays."""
    own = village.phone()
    own.joins(days_ago=60)
    with village.database.work() as work:
        home = next(one for one in work.people.districts() if work.people.has_farmers(one.id))
        change_district(work, home.name, now=village.clock.now(), elevation_m=1234)
    (plot,) = village.rows("SELECT id, elevation_m FROM plot")
    assert 1234 == plot["elevation_m"]

    with village.database.work() as work:
        work.plots.set(int(str(plot["id"])), elevation_m=1300)
        work.commit()
    with village.database.work() as work:
        change_district(work, home.name, now=village.clock.now(), elevation_m=1111)
    assert [1300] == [row["elevation_m"] for row in village.rows("SELECT elevation_m FROM plot")]
    with (
        village.database.work() as work,
        pytest.raises(Refused, match="so its zone stays"),
    ):
        change_district(work, home.name, now=village.clock.now(), zone="Africa/Nairobi")
