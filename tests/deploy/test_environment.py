"""What the environment is made from, when it is made again, and what stands in the way."""

from pathlib import Path

import pytest

from environment import (
    FOR_DEMO,
    FOR_ORACLES,
    FOR_TEST,
    Environment,
    Lock,
    Work,
    create,
    prepare,
    work,
)
from refusal import Refusal

NOW = {
    "python": "3.11.7",
    "place": "/here",
    "pyproject.toml": "p",
    "lock.txt": "d",
    "lock-test.txt": "t",
    "lock-oracles.txt": "o",
}


def without(*names: str) -> dict[str, str]:
    """Return today's origin without some of its parts."""
    return {name: value for name, value in NOW.items() if name not in names}


@pytest.mark.parametrize(
    ("known", "lock", "expected"),
    [
        pytest.param(NOW, FOR_DEMO, Work.NOTHING, id="all is as it was"),
        pytest.param(
            without("lock-test.txt"), FOR_DEMO, Work.NOTHING, id="demo does not need the tests' tools"
        ),
        pytest.param(without("lock-test.txt"), FOR_TEST, Work.FILL, id="tests after a demo"),
        pytest.param(NOW | {"pyproject.toml": "q"}, FOR_DEMO, Work.FILL, id="own project changed"),
        pytest.param({}, FOR_DEMO, Work.ANEW, id="no stamp"),
        pytest.param(NOW | {"lock.txt": "e"}, FOR_DEMO, Work.ANEW, id="lock changed"),
        pytest.param(
            NOW | {"lock-test.txt": "u"}, FOR_DEMO, Work.ANEW, id="lock changed that is not wanted now"
        ),
        pytest.param(NOW | {"python": "3.12.1"}, FOR_DEMO, Work.ANEW, id="another interpreter"),
        pytest.param(NOW | {"place": "/there"}, FOR_DEMO, Work.ANEW, id="checkout was moved"),
        pytest.param(NOW | {"lock-old.txt": "o"}, FOR_DEMO, Work.ANEW, id="made from a lock that is gone"),
    ],
)
def test_environment_is_made_again_only_if_its_origin_changed(
    known: dict[str, str], lock: Lock, expected: Work
) -> None:
    """The stamp decides whether an environment is used, filled up or made anew."""
    assert expected is work(known, NOW, lock)


def test_environment_of_several_locks_lacks_one() -> None:
    """An environment made before the oracles were needed is filled up with them, and only then has all."""
    before = without("lock.txt", "lock-oracles.txt")

    assert Work.FILL is work(before, NOW, FOR_TEST, FOR_ORACLES)
    assert Work.NOTHING is work(without("lock.txt"), NOW, FOR_TEST, FOR_ORACLES)


@pytest.fixture
def checkout(tmp_path: Path) -> Path:
    """A checkout that has all an environment is made from, and no environment."""
    (tmp_path / "deploy").mkdir()
    for lock in (FOR_DEMO, FOR_TEST, FOR_ORACLES):
        lock.path(tmp_path).touch()
    (tmp_path / "pyproject.toml").touch()
    return tmp_path


def test_folder_that_cannot_be_written_to(checkout: Path) -> None:
    """Where nothing can be written, the sentence says where and what to do."""
    # Not even root can make a folder there.
    (checkout / ".venv").symlink_to("/proc/trussline")

    with pytest.raises(
        Refusal, match=r"Nothing can be written to .*: copy Trussline to a folder of your own"
    ):
        prepare(checkout, FOR_DEMO)


def test_disk_without_room(checkout: Path) -> None:
    """Where there is too little room, the sentence says how much there is and how much all of it takes."""
    greedy = Lock(file=FOR_DEMO.file, megabytes=10**12)

    with pytest.raises(Refusal, match=r"There are \d+ MB free in .*, and 1000000000700 MB are needed"):
        prepare(checkout, greedy, FOR_ORACLES)


def test_python_that_cannot_make_environments(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A Python without its modules for environments, off Debian, names the package that is missing."""
    monkeypatch.setenv("PATH", str(tmp_path))

    with pytest.raises(
        Refusal, match=r"python3\.\d+-venv is needed .*On Debian and Ubuntu: apt install python3-venv"
    ):
        create(Environment(folder=tmp_path / ".venv"), modules=("a_module_that_is_not_there",))


def test_programs_find_each_other(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The environment's programs come first on the PATH, and modules of elsewhere are kept out."""
    monkeypatch.setenv("PATH", "/usr/bin")
    monkeypatch.setenv("PYTHONPATH", "/elsewhere")

    variables = Environment(folder=tmp_path).variables()

    assert f"{tmp_path / 'bin'}:/usr/bin" == variables["PATH"]
    assert "PYTHONPATH" not in variables
