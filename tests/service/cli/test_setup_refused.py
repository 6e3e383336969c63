"""A setup that is refused has written nothing: no settings, no keys, no folder."""

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from service.cli.main import main
from service.cli.setup_checks import refuse_little_room
from service.core.errors import Refused
from service.settings import given_settings


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An empty folder to be in."""
    monkeypatch.chdir(tmp_path)
    return tmp_path


def set_up(folder: Path, **answers: object) -> Result:
    """Run a setup with these answers."""
    given = {"data_dir": str(folder / "new" / "data"), "districts": ["Ndaliro 2150"], **answers}
    lines = [f"{name} = {json.dumps(value)}" for name, value in given.items()]
    (folder / "answers.toml").write_text("\n".join(lines), encoding="utf-8")
    return CliRunner().invoke(main, ["setup", "--answers", "answers.toml"])


PLAIN = {"gateway": "http", "http_gateway_url": "http://gateway.example/v1"}


@pytest.mark.parametrize(
    ("answers", "sentence"),
    [
        ({"data_dir": "/proc/x"}, "data_dir is '/proc/x', where no folder can be made"),
        (PLAIN, "http_gateway_url is not encrypted"),
        ({"service_number": "abc"}, "write one number, in figures, as it is dialled"),
        ({"cap_day": 0}, "cap_day"),
    ],
    ids=["no folder", "no encryption", "no number", "no budget"],
)
def test_what_cannot_be_is_told_before_anything_is_written(
    folder: Path, answers: dict[str, object], sentence: str
) -> None:
    """Correct the answer and start again: no half of a programme is in the way."""
    refused = set_up(folder, **answers)

    assert (1, True) == (refused.exit_code, sentence in refused.stderr)
    assert ["answers.toml"] == [path.name for path in folder.iterdir()]


def test_a_full_disk_is_named_with_what_is_free(folder: Path) -> None:
    """A programme that could push nothing is not begun."""
    settings = given_settings(data_dir=folder / "data", least_free_mb=64)

    with pytest.raises(Refused) as refused:
        refuse_little_room(settings, 20 * 1024 * 1024)

    assert (
        f"The disk of {folder}/data has 20 MB free, and least_free_mb asks for 64: make room there, or name a folder "
        "on another disk as data_dir."
    ) == str(refused.value)
    refuse_little_room(settings, 64 * 1024 * 1024)


def test_another_height_is_not_dropped_in_silence(folder: Path) -> None:
    """What stands is said, with the command that changes it; the settings stay as they were."""
    assert 0 == set_up(folder).exit_code
    before = (folder / "trussline.toml").read_text(encoding="utf-8")

    refused = set_up(folder, districts=["Ndaliro 2100"], answer_days=3)

    assert 1 == refused.exit_code
    assert "There is a district Ndaliro already (Africa/Dar_es_Salaam, 2,150 m)" in refused.stderr
    assert before == (folder / "trussline.toml").read_text(encoding="utf-8")
    assert 0 == set_up(folder, districts=["Ndaliro 2150", "Zaruvi"]).exit_code
