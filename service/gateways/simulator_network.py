"""A mobile network in memory: it takes texts, lets phones receive and send them, and writes receipts.

It is one network with two doors: `simulator.py` opens it inside this process, `simulator_server.py` as a
process of its own. It keeps no clock: every call says what time it is, so that the network lives in its
caller's time, in the demo as in tests.

What it does with a text is settled in this order, and each step is a row of `_REFUSALS` or one `Fault`: lost
before it was read, refused, taken and written to the journal, delivered to the handset, told of by receipts,
answered.
"""

import threading
from collections import defaultdict
from collections.abc import Callable, Collection, Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from flows.alphabet import parts
from service.core.gateway import (
    Accepted,
    Event,
    InboundText,
    OutgoingText,
    RefusalClass,
    Refused,
)
from service.gateways.simulator_events import EventQueue
from service.gateways.simulator_faults import NO_FAULTS, Fault, Faults
from service.gateways.simulator_receipts import receipts
from service.gateways.simulator_texts import MAX_CHARACTERS, PAGE, HandsetText, TakenText, check_typed
from service.ids import Ids

_REFUSALS: Final[dict[Fault, Refused]] = {
    Fault.REFUSED_LINK: Refused(
        reason=RefusalClass.LINK, code="not-bound", detail="the network does not know this link"
    ),
    Fault.REFUSED_PACE: Refused(reason=RefusalClass.PACE, code="too-fast", detail="too many texts a second"),
    Fault.REFUSED_TEMPORARY: Refused(
        reason=RefusalClass.TEMPORARY, code="busy", detail="the network cannot take the text now"
    ),
    Fault.REFUSED_PERMANENT: Refused(
        reason=RefusalClass.PERMANENT, code="no-such-number", detail="the network knows no such number"
    ),
}
_NOT_SERVED: Final = Refused(
    reason=RefusalClass.PERMANENT, code="not-served", detail="this network does not serve that number"
)
_TOO_LONG: Final = Refused(
    reason=RefusalClass.PERMANENT, code="too-long", detail=f"a text has at most {MAX_CHARACTERS} characters"
)
_JOURNAL_FULL: Final = Refused(
    reason=RefusalClass.TEMPORARY, code="journal", detail="the network could not write the text down"
)


@dataclass(frozen=True, kw_only=True, slots=True)
class Outcome:
    """What the sender shall notice: an answer, or None for one that is lost, after `hold` real seconds."""

    answer: Accepted | Refused | None
    hold: float = 0.0


def _no_journal(taken: TakenText) -> None:
    """Keep nothing: the network lives and dies with its process."""


