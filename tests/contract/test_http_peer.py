"""The gateway's port kept over signed HTTP, against the example peer in a process of its own."""

import subprocess
import sys
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta
from pathlib import Path

import pytest

from service.clock import RealClock
from service.core.gateway import Accepted, AnswerLost, Gateway, NotSent, OutgoingText, RefusalClass, Refused
from service.gateways.http import HttpGateway
from service.gateways.http_target import read_target
from service.gateways.signing import Keys, parse_keys
from service.gateways.trial import TrialGateway
from tests.peers import NOWHERE, PEER, SEND_KEY, Peer

PHONE = "+255621234567"
OTHER = "+255621234568"


def a_text(our_ref: str = "r-1", text: str = "Leo: ondoa vikonyo.", to: str = PHONE) -> OutgoingText:
    """Return a text that is valid for an hour."""
    until = RealClock().now() + timedelta(hours=1)
    return OutgoingText(our_ref=our_ref, destination=to, text=text, valid_until=until.replace(microsecond=0))


@pytest.fixture
def peer(tmp_path: Path) -> Iterator[Peer]:
    """The example peer, faultless."""
    peer = Peer(tmp_path).start()
    yield peer
    peer.kill()


@pytest.fixture
def gateway(peer: Peer) -> Iterator[HttpGateway]:
    """Our adapter before it."""
    gateway = peer.gateway()
    yield gateway
    gateway.close()


TEXTS = {
    "swahili": "Habari Neema. Kazi za wiki: 1 Ondoa vikonyo 2 Palizi. Tuma NIMEFANYA 1.",
    "accents": "Ni\u00f1o, d\u00e9j\u00e0 vu: \u00f1 \u00e9 \u00e0 \u20ac",
    "emoji": "\U0001f353" * 36,
    "line ends and quotes": '1 "A"\n2 \\B\r\n3 \u2028C',
    "control": "\x01\x7f",
    "long": "a" * 1000,
}


@pytest.mark.parametrize("text", TEXTS.values(), ids=TEXTS.keys())
def test_an_accepted_text_arrives_once_and_unchanged(peer: Peer, gateway: HttpGateway, text: str) -> None:
    """What was accepted stands in the peer's journal exactly once, letter for letter."""
    answer = gateway.send(a_text(text=text))

    assert isinstance(answer, Accepted)
    assert answer.gateway_ref
    assert [(PHONE, text, "r-1")] == [(one["destination"], one["text"], one["our_ref"]) for one in peer.texts]


def test_a_text_sent_again_is_one_text(peer: Peer, gateway: HttpGateway) -> None:
    """The key is the same for every try, so the peer knows the text again and gives its first answer."""
    text = a_text()
    answers = [gateway.send(text) for _ in range(3)]

    assert 1 == len(set(answers))
    assert 1 == len(peer.texts)


def test_a_peer_that_died_still_knows_its_keys(peer: Peer, gateway: HttpGateway) -> None:
    """Killed and started again, it reads its journal: no text arrives a second time."""
    text = a_text()
    first = gateway.send(text)
    peer.kill()
    with pytest.raises((NotSent, AnswerLost)):
        gateway.send(text)
    peer.start()

    assert first == gateway.send(text)
    assert 1 == len(peer.texts)


def test_the_same_key_with_another_text_is_refused_for_good(peer: Peer, gateway: HttpGateway) -> None:
    """A key belongs to one text; the peer takes no other under it."""
    gateway.send(a_text(text="one"))
    refused = gateway.send(a_text(text="another"))

    assert isinstance(refused, Refused)
    assert (RefusalClass.PERMANENT, "other-body") == (refused.reason, refused.code)
    assert ["one"] == [one["text"] for one in peer.texts]


def test_another_key_is_a_fault_of_the_link(peer: Peer) -> None:
    """Who signs with what the peer does not know gets nothing through, and a person must look."""
    target = read_target(f"http://127.0.0.1:{peer.port}", allow_plain=True, allow_private=True)
    stranger = HttpGateway(target, keys=Keys((b"x" * 32,)), source="15077", clock=RealClock().now)
    refused = stranger.send(a_text())
    stranger.close()

    assert isinstance(refused, Refused)
    assert (RefusalClass.LINK, "bad-signature") == (refused.reason, refused.code)
    assert [] == peer.texts


def test_a_clock_that_is_wrong_is_a_fault_of_the_link(peer: Peer) -> None:
    """A signature of another time is not taken."""
    target = read_target(f"http://127.0.0.1:{peer.port}", allow_plain=True, allow_private=True)
    late = HttpGateway(
        target,
        keys=parse_keys([SEND_KEY]),
        source="15077",
        clock=lambda: RealClock().now() - timedelta(minutes=6),
    )
    refused = late.send(a_text())
    late.close()

    assert isinstance(refused, Refused)
    assert RefusalClass.LINK is refused.reason


FAULTS = {
    "too fast": ("--refuse-pace", RefusalClass.PACE, "too-fast"),
    "busy": ("--refuse-busy", RefusalClass.PACE, "busy"),
}


