from datetime import UTC, datetime, timedelta
from functools import partial
from typing import Any, Final

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.clock import HandClock
from service.core.gateway import Accepted, NotSent, OutgoingText, Progress, RefusalClass, Refused
from service.gateways.simulator import SimulatorGateway
from service.gateways.simulator_events import EventQueue
from service.gateways.simulator_faults import Fault, Faults
from service.gateways.simulator_network import SimulatedNetwork
from service.gateways.simulator_receipts import receipts
from service.gateways.simulator_texts import PAGE, TakenText
from service.ids import CountingIds

NOON: Final = datetime(2026, 11, 25, 9, 0, tzinfo=UTC)
PHONE: Final = "+255621234567"


def a_text(our_ref: str = "r-1", text: str = "Palizi leo.") -> OutgoingText:
    """Return a text that is valid until one."""
    return OutgoingText(our_ref=our_ref, destination=PHONE, text=text, valid_until=NOON + timedelta(hours=1))


a_network = partial(SimulatedNetwork, ids=CountingIds())


class TestFaults:
    """How a seed decides."""

    @pytest.mark.parametrize("wrong", [{"slow_answer": 1.1}, {"lost_receipt": -0.1}], ids=str)
    def test_a_probability_lies_between_never_and_always(self, wrong: dict[str, Any]) -> None:
        """The error names the fault."""
        with pytest.raises(ValueError, match=next(iter(wrong))):
            Faults(**wrong)

    @pytest.mark.parametrize("wrong", [{"hold_seconds": -1.0}, {"late_by": timedelta(-1)}], ids=str)
    def test_time_does_not_run_backwards(self, wrong: dict[str, Any]) -> None:
        """Holding back for less than nothing is a mistake."""
        with pytest.raises(ValueError, match="negative"):
            Faults(**wrong)

    def test_every_fault_has_its_probability(self) -> None:
        """The table of faults and the settings cannot drift apart."""
        for fault in Fault:
            one: dict[str, Any] = {fault.value: 1.0}
            always = Faults(**one)

            assert {fault} == always.befalling(seed=1, our_ref="r-1", attempt=1)

    def test_a_fault_comes_as_often_as_it_should(self) -> None:
        """Over 4,000 texts one in five is met, within four standard deviations (25 each)."""
        faults = Faults(refused_pace=0.2)
        met = sum(
            Fault.REFUSED_PACE in faults.befalling(seed=3, our_ref=f"r-{number}", attempt=1)
            for number in range(4000)
        )

        assert 700 < met < 900

    @settings(max_examples=50)
    @given(seed=st.integers(), our_ref=st.text(min_size=1), attempt=st.integers(1, 9))
    def test_more_likely_faults_include_the_less_likely(self, seed: int, our_ref: str, attempt: int) -> None:
        """Turning faults up only adds victims, so what failed before still fails."""
        our_ref = our_ref.encode("utf-8", "replace").decode()
        low, high = (
            Faults(slow_answer=likely, lost_receipt=likely).befalling(
                seed=seed, our_ref=our_ref, attempt=attempt
            )
            for likely in (0.3, 0.6)
        )

        assert low <= high

    def test_seeds_and_attempts_change_the_luck(self) -> None:
        """Neither another seed nor another attempt meets the same texts."""
        faults = Faults(refused_temporary=0.5)

        def luck(seed: int, attempt: int) -> list[bool]:
            return [
                bool(faults.befalling(seed=seed, our_ref=f"r-{number}", attempt=attempt))
                for number in range(64)
            ]

        assert luck(1, 1) == luck(1, 1)
        assert luck(1, 1) != luck(2, 1)
        assert luck(1, 1) != luck(1, 2)


class TestEventQueue:
    """What waits, and in which order."""

    @settings(max_examples=60)
    @given(
        dues=st.lists(st.integers(0, 20), max_size=20),
        now=st.integers(0, 20),
        limit=st.integers(-1, 25),
    )
    def test_due_events_come_in_order(self, dues: list[int], now: int, limit: int) -> None:
        """Exactly the due ones come, by their time and then by the order in which they were put in."""
        queue = EventQueue()
        for number, due in enumerate(dues):
            queue.put(_a_receipt(str(number)), NOON + timedelta(seconds=due))
        in_order = [number for number, due in sorted(enumerate(dues), key=lambda item: item[1]) if due <= now]

        assert [str(number) for number in in_order[: max(limit, 0)]] == [
            event.event_id for event in queue.waiting(limit, NOON + timedelta(seconds=now))
        ]


def _a_receipt(event_id: str) -> Progress:
    taken = _taken("r-1", "Palizi")
    (receipt, _due), *_ = receipts(
        taken,
        valid_until=NOON + timedelta(hours=1),
        met=frozenset(),
        faults=Faults(),
        new_id=lambda: event_id,
    )
    return receipt


def _taken(our_ref: str, text: str, *, attempt: int = 1, reached: bool = True) -> TakenText:
    return TakenText(
        our_ref=our_ref,
        attempt=attempt,
        gateway_ref=f"g-{our_ref}",
        destination=PHONE,
        text=text,
        parts=1,
        at=NOON,
        reached=reached,
    )


