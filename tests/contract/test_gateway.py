"""What every gateway promises, asked of each adapter alike: see service/core/gateway.py.

A new adapter joins by a row in `WORLDS`. The simulator's process is a real one here, killed where an outage
is called for.
"""

import json
import subprocess
import sys
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import asdict
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Final, Protocol

import pytest

from service.clock import HandClock
from service.core.gateway import (
    Accepted,
    AnswerLost,
    Gateway,
    InboundText,
    NotSent,
    OutgoingText,
    Progress,
    RefusalClass,
    Refused,
    Stage,
    Unreachable,
)
from service.gateways.simulator import SimulatorGateway
from service.gateways.simulator_faults import NO_FAULTS, Faults
from service.gateways.simulator_link import SimulatorLink
from service.gateways.simulator_network import SimulatedNetwork
from service.gateways.simulator_texts import MAX_CHARACTERS, PracticeNetwork
from service.ids import CountingIds

NOON: Final = datetime(2026, 11, 25, 9, 0, tzinfo=UTC)
SEED: Final = 20261125
SHORT_CODE: Final = "15055"
# The example mobile number that phonenumbers gives for Tanzania: nobody has it.
PHONE: Final = "+255621234567"
ROOT: Final = Path(__file__).parents[2]


class Adapter(Gateway, PracticeNetwork, Protocol):
    """A gateway whose phones can be looked at."""


class World(Protocol):
    """An adapter, its clock, and the power to take the network away."""

    gateway: Adapter
    clock: HandClock

    def begin_outage(self) -> None:
        """Make the network unreachable."""

    def end_outage(self) -> None:
        """Make it reachable again."""

    def close(self) -> None:
        """Leave nothing running."""


class WorldInProcess:
    """The network in memory."""

    def __init__(self, faults: Faults, _folder: Path) -> None:
        """Build it."""
        self.clock = HandClock(NOON)
        network = SimulatedNetwork(ids=CountingIds(), seed=SEED, faults=faults)
        self._simulator = SimulatorGateway(network, clock=self.clock.now)
        self.gateway: Adapter = self._simulator

    def begin_outage(self) -> None:
        """Pull the plug."""
        self._simulator.unplug()

    def end_outage(self) -> None:
        """Plug it in."""
        self._simulator.plug_in()

    def close(self) -> None:
        """Close the gateway."""
        self._simulator.close()


_PROCESS: Final = """
import json, sys
from pathlib import Path
from service.gateways.simulator_faults import Faults
from service.gateways.simulator_server import run
port, log, seed, faults = sys.argv[1:]
run(port=int(port), log_path=Path(log), seed=int(seed), faults=Faults(**json.loads(faults)))
"""


class WorldOnLoopback:
    """The network as a process, which an outage kills."""

    def __init__(self, faults: Faults, folder: Path) -> None:
        """Start it on a port of the machine's choice."""
        self._faults = {name: value for name, value in asdict(faults).items() if isinstance(value, float)}
        self._log = folder / "journal.jsonl"
        self.clock = HandClock(NOON)
        self._process, self._port = self._start(port=0)
        self.gateway: Adapter = SimulatorLink(self._port, clock=self.clock.now)

    def _start(self, port: int) -> tuple[subprocess.Popen[bytes], int]:
        arguments = [str(port), str(self._log), str(SEED), json.dumps(self._faults)]
        process = subprocess.Popen(
            [sys.executable, "-c", _PROCESS, *arguments], cwd=ROOT, stdout=subprocess.PIPE
        )
        assert process.stdout is not None
        return process, int(process.stdout.readline())

    def begin_outage(self) -> None:
        """Kill it without a word."""
        self._process.kill()
        self._reap()

    def end_outage(self) -> None:
        """Start it again where it was."""
        self._process, _ = self._start(self._port)

    def close(self) -> None:
        """Stop everything."""
        self.gateway.close()
        self._process.terminate()
        self._reap()

    def _reap(self) -> None:
        assert self._process.stdout is not None
        self._process.stdout.close()
        self._process.wait(timeout=10)


WORLDS: Final[dict[str, Callable[[Faults, Path], World]]] = {
    "in-process": WorldInProcess,
    "loopback": WorldOnLoopback,
}