@pytest.mark.parametrize(("option", "reason", "code"), FAULTS.values(), ids=FAULTS.keys())
def test_a_refused_text_never_arrives(tmp_path: Path, option: str, reason: RefusalClass, code: str) -> None:
    """A refusal names its class and how long to wait, and nothing is in the journal."""
    peer = Peer(tmp_path, options=(option, "1")).start()
    gateway = peer.gateway()
    refused = gateway.send(a_text())
    gateway.close()
    peer.kill()

    assert isinstance(refused, Refused)
    assert (reason, code, timedelta(seconds=1)) == (refused.reason, refused.code, refused.retry_after)
    assert [] == peer.texts


def test_a_lost_answer_hides_a_text_that_arrived_once(tmp_path: Path) -> None:
    """In doubt and sent again until answered, each text is in the journal once: the peer knows the key."""
    peer = Peer(tmp_path, options=("--drop-answers", "0.3", "--seed", "5")).start()
    gateway = peer.gateway()
    doubts = 0
    for number in range(40):
        text = a_text(f"r-{number}")
        while True:
            try:
                answer = gateway.send(text)
            except AnswerLost:
                doubts += 1
                continue
            assert isinstance(answer, Accepted)
            break
    gateway.close()
    peer.kill()

    assert doubts > 0, "the seed was to drop some answers"
    assert [f"r-{number}" for number in range(40)] == [one["our_ref"] for one in peer.texts]


def test_nothing_leaves_in_an_outage(peer: Peer, gateway: HttpGateway) -> None:
    """NotSent means not sent: after the outage one text is made of it, and health tells of both."""
    up = gateway.health()
    peer.kill()
    down = gateway.health()
    with pytest.raises(NotSent):
        gateway.send(a_text())
    peer.start()

    assert (True, False) == (up.up, down.up)
    assert isinstance(gateway.send(a_text()), Accepted)
    assert 1 == len(peer.texts)


def test_events_come_by_other_ways(gateway: HttpGateway) -> None:
    """Nothing waits here: what comes in is posted."""
    port: Gateway = gateway
    port.acknowledge(["any"])

    assert [] == list(port.events(10))


def test_threads_may_send_at_once(peer: Peer, gateway: HttpGateway) -> None:
    """Each text sent from several threads arrives once."""
    texts = [a_text(f"r-{number}") for number in range(24)]
    with ThreadPoolExecutor(4) as pool:
        answers = list(pool.map(gateway.send, texts))

    assert all(isinstance(answer, Accepted) for answer in answers)
    assert {text.our_ref for text in texts} == {one["our_ref"] for one in peer.texts}
    assert 24 == len(peer.texts)


def test_a_closed_gateway_sends_nothing(gateway: HttpGateway) -> None:
    """Closing twice is as closing once."""
    gateway.close()
    gateway.close()

    with pytest.raises(NotSent):
        gateway.send(a_text())


def test_trial_mode_lets_the_example_peer_have_every_text(peer: Peer, gateway: HttpGateway) -> None:
    """It reaches no phone, so no number has to be listed."""
    trial = TrialGateway(gateway, ())

    assert isinstance(trial.send(a_text()), Accepted)
    assert 1 == len(peer.texts)


class Unknown(HttpGateway):
    """A gateway that is not the example peer."""

    def is_example_peer(self) -> bool:
        """Be somebody else."""
        return False


def test_trial_mode_reaches_listed_numbers_and_nobody_else(peer: Peer) -> None:
    """Anything else is refused before a byte leaves."""
    target = read_target(f"http://127.0.0.1:{peer.port}", allow_plain=True, allow_private=True)
    unknown = Unknown(target, keys=parse_keys([SEND_KEY]), source="15077", clock=RealClock().now)
    trial = TrialGateway(unknown, [PHONE])
    listed, other = trial.send(a_text("r-1")), trial.send(a_text("r-2", to=OTHER))
    trial.close()

    assert isinstance(listed, Accepted)
    assert isinstance(other, Refused)
    assert (RefusalClass.PERMANENT, "trial") == (other.reason, other.code)
    assert [PHONE] == [one["destination"] for one in peer.texts]


@pytest.mark.parametrize("host", ["localhost", "gateway.example"])
def test_only_an_address_of_this_machine_can_be_the_example_peer(host: str) -> None:
    """A name could lead anywhere, so it is not even asked."""
    target = read_target(f"http://{host}:9", allow_plain=True, allow_private=True)
    gateway = HttpGateway(target, keys=parse_keys([SEND_KEY]), source="15077", clock=RealClock().now)

    assert not gateway.is_example_peer()


@pytest.mark.parametrize("kept", [None, "no key ✗"], ids=["no file", "no keys"])
def test_a_peer_without_keys_says_where_they_come_from(tmp_path: Path, kept: str | None) -> None:
    """Started before the service was set up it ends with a sentence."""
    file = tmp_path / "gateway-send.keys"
    if kept:
        file.write_text(kept, encoding="utf-8")
    files = ["--keys-in", str(file), "--keys-out", str(file), "--journal", str(tmp_path / "journal")]

    said = subprocess.run(
        [sys.executable, str(PEER), *files, "--hook", NOWHERE], capture_output=True, text=True, check=False
    )

    assert 1 == said.returncode
    assert said.stderr.startswith(f"The keys {file} cannot be read (")
    assert said.stderr.endswith("): trussline setup makes them where the gateway is http.\n")