class TestNetwork:
    """What the contract suite cannot see from outside."""

    def test_a_network_may_serve_some_numbers_only(self) -> None:
        """A number it does not serve is refused for good."""
        network = a_network(serves={"+255621234568"})
        outcome = network.send(a_text(), NOON)

        assert isinstance(outcome.answer, Refused)
        assert (RefusalClass.PERMANENT, "not-served") == (outcome.answer.reason, outcome.answer.code)
        assert () == network.inbox(PHONE)

    @pytest.mark.parametrize(("dedupe", "arrived"), [(True, 1), (False, 2)], ids=["dedupe", "no dedupe"])
    def test_a_reference_sent_twice(self, *, dedupe: bool, arrived: int) -> None:
        """A network that dedupes gives the first answer again; one that does not delivers a second text."""
        network = a_network(dedupe=dedupe)
        answers = {network.send(a_text(), NOON).answer for _ in range(2)}

        assert arrived == len(answers)
        assert arrived == len(network.inbox(PHONE))
        assert arrived == len(network.events(9, NOON))

    def test_what_the_journal_cannot_hold_is_not_taken(self) -> None:
        """A full disk is a refusal for now: nothing arrives, no receipt comes, and later it may work."""

        def full(_taken: TakenText) -> None:
            raise OSError(28, "No space left on device")

        network = a_network(journal=full)
        answer = network.send(a_text(), NOON).answer

        assert isinstance(answer, Refused)
        assert RefusalClass.TEMPORARY == answer.reason
        assert () == network.inbox(PHONE)
        assert () == network.events(9, NOON)

    def test_the_past_is_restored(self) -> None:
        """Handsets get back what reached them, and known references are known again."""
        past = [_taken("r-1", "Kwanza"), _taken("r-2", "Pili", reached=False), _taken("r-3", "Tatu")]
        network = a_network(past=past, dedupe=True)

        assert [(1, "Kwanza"), (2, "Tatu")] == [(seen.place, seen.text) for seen in network.inbox(PHONE)]
        assert Accepted(gateway_ref="g-r-2", parts=1) == network.send(a_text("r-2"), NOON).answer
        assert 2 == len(network.inbox(PHONE))

    def test_luck_goes_on_after_a_restart(self) -> None:
        """The attempts of an earlier life count, so that a restart does not repeat the first one's faults."""
        faults = Faults(refused_temporary=0.5)
        journal: list[TakenText] = []
        seen = a_network(faults=faults, journal=journal.append)
        whole = [type(seen.send(a_text(), NOON).answer) for _ in range(20)]
        done = journal[0].attempt
        restored = a_network(faults=faults, past=journal[:1])
        rest = [type(restored.send(a_text(), NOON).answer) for _ in range(20 - done)]

        assert whole[done:] == rest
        assert {Accepted, Refused} == set(rest)

    def test_a_question_gets_a_page_at_most(self) -> None:
        """Neither a long inbox nor many events can fill the memory of who asks."""
        network = a_network()
        for number in range(PAGE + 1):
            network.send(a_text(f"r-{number}"), NOON)

        assert PAGE == len(network.inbox(PHONE))
        assert [PAGE + 1] == [seen.place for seen in network.inbox(PHONE, PAGE)]
        assert PAGE == len(network.events(10 * PAGE, NOON))


class TestGateway:
    """Held answers and pulled plugs."""

    HOLDS: Final = {
        "early receipt": (Faults(early_receipt=1.0), 1),
        "slow answer": (Faults(slow_answer=1.0), 0),
        "both": (Faults(early_receipt=1.0, slow_answer=1.0), 1),
    }

    @pytest.mark.parametrize(("faults", "heard"), HOLDS.values(), ids=HOLDS.keys())
    def test_a_receipt_may_overtake_its_answer(self, faults: Faults, heard: int) -> None:
        """While the answer is held back an early receipt can be heard, and any other cannot."""
        clock = HandClock(NOON)
        during: list[int] = []
        held: list[float] = []

        def listen(seconds: float) -> None:
            held.append(seconds)
            during.append(len(gateway.events(9)))
            clock.advance(timedelta(seconds=seconds))

        gateway = SimulatorGateway(a_network(faults=faults), clock=clock.now, pause=listen)
        gateway.send(a_text())

        assert [faults.hold_seconds] == held
        assert [heard] == during
        assert 1 == len(gateway.events(9))

    def test_an_answer_is_held_back_in_real_time(self) -> None:
        """Without a hand on the pause a held answer comes by itself, and the text arrived meanwhile."""
        faults = Faults(slow_answer=1.0, hold_seconds=0.01)
        gateway = SimulatorGateway(a_network(faults=faults), clock=HandClock(NOON).now)

        assert isinstance(gateway.send(a_text()), Accepted)
        assert 1 == len(gateway.inbox(PHONE))

    def test_a_closed_gateway_cannot_be_plugged_in(self) -> None:
        """Closing is for good."""
        gateway = SimulatorGateway(a_network(), clock=HandClock(NOON).now)
        gateway.close()
        gateway.unplug()
        gateway.plug_in()

        with pytest.raises(NotSent, match="closed"):
            gateway.send(a_text())