@pytest.fixture(params=WORLDS)
def open_world(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Callable[[Faults], World]]:
    """Open worlds of one adapter, with the faults a test wants, and close them afterwards."""
    opened: list[World] = []

    def open_one(faults: Faults) -> World:
        world = WORLDS[request.param](faults, tmp_path)
        opened.append(world)
        return world

    yield open_one
    for world in opened:
        world.close()


@pytest.fixture
def world(open_world: Callable[[Faults], World]) -> World:
    """Return a world without faults."""
    return open_world(NO_FAULTS)


def a_text(our_ref: str = "r-1", text: str = "Leo: ondoa vikonyo.", *, hours: int = 1) -> OutgoingText:
    """Return a text that is valid for some hours from noon."""
    return OutgoingText(
        our_ref=our_ref, destination=PHONE, text=text, valid_until=NOON + timedelta(hours=hours)
    )


def shown(world: World) -> list[str]:
    """Return the texts that the phone shows."""
    return [entry.text for entry in world.gateway.inbox(PHONE)]


def receipts(world: World) -> list[Progress]:
    """Return the receipts that wait."""
    return [event for event in world.gateway.events(100) if isinstance(event, Progress)]


# Part counts are counted by hand by the rules of 3GPP TS 23.040: 160 septets or 70 UCS-2 units alone,
# 153 or 67 a part together, and an emoji is two units.
TEXTS: Final = {
    "one letter": ("a", 1),
    "swahili": ("Habari Neema. Kazi za wiki: 1 Ondoa vikonyo 2 Palizi. Tuma NIMEFANYA 1.", 1),
    "accents": ("Niño, déjà vu: ñ é à €", 1),
    "emoji": ("\U0001f353" * 35, 1),
    "emoji in two parts": ("\U0001f353" * 36, 2),
    "two parts": ("a" * 161, 2),
    "extension characters in three parts": ("€" * 153, 3),
    "line ends and quotes": ('1 "A"\n2 \\B\r\n3 \u2028C', 1),
    "no letters of ours": ("ሰላም 日本 हिंदी", 1),
}


@pytest.mark.parametrize(("text", "parts"), TEXTS.values(), ids=TEXTS.keys())
def test_an_accepted_text_arrives_once_and_unchanged(world: World, text: str, parts: int) -> None:
    """What was accepted stands on the phone exactly once, letter for letter, in that many parts."""
    answer = world.gateway.send(a_text(text=text))

    assert isinstance(answer, Accepted)
    assert parts == answer.parts
    assert [(1, NOON, text, parts)] == [
        (entry.place, entry.at, entry.text, entry.parts) for entry in world.gateway.inbox(PHONE)
    ]


def test_a_receipt_gives_both_references_back(world: World) -> None:
    """The receipt of a text names it by our reference and by the one of the answer."""
    answer = world.gateway.send(a_text("r-7"))

    assert isinstance(answer, Accepted)
    assert [("r-7", answer.gateway_ref, Stage.DELIVERED, NOON, True)] == [
        (seen.our_ref, seen.gateway_ref, seen.stage, seen.at, seen.final) for seen in receipts(world)
    ]


def test_a_receipt_may_lack_our_reference(open_world: Callable[[Faults], World]) -> None:
    """Where the network does not give our reference back, its own still ties receipt and answer together."""
    world = open_world(Faults(bare_receipt=1.0))
    answer = world.gateway.send(a_text())

    assert isinstance(answer, Accepted)
    assert [(None, answer.gateway_ref)] == [(seen.our_ref, seen.gateway_ref) for seen in receipts(world)]


REFUSALS: Final = {
    "pace": (Faults(refused_pace=1.0), RefusalClass.PACE),
    "temporary": (Faults(refused_temporary=1.0), RefusalClass.TEMPORARY),
    "permanent": (Faults(refused_permanent=1.0), RefusalClass.PERMANENT),
    "link": (Faults(refused_link=1.0), RefusalClass.LINK),
    "refused although its answer would have been lost": (
        Faults(refused_temporary=1.0, answer_lost_after=1.0),
        RefusalClass.TEMPORARY,
    ),
}


