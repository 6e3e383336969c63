"""A practice phone's thread: what it received, and what was typed on it, in one list."""

import threading
from collections import deque
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from service.db.queries.console_values import TextedIn
from service.gateways.simulator_texts import PAGE, HandsetText, PracticeNetwork
from service.web.farmers.talk import measure

SHOWN: Final = 40
_KEPT: Final = 20


@dataclass(frozen=True, kw_only=True, slots=True)
class Line:
    """One text on the phone's slip; `note` says what it cost, and that it has not come through yet."""

    mine: bool
    at: datetime
    text: str
    note: str


class JustSent:
    """Texts typed in this process that the service may not have stored yet.

    A text is stored a moment after it was typed. Until then a page made at once, as without a script, would
    not show it. Lost at a restart, when nothing is on its way any more.
    """

    def __init__(self) -> None:
        """Begin with none."""
        self._lock = threading.Lock()
        self._by_slot: dict[int, deque[TextedIn]] = {}

    def add(self, slot: int, sent: TextedIn) -> None:
        """Keep a text that was typed on the phone of `slot`."""
        with self._lock:
            self._by_slot.setdefault(slot, deque(maxlen=_KEPT)).append(sent)

    def missing_from(self, slot: int, stored: Iterable[TextedIn]) -> tuple[TextedIn, ...]:
        """Return what was typed there after all that is stored, and is not stored itself."""
        refs, latest = set(), None
        for text in stored:
            refs.add(text.ref)
            latest = text.at if latest is None else max(latest, text.at)
        with self._lock:
            waiting = tuple(self._by_slot.get(slot, ()))
        return tuple(
            sent for sent in waiting if sent.ref not in refs and (latest is None or sent.at >= latest)
        )


def received(network: PracticeNetwork, number: str) -> tuple[HandsetText, ...]:
    """Return all that a phone received.

    Raises:
        Unreachable: the network could not be asked.
    """
    texts: tuple[HandsetText, ...] = ()
    while True:
        more = network.inbox(number, after=texts[-1].place if texts else 0)
        texts += more
        if len(more) < PAGE:
            return texts


def thread(
    got: Sequence[HandsetText], stored: Sequence[TextedIn], on_the_way: Sequence[TextedIn]
) -> tuple[Line, ...]:
    """Return the last texts of a phone, the newest first."""
    lines = [
        *(Line(mine=True, at=text.at, text=text.text, note=measure(text.text)) for text in reversed(stored)),
        *(
            Line(mine=True, at=text.at, text=text.text, note=f"{measure(text.text)}, on its way")
            for text in on_the_way
        ),
        *(Line(mine=False, at=text.at, text=text.text, note=measure(text.text)) for text in got[-SHOWN:]),
    ]
    # In the same instant an answer stands after what it answers, and else what came later after what came before.
    in_order = sorted(lines, key=lambda line: (line.at, not line.mine))
    return tuple(reversed(in_order[-SHOWN:]))
