"""An alert under two hundred kills, by the very command that a person runs, and the verdict that cannot be bribed."""

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from scheduler.soak import soak_alert
from scheduler.soak_luck import Luck
from scheduler.soak_peer import Taken
from scheduler.soak_verdict import Books, Verdict, judge
from service.core.alerts import Count
from service.core.errors import Refused
from service.core.kinds import MessageState
from service.db.alert_books import Booked
from tests.depth import times

ROOT = Path(__file__).parents[2]
RUN = (
    f"import sys; sys.path.insert(0, {str(ROOT)!r}); from scheduler.soak_command import soak; soak()",
    "alert",
    "--json",
)
FARMERS, KILLS = 200, times(50, each=15)
# One of each: urgent or not, called off or not.
SEEDS = {"urgent": 3, "urgent, called off": 8, "ordinary": 7, "ordinary, called off": 2}


def ask(*arguments: str) -> subprocess.CompletedProcess[str]:
    """Run the command in a process of its own: it forks, and pytest has threads."""
    return subprocess.run(
        [sys.executable, "-c", *RUN, *arguments], cwd=ROOT, capture_output=True, text=True, check=False
    )


@pytest.mark.slow
@pytest.mark.parametrize("name", [pytest.param(name, id=name) for name in SEEDS])
def test_an_alert_survives_many_kills(name: str) -> None:
    """Killed over and over, every phone stands in one figure, and the other side's journal bears all of them out."""
    told = ask("--farmers", str(FARMERS), "--kills", str(KILLS), "--seed", str(SEEDS[name]))
    found: dict[str, Any] = json.loads(told.stdout)

    assert ([], 0) == (found["mistakes"], told.returncode)
    assert KILLS == found["kills"]
    assert ("urgent" in name, "called off" in name) == (found["urgent"], found["called_off"])
    settled = ("sent", "failed", "cancelled", "in_doubt")
    assert found["audience"] == sum(found[figure] for figure in settled)
    assert ("called off" in name) is (found["cancelled"] > 0)
    assert (0, True) == (found["lost"], found["journal_agrees"])
    assert found["duplicated"] <= found["doubts"]
    assert found["doubts"] > 0


@pytest.mark.slow
def test_without_a_checkout_the_simulated_network_stands_in(tmp_path: Path) -> None:
    """Where the example peer is not there, the same is proved against the simulated network, and the figures say so."""
    found = soak_alert(40, 3, 1, tmp_path, peer_program=tmp_path / "not_there.py")

    assert ("simulated network", (), 3) == (found.peer, found.mistakes, found.kills)


def test_more_kills_than_texts_are_refused(tmp_path: Path) -> None:
    """Each kill needs texts to fall among; the refusal says how many farmers would do."""
    with pytest.raises(Refused, match="--farmers 40"):
        soak_alert(39, 10, 1, tmp_path)


def text(number: int, state: MessageState, doubts: int = 0) -> Booked:
    """Return a text as the books have it."""
    return Booked(references=frozenset({f"ref-{number}"}), state=state, doubts=doubts)


def took(*numbers: int) -> tuple[Taken, ...]:
    """Return texts as the other side has them."""
    return tuple(Taken(our_ref=f"ref-{one}", destination=f"phone {one}") for one in numbers)


def verdict(count: Count, texts: tuple[Booked, ...], taken: tuple[Taken, ...], **more: Any) -> Verdict:  # noqa: ANN401 - the fields of the books
    """Judge books that are in order but for what a case changes."""
    return judge(Books(**{"count": count, "ended": True, "texts": texts, **more}), taken)


SENT, CANCELLED = MessageState.ACCEPTED, MessageState.CANCELLED
ONE_SENT = Count(audience=1, sent=1)


@pytest.mark.parametrize(
    ("count", "texts", "taken", "more", "said"),
    [
        pytest.param(ONE_SENT, (text(1, SENT),), took(), {}, "never took", id="lost"),
        pytest.param(
            Count(audience=1, cancelled=1), (text(1, CANCELLED),), took(1), {}, "took. (1)", id="denied"
        ),
        pytest.param(ONE_SENT, (text(1, SENT),), took(1, 2), {}, "do not know", id="strange"),
        pytest.param(ONE_SENT, (text(1, SENT),), took(1, 1), {}, "more often", id="twice without a doubt"),
        pytest.param(
            Count(audience=2, sent=1, waiting=1), (text(1, SENT),), took(1), {}, "add up", id="waits"
        ),
        pytest.param(ONE_SENT, (text(1, SENT),), took(1), {"ended": False}, "its end", id="not ended"),
        pytest.param(ONE_SENT, (text(1, SENT),), took(1), {"damage": "torn"}, "damaged", id="damaged"),
        pytest.param(ONE_SENT, (text(1, SENT),), took(1), {"kills_missing": 2}, "all kills", id="too few kills"),
    ],
)  # fmt: skip
def test_the_verdict_sees_each_mistake(
    count: Count, texts: tuple[Booked, ...], taken: tuple[Taken, ...], more: dict[str, Any], said: str
) -> None:
    """Books that hide something are found out, each in its own sentence."""
    assert any(said in mistake for mistake in verdict(count, texts, taken, **more).mistakes)


def test_a_text_twice_after_a_doubt_is_no_mistake() -> None:
    """Each copy beyond the first that a doubt was counted for is told as duplicated, and is as promised."""
    found = verdict(ONE_SENT, (text(1, SENT, doubts=1),), took(1, 1))

    assert (1, 1, True, ()) == (found.duplicated, found.doubts, found.journal_agrees, found.mistakes)


def test_luck_is_the_same_for_the_same_seed() -> None:
    """A draw depends on its seed and its name alone."""
    first, again, other = (
        [Luck(seed).up_to(f"life {life}", 1000) for life in range(20)] for seed in (1, 1, 2)
    )

    assert first == again
    assert first != other
    assert all(1 <= drawn <= 1000 for drawn in first)