@pytest.mark.parametrize(("faults", "reason"), REFUSALS.values(), ids=REFUSALS.keys())
def test_a_refused_text_never_arrives(
    open_world: Callable[[Faults], World], faults: Faults, reason: RefusalClass
) -> None:
    """A refusal names its class and why, and nothing is ever heard of the text."""
    world = open_world(faults)
    answer = world.gateway.send(a_text())

    assert isinstance(answer, Refused)
    assert reason == answer.reason
    assert answer.code
    assert answer.detail
    assert [] == shown(world)
    assert [] == receipts(world)


@pytest.mark.parametrize("length", [MAX_CHARACTERS + 1, 100_000], ids=["by one", "beyond any line"])
def test_a_text_too_long_is_refused_for_good(world: World, length: int) -> None:
    """No later attempt could help a text that is too long, so it is not tried again."""
    answer = world.gateway.send(a_text(text="a" * length))

    assert isinstance(answer, Refused)
    assert (RefusalClass.PERMANENT, "too-long") == (answer.reason, answer.code)
    assert [] == shown(world)


def test_the_longest_text_still_fits(world: World) -> None:
    """The limit on length holds for the characters that take most room on the way."""
    longest = "\x01" * MAX_CHARACTERS

    assert isinstance(world.gateway.send(a_text(text=longest)), Accepted)
    assert [longest] == shown(world)


def test_a_lost_answer_may_hide_a_text_that_arrived(open_world: Callable[[Faults], World]) -> None:
    """A text in doubt may be on the phone, and its receipt then says so under our reference."""
    world = open_world(Faults(answer_lost_after=1.0))
    with pytest.raises(AnswerLost):
        world.gateway.send(a_text("r-3", "Palizi leo."))

    assert ["Palizi leo."] == shown(world)
    assert [("r-3", Stage.DELIVERED)] == [(seen.our_ref, seen.stage) for seen in receipts(world)]


def test_a_lost_answer_may_hide_a_text_that_did_not_arrive(open_world: Callable[[Faults], World]) -> None:
    """A text in doubt may as well have gone nowhere, of which no receipt will tell."""
    world = open_world(Faults(answer_lost_before=1.0))
    with pytest.raises(AnswerLost):
        world.gateway.send(a_text())

    assert [] == shown(world)
    assert [] == receipts(world)


def test_a_second_attempt_has_its_own_luck(open_world: Callable[[Faults], World]) -> None:
    """A text refused for now gets through in the end, and arrives once."""
    world = open_world(Faults(refused_temporary=0.5))
    attempts: list[Accepted | Refused] = []
    while not attempts or isinstance(attempts[-1], Refused):
        attempts.append(world.gateway.send(a_text("r-1")))
        assert len(attempts) < 64, "a fault of one half cannot last that long"

    assert len(attempts) > 1, "the seed was to refuse the first attempt"
    assert 1 == len(shown(world))


def test_nothing_leaves_in_an_outage(world: World) -> None:
    """NotSent means not sent: after the outage the phone is empty, and sending again makes one text of it."""
    world.begin_outage()
    with pytest.raises(NotSent):
        world.gateway.send(a_text())
    world.end_outage()

    assert [] == shown(world)
    assert isinstance(world.gateway.send(a_text()), Accepted)
    assert 1 == len(shown(world))


def test_an_outage_is_said_and_survived(world: World) -> None:
    """Health and events tell of an outage; the gateway recovers by itself, and phones keep their texts."""
    before = world.gateway.send(a_text("r-1", "Kwanza."))
    world.begin_outage()
    down = world.gateway.health()
    with pytest.raises(Unreachable):
        world.gateway.events(1)
    with pytest.raises(Unreachable):
        world.gateway.acknowledge(["any"])
    world.end_outage()
    after = world.gateway.send(a_text("r-2", "Pili."))

    assert isinstance(before, Accepted)
    assert isinstance(after, Accepted)
    assert not down.up
    assert down.detail
    assert world.gateway.health().up
    assert ["Kwanza.", "Pili."] == shown(world)


def test_events_return_until_acknowledged(world: World) -> None:
    """An event is handed over again and again, unchanged, until acknowledged; then it is gone."""
    for number in range(3):
        world.gateway.send(a_text(f"r-{number}"))
    first = world.gateway.events(10)
    again = world.gateway.events(10)
    world.gateway.acknowledge([first[0].event_id, first[2].event_id])
    left = world.gateway.events(10)

    assert 3 == len(first)
    assert first == again
    assert [first[1]] == list(left)


