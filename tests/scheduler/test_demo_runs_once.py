"""A demo that runs is not started once more: the second start would take its officer's code and its settings."""

from pathlib import Path

import pytest
from click.testing import CliRunner

from service.cli.main import main
from service.core.errors import Refused
from service.demo import demo_settings, keep_settings, only_demo


@pytest.mark.parametrize("port", ["9111", "9114"], ids=["its own port", "another port"])
def test_a_demo_that_runs_refuses_another_start(tmp_path: Path, port: str) -> None:
    """Nothing in its folder is touched, and the sentence names the port at which it is found."""
    folder = tmp_path / "demo"
    folder.mkdir()
    settings = keep_settings(demo_settings(folder, web_port=9111))
    before = settings.read_bytes()

    with only_demo(folder):
        refused = CliRunner().invoke(main, ["demo", "--port", port, "--no-browser", "--data", str(folder)])

    assert (1, "A demo is running already on port 9111: use it, or end it first (Ctrl-C there).\n") == (
        refused.exit_code,
        refused.stderr,
    )
    assert before == settings.read_bytes()
    assert {"demo.toml", "demo.running"} == {file.name for file in folder.iterdir()}


def test_a_demo_is_let_go_when_it_ends(tmp_path: Path) -> None:
    """Afterwards it may start again, as often as somebody likes."""
    keep_settings(demo_settings(tmp_path, web_port=9111))

    for _ in range(2):
        with only_demo(tmp_path), pytest.raises(Refused, match="port 9111"), only_demo(tmp_path):
            raise AssertionError("a demo was held twice")
