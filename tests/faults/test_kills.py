from collections.abc import Callable

import pytest

from service.gateways.simulator_faults import Faults
from service.gateways.simulator_link import SimulatorLink
from tests.depth import DEEP, times
from tests.faults.stage import SIGKILL, WINDOW, Stage

pytestmark = pytest.mark.slow

KILLS = times(20, each=5)
NO_RECEIPTS = Faults(lost_receipt=1.0)


def bound(kills: int) -> str:
    """Return what no failure in so many kills says: the rule of three (95 %)."""
    return f"none in {kills} kills says: fewer than {3 / kills:.1%} of kills, at 95 %"


def kill_repeatedly(stage: Stage, name: str, texts: int, *, once: int = 0) -> list[str]:
    """Queue texts and kill the worker that sends them, twenty times at one point; then let one live."""
    words = stage.queue(texts, once=once)
    furthest = 3 if name == "claimed" else 16
    for number in range(KILLS):
        assert SIGKILL == stage.live(f"{name}:{1 + 7 * number % furthest}")
    for _ in range(5):
        assert 0 == stage.live()
    return words


@pytest.mark.parametrize("name", ["claimed", "wired", "acked"])
def test_killed_where_it_hurts_nothing_is_lost_and_each_second_copy_is_counted(
    stage: Callable[..., Stage], name: str
) -> None:
    """Where no receipt ever comes, all texts leave, and none twice that was not in doubt."""
    set_up = stage(faults=NO_RECEIPTS)

    words = kill_repeatedly(set_up, name, 300, once=100)
    found = set_up.judge(words)

    assert KILLS == set_up.kills
    assert ([], [], []) == (found.lost, found.silent, found.untold), bound(KILLS)
    assert [] == found.repeated, bound(KILLS)
    assert found.twice <= found.doubts <= KILLS * WINDOW
    assert {"accepted", "in_doubt"} >= set(found.states)
    # A kill that leaves nothing behind would prove nothing.
    assert found.doubts >= KILLS
    # Few kills may all fall where the network had not told anybody yet.
    assert not (found.twice and name == "claimed")
    assert found.twice or name == "claimed" or not DEEP


@pytest.mark.parametrize("name", ["wired", "acked"])
@pytest.mark.parametrize(
    "given",
    [{}, {"faults": NO_RECEIPTS, "dedupe": True}],
    ids=["receipts", "a network that knows references"],
)
def test_killed_with_a_network_that_helps_nothing_is_sent_twice(
    stage: Callable[..., Stage], name: str, given: dict[str, object]
) -> None:
    """A receipt settles a doubt before the text is sent again; so does a network that knows our reference."""
    set_up = stage(**given)

    words = kill_repeatedly(set_up, name, 240)
    found = set_up.judge(words)

    assert ([], [], []) == (found.lost, found.silent, found.untold), bound(KILLS)
    assert 0 == found.twice, bound(KILLS)
    assert found.doubts >= KILLS


def test_a_service_that_marks_after_the_answer_is_found_out(stage: Callable[..., Stage]) -> None:
    """The judge is no yes-man: a sender that writes down only what it has sent makes copies nobody counted."""
    set_up = stage(faults=NO_RECEIPTS)
    words = set_up.queue(40)
    for number in (3, 5, 7):
        assert SIGKILL == set_up.live(f"acked:{number}", way="work_naively")
    assert 0 == set_up.live(way="work_naively")

    found = set_up.judge(words)

    assert (0, 3, 3) == (found.doubts, found.twice, len(found.untold))


def test_killed_between_stored_and_acknowledged_each_text_counts_once(stage: Callable[..., Stage]) -> None:
    """The network hands the texts over again and again; each is one row, and is answered by one text."""
    set_up = stage()
    set_up.queue(0)
    refs = []
    for number in range(KILLS):
        link = SimulatorLink(set_up.port, clock=lambda: set_up.now)
        refs.append(link.text_in(source=f"+2556212345{number:02d}", destination="15077", text="HELP"))
        link.close()
        assert SIGKILL == set_up.live("stored:1")
    assert 0 == set_up.live()

    stored = set_up.ask("SELECT ref, state FROM inbound ORDER BY id")
    answers = set_up.ask("SELECT inbound_id, count(*) FROM message GROUP BY inbound_id")
    texts = [text for (text,) in set_up.ask("SELECT text FROM message")]
    found = set_up.judge(sorted(set(texts)))

    assert KILLS == set_up.kills
    assert [(ref, "read") for ref in refs] == stored, bound(KILLS)
    assert [1] * KILLS == [count for _, count in answers], bound(KILLS)
    assert ([], []) == (found.lost, found.silent)