def test_acknowledging_is_idempotent(world: World) -> None:
    """Unknown ids, repeated ids and none at all are ignored."""
    world.gateway.send(a_text("r-1"))
    (event,) = world.gateway.events(10)
    for ids in ([], ["unknown"], [event.event_id, event.event_id], [event.event_id]):
        world.gateway.acknowledge(ids)

    assert [] == list(world.gateway.events(10))


def test_events_come_oldest_first_and_no_more_than_asked_for(world: World) -> None:
    """A small limit gives the oldest events, so that none waits for ever behind newer ones."""
    for number in range(5):
        world.gateway.send(a_text(f"r-{number}"))
        world.clock.advance(timedelta(seconds=1))

    assert [] == list(world.gateway.events(0))
    assert ["r-0", "r-1"] == [
        event.our_ref for event in world.gateway.events(2) if isinstance(event, Progress)
    ]


@pytest.mark.parametrize("text", ["vuna 12.5", "  VUNA\n12,5 \U0001f353", "", "ʼ\u202eabc\x00"], ids=repr)
def test_an_inbound_text_keeps_its_reference_and_its_letters(world: World, text: str) -> None:
    """However often an inbound text is handed over it is the same one, as it was typed."""
    message_ref = world.gateway.text_in(source=PHONE, destination=SHORT_CODE, text=text)
    (first,) = world.gateway.events(10)
    (again,) = world.gateway.events(10)

    assert first == again
    assert isinstance(first, InboundText)
    assert (message_ref, PHONE, SHORT_CODE, text, NOON) == (
        first.message_ref,
        first.source,
        first.destination,
        first.text,
        first.received_at,
    )


def test_equal_inbound_texts_are_different_texts(world: World) -> None:
    """Who texts the same twice has sent two texts."""
    refs = [world.gateway.text_in(source=PHONE, destination=SHORT_CODE, text="NDIO") for _ in range(2)]

    assert 2 == len(set(refs))
    assert refs == [event.message_ref for event in world.gateway.events(10) if isinstance(event, InboundText)]


UNTYPABLE: Final = {
    "no sender": {"source": "", "destination": SHORT_CODE, "text": "a"},
    "no addressee": {"source": PHONE, "destination": "", "text": "a"},
    "too long": {"source": PHONE, "destination": SHORT_CODE, "text": "a" * (MAX_CHARACTERS + 1)},
    "half a character": {"source": PHONE, "destination": SHORT_CODE, "text": "\ud83c"},
}


@pytest.mark.parametrize("typed", UNTYPABLE.values(), ids=UNTYPABLE.keys())
def test_what_no_phone_could_send_is_refused(world: World, typed: dict[str, str]) -> None:
    """Nonsense from a practice phone is an error for its caller and no event for us."""
    with pytest.raises(ValueError, match=r"a text|surrogate"):
        world.gateway.text_in(**typed)

    assert [] == list(world.gateway.events(10))


def test_a_phone_cannot_text_in_an_outage(world: World) -> None:
    """The practice phone is told that its text did not leave."""
    world.begin_outage()
    with pytest.raises(NotSent):
        world.gateway.text_in(source=PHONE, destination=SHORT_CODE, text="HABARI")
    with pytest.raises(Unreachable):
        world.gateway.inbox(PHONE)


def test_a_repeated_receipt_is_two_events(open_world: Callable[[Faults], World]) -> None:
    """Networks repeat receipts under new ids, so acknowledging one leaves the other."""
    world = open_world(Faults(repeated_receipt=1.0))
    world.gateway.send(a_text())
    first, second = receipts(world)
    world.gateway.acknowledge([first.event_id])

    assert (first.gateway_ref, first.stage) == (second.gateway_ref, second.stage)
    assert [second] == receipts(world)


def test_a_late_receipt_is_not_heard_before_its_time(open_world: Callable[[Faults], World]) -> None:
    """A late receipt keeps the instant at which the text arrived, and is overtaken by later ones."""
    late = Faults(late_receipt=1.0)
    world = open_world(late)
    world.gateway.send(a_text())
    world.clock.advance(late.late_by - timedelta(seconds=1))
    before = receipts(world)
    world.clock.advance(timedelta(seconds=1))

    assert [] == before
    assert [NOON] == [seen.at for seen in receipts(world)]


