"""The commands of the gateway: its keys, a look at it, and calls that try it."""

import json
import shlex
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest
from click.testing import CliRunner

from service.cli.main import main
from service.gateways.signing import Keys, read_keys
from tests.peers import SEND_KEY, Peer


@pytest.fixture
def peer(tmp_path: Path) -> Iterator[Peer]:
    """The example peer."""
    peer = Peer(tmp_path).start()
    yield peer
    peer.kill()


@pytest.fixture
def runner(tmp_path: Path, peer: Peer, monkeypatch: pytest.MonkeyPatch) -> CliRunner:
    """A terminal before a programme that uses the example peer."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "gateway-send.keys").write_text(SEND_KEY)
    (tmp_path / "gateway-send.keys").chmod(0o600)
    settings = {
        "data_dir": str(tmp_path),
        "gateway": "http",
        "http_gateway_url": f"http://127.0.0.1:{peer.port}",
        "http_gateway_allow_plain": True,
        "http_gateway_allow_private": True,
    }
    lines = (f"{name} = {json.dumps(value)}" for name, value in settings.items())
    (tmp_path / "trussline.toml").write_text("\n".join(lines))
    runner = CliRunner()
    assert 0 == runner.invoke(main, ["gateway", "key", "gateway-receive.keys"]).exit_code
    return runner


def say(runner: CliRunner, *arguments: str) -> str:
    """Run a command that must work; return what it printed."""
    result = runner.invoke(main, arguments)
    assert 0 == result.exit_code, result.output
    return result.stdout


def test_a_new_key_stands_above_the_old_one(runner: CliRunner, tmp_path: Path) -> None:
    """Both are known meanwhile; the file is its owner's, and no key is printed."""
    file = tmp_path / "gateway-receive.keys"
    before = read_keys(file)
    said = say(runner, "gateway", "key", str(file))
    after = read_keys(file)

    assert before.secrets == after.secrets[1:]
    assert 0o600 == file.stat().st_mode & 0o777
    assert not any(line in said for line in file.read_text().split())


def test_a_key_that_cannot_be_written_is_told(runner: CliRunner, tmp_path: Path) -> None:
    """The sentence says where."""
    (tmp_path / "file").write_text("")
    result = runner.invoke(main, ["gateway", "key", "file/new.keys"])

    nowhere = runner.invoke(main, ["gateway", "key", "misspelt/place.keys"])

    assert [1, 1] == [result.exit_code, nowhere.exit_code]
    assert "choose another FILE" in result.stderr
    assert "choose another FILE" in nowhere.stderr
    assert not (tmp_path / "misspelt").exists()


def calls(said: str) -> list[tuple[str, dict[str, str], bytes]]:
    """Read the printed calls as a shell would: URL, headers and body."""
    found = []
    for line in said.splitlines():
        if line.startswith("curl "):
            words = shlex.split(line)
            headers = [words[place + 1] for place, word in enumerate(words) if word == "-H"]
            named = {name.lower(): value for name, value in (header.split(": ", 1) for header in headers)}
            found.append((words[-1], named, words[words.index("--data-binary") + 1].encode()))
    return found


def test_the_calls_are_signed_and_whole(runner: CliRunner, peer: Peer, tmp_path: Path) -> None:
    """Each call says what passes on the wire, letter for letter, with a signature that is good now."""
    said = say(
        runner, "gateway", "try", "--to", "0621 234 567", "--text", "It's \u00e9", "--says", "vuna '4'"
    )
    outgoing, inbound, receipt = calls(said)
    now = datetime.now(tz=UTC)  # noqa: TID251 - the command looks at the real clock
    keys: dict[str, Keys] = {
        name: read_keys(tmp_path / f"gateway-{name}.keys") for name in ("send", "receive")
    }

    assert f"http://127.0.0.1:{peer.port}/outgoing" == outgoing[0]
    assert ["http://127.0.0.1:8080/hooks/v1/http"] * 2 == [inbound[0], receipt[0]]
    assert keys["send"].verify(outgoing[1], outgoing[2], now=now)
    for call in (inbound, receipt):
        assert keys["receive"].verify(call[1], call[2], now=now)
    assert ("+255621234567", "It's \u00e9") == tuple(
        json.loads(outgoing[2])[name] for name in ("destination", "text")
    )
    assert ("sms.inbound", "vuna '4'") == (
        json.loads(inbound[2])["type"],
        json.loads(inbound[2])["data"]["text"],
    )


def test_a_number_that_is_none_is_told(runner: CliRunner) -> None:
    """A slip is answered with what to write instead."""
    result = runner.invoke(main, ["gateway", "try", "--to", "15077"])

    assert 1 == result.exit_code
    assert "number" in result.stderr


def test_a_look_says_what_forbids_and_whether_it_answers(runner: CliRunner, peer: Peer) -> None:
    """Reached or not, each thing that is still to be seen to is a line."""
    say(runner, "migrate")
    up = say(runner, "gateway", "check")
    peer.kill()
    down = runner.invoke(main, ["gateway", "check"])

    assert "No emergency_number is set" in up
    assert f"http: up, 127.0.0.1:{peer.port} can be reached" in up
    assert 1 == down.exit_code
    assert "http: down" in down.stdout


@pytest.mark.parametrize("command", ["worker", "up"])
def test_nothing_is_run_on_a_gateway_that_may_not_be_used(runner: CliRunner, command: str) -> None:
    """Worker and all-in-one end at once, with the sentences."""
    say(runner, "migrate")
    result = runner.invoke(main, [command])

    assert 1 == result.exit_code
    assert "No emergency_number is set" in result.stderr
    assert "Safety texts wait" in result.stderr