class SimulatedNetwork:
    """The network itself. Its methods may be called from several threads; each is one step."""

    def __init__(
        self,
        *,
        ids: Ids,
        seed: int = 0,
        faults: Faults = NO_FAULTS,
        serves: Collection[str] | None = None,
        dedupe: bool = False,
        journal: Callable[[TakenText], None] = _no_journal,
        past: Iterable[TakenText] = (),
    ) -> None:
        """Build a network.

        Args:
            ids: makes the network's references.
            seed: decides which texts the faults befall.
            faults: how likely they are.
            serves: the numbers it delivers to; None is any.
            dedupe: whether a reference it has taken before is answered again rather than delivered again.
            journal: called with each text it takes, before anyone can see that it took it; raising OSError
                there means that the text is not taken.
            past: texts taken in an earlier life, from which handsets and references are restored.
        """
        self._lock = threading.Lock()
        self._ids = ids
        self._seed = seed
        self._faults = faults
        self._serves = serves
        self._dedupe = dedupe
        self._journal = journal
        self._attempts: defaultdict[str, int] = defaultdict(int)
        self._taken: dict[str, Accepted] = {}
        self._inboxes: defaultdict[str, list[HandsetText]] = defaultdict(list)
        self._events = EventQueue()
        for taken in past:
            self._attempts[taken.our_ref] = max(self._attempts[taken.our_ref], taken.attempt)
            self._keep(taken)

    def send(self, text: OutgoingText, now: datetime) -> Outcome:
        """Let one text meet its fate."""
        with self._lock:
            self._attempts[text.our_ref] += 1
            attempt = self._attempts[text.our_ref]
            met = self._faults.befalling(seed=self._seed, our_ref=text.our_ref, attempt=attempt)
            if Fault.ANSWER_LOST_BEFORE in met:
                return Outcome(answer=None)
            answer = self._refusal(text, met) or self._known(text) or self._take(text, attempt, met, now)
        held = not met.isdisjoint({Fault.SLOW_ANSWER, Fault.EARLY_RECEIPT})
        return Outcome(
            answer=None if Fault.ANSWER_LOST_AFTER in met and isinstance(answer, Accepted) else answer,
            hold=self._faults.hold_seconds if held else 0.0,
        )

    def events(self, limit: int, now: datetime) -> tuple[Event, ...]:
        """Return up to `limit` (and at most `PAGE`) events that wait at `now`, oldest first."""
        with self._lock:
            return self._events.waiting(min(limit, PAGE), now)

    def acknowledge(self, event_ids: Iterable[str]) -> None:
        """Forget events that are safely stored elsewhere."""
        with self._lock:
            self._events.acknowledge(event_ids)

    def text_in(self, *, source: str, destination: str, text: str, now: datetime) -> str:
        """Let the phone `source` text to `destination`; return the network's reference for that text.

        Raises:
            ValueError: if no phone could send this.
        """
        check_typed(source=source, destination=destination, text=text)
        message_ref = self._ids.reference()
        inbound = InboundText(
            event_id=self._ids.reference(),
            message_ref=message_ref,
            source=source,
            destination=destination,
            text=text,
            received_at=now,
        )
        with self._lock:
            self._events.put(inbound, now)
        return message_ref

    def inbox(self, number: str, after: int = 0) -> tuple[HandsetText, ...]:
        """Return what the phone received after place `after`, oldest first, at most `PAGE` entries."""
        first = max(after, 0)
        with self._lock:
            return tuple(self._inboxes[number][first : first + PAGE]) if number in self._inboxes else ()

    def _refusal(self, text: OutgoingText, met: frozenset[Fault]) -> Refused | None:
        if self._serves is not None and text.destination not in self._serves:
            return _NOT_SERVED
        if len(text.text) > MAX_CHARACTERS:
            return _TOO_LONG
        return next((refused for fault, refused in _REFUSALS.items() if fault in met), None)

    def _known(self, text: OutgoingText) -> Accepted | None:
        return self._taken.get(text.our_ref) if self._dedupe else None

    def _take(
        self, text: OutgoingText, attempt: int, met: frozenset[Fault], now: datetime
    ) -> Accepted | Refused:
        taken = TakenText(
            our_ref=text.our_ref,
            attempt=attempt,
            gateway_ref=self._ids.reference(),
            destination=text.destination,
            text=text.text,
            parts=parts(text.text),
            at=now,
            reached=Fault.HANDSET_OFF not in met and now < text.valid_until,
        )
        try:
            self._journal(taken)
        except OSError:
            return _JOURNAL_FULL
        accepted = self._keep(taken)
        for receipt, due in receipts(
            taken, valid_until=text.valid_until, met=met, faults=self._faults, new_id=self._ids.reference
        ):
            self._events.put(receipt, due)
        return accepted

    def _keep(self, taken: TakenText) -> Accepted:
        if taken.reached:
            inbox = self._inboxes[taken.destination]
            inbox.append(HandsetText(place=len(inbox) + 1, at=taken.at, text=taken.text, parts=taken.parts))
        accepted = Accepted(gateway_ref=taken.gateway_ref, parts=taken.parts)
        self._taken[taken.our_ref] = accepted
        return accepted