def test_a_receipt_may_never_come(open_world: Callable[[Faults], World]) -> None:
    """A lost receipt stays lost, although the text arrived."""
    world = open_world(Faults(lost_receipt=1.0))
    world.gateway.send(a_text(hours=1))
    world.clock.advance(timedelta(days=30))

    assert 1 == len(shown(world))
    assert [] == receipts(world)


def test_a_phone_that_is_off_gets_nothing_and_the_receipts_say_so(
    open_world: Callable[[Faults], World],
) -> None:
    """The network tries until the text is no longer valid, then gives up."""
    world = open_world(Faults(handset_off=1.0))
    world.gateway.send(a_text(hours=1))
    at_once = [(seen.stage, seen.at, seen.final) for seen in receipts(world)]
    world.clock.advance(timedelta(hours=1))

    assert [(Stage.ENROUTE, NOON, False)] == at_once
    assert [(Stage.ENROUTE, False), (Stage.EXPIRED, True)] == [
        (seen.stage, seen.final) for seen in receipts(world)
    ]
    assert [] == shown(world)


def test_a_text_past_its_time_is_not_delivered(world: World) -> None:
    """Validity is honoured to the handset: what comes too late is taken, expired and never shown."""
    world.clock.advance(timedelta(hours=1))
    answer = world.gateway.send(a_text(hours=1))

    assert isinstance(answer, Accepted)
    assert [] == shown(world)
    assert [(Stage.EXPIRED, True)] == [(seen.stage, seen.final) for seen in receipts(world)]


def test_an_inbox_is_read_from_a_place_on(world: World) -> None:
    """A page that remembers the last place it showed gets what came since, and nothing twice."""
    for number in range(3):
        world.gateway.send(a_text(f"r-{number}", f"Kazi {number}"))

    assert [2, 3] == [entry.place for entry in world.gateway.inbox(PHONE, 1)]
    assert [1, 2, 3] == [entry.place for entry in world.gateway.inbox(PHONE, -1)]
    assert () == world.gateway.inbox(PHONE, 3)
    assert () == world.gateway.inbox("+255000000000")


def test_several_threads_may_send(world: World) -> None:
    """Texts sent at the same time neither get lost nor get each other's answers."""
    bodies = {f"r-{number}": "a" * (1 + 160 * (number % 3)) for number in range(60)}

    with ThreadPoolExecutor(4) as pool:
        answers = list(pool.map(lambda item: world.gateway.send(a_text(*item)), bodies.items()))

    assert sorted(bodies.values()) == sorted(shown(world))
    assert [1 if len(body) == 1 else 2 if len(body) == 161 else 3 for body in bodies.values()] == [
        answer.parts for answer in answers if isinstance(answer, Accepted)
    ]


def test_closing_twice_is_as_closing_once(world: World) -> None:
    """After closing nothing leaves, nothing is heard and health says so; closing again is no error."""
    world.gateway.send(a_text())
    world.gateway.close()
    world.gateway.close()

    with pytest.raises(NotSent):
        world.gateway.send(a_text())
    with pytest.raises(Unreachable):
        world.gateway.events(1)
    assert not world.gateway.health().up


def test_a_gateway_says_its_name_and_limits(world: World) -> None:
    """The sender paces itself by what the gateway says of itself."""
    assert "simulator" == world.gateway.name
    assert world.gateway.limits.per_second > 0
    assert world.gateway.limits.window >= 1


def test_one_seed_gives_both_doors_the_same_faults(tmp_path: Path) -> None:
    """A fault met over loopback can be met again in memory, text by text."""
    faults = Faults(refused_temporary=0.3, answer_lost_after=0.3, answer_lost_before=0.1)

    def fates(kind: str) -> list[str]:
        world = WORLDS[kind](faults, tmp_path)
        try:
            return [fate(world, f"r-{number}") for number in range(40)]
        finally:
            world.close()

    in_process = fates("in-process")

    assert in_process == fates("loopback")
    assert {"Accepted", "Refused", "AnswerLost"} == set(in_process)


def fate(world: World, our_ref: str) -> str:
    """Return the name of the way in which a send ended."""
    try:
        return type(world.gateway.send(a_text(our_ref))).__name__
    except AnswerLost as error:
        return type(error).__name__
