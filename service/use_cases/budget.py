"""The budget: how many parts may be paid for, reserved before a text leaves, so that no sum is ever passed.

Rules:

* A text is paid for from several purses at once: the day's, its alert's, its officer's and its farmer's. It leaves
  only if each of them can pay for all of its parts; if one cannot, none is touched.
* What is reserved is spent once the text may have left (accepted, or in doubt), and given back if it did not.
* A purse is filled anew each day, but an alert's: that one is for the whole alert, however many days it takes.
* The day's purse is always touched first. Two senders thus wait for each other there and can never hold one purse
  each while wanting the other's.
"""

from collections.abc import Iterable
from datetime import date
from typing import Final, Protocol

from service.core.caps import Caps, Scope, Sort, sort_of
from service.core.ports import Work
from service.core.wire_ports import Budget

# Where a purse stands that lasts: a day that no text is sent on.
LASTING: Final = date(1970, 1, 1)


class Paying(Protocol):
    """A unit of work in which purses can be looked into."""

    @property
    def budget(self) -> Budget:
        """The purses."""
        ...


def scopes_of(
    *, alert_id: int | None = None, officer_id: int | None = None, farmer_id: int | None = None
) -> tuple[Scope, ...]:
    """Return the purses a text is paid from, the day's first."""
    owners = ((Sort.ALERT, alert_id), (Sort.OFFICER, officer_id), (Sort.FARMER, farmer_id))
    return (Sort.DAY, *(f"{sort}:{owner}" for sort, owner in owners if owner is not None))


def is_lasting(scope: Scope) -> bool:
    """Return whether a purse is not filled anew the next day."""
    return sort_of(scope) is Sort.ALERT


def reserve(work: Work, scopes: Iterable[Scope], day: date, parts: int, caps: Caps) -> bool:
    """Reserve `parts` in all purses, or in none; return whether all could pay. The caller commits."""
    held: list[Scope] = []
    for scope in scopes:
        if not work.budget.reserve(scope, _day_of(scope, day), parts, caps.of(scope)):
            give_back(work, held, day, parts)
            return False
        held.append(scope)
    return True


def spend(work: Work, scopes: Iterable[Scope], day: date, parts: int) -> None:
    """Let reserved parts be spent: the text may have left. The caller commits."""
    for scope in scopes:
        work.budget.spend(scope, _day_of(scope, day), parts)


def charge(work: Paying, scopes: Iterable[Scope], day: date, parts: int) -> None:
    """Let parts be spent of which it turns out that they were, whatever the caps say. The caller commits."""
    for scope in scopes:
        work.budget.reserve(scope, _day_of(scope, day), parts, None)
        work.budget.spend(scope, _day_of(scope, day), parts)


def give_back(work: Work, scopes: Iterable[Scope], day: date, parts: int) -> None:
    """Let reserved parts be free again: the text did not leave. The caller commits."""
    for scope in scopes:
        work.budget.give_back(scope, _day_of(scope, day), parts)


def left(work: Paying, scope: Scope, day: date, caps: Caps) -> int | None:
    """Return how many parts a purse can still pay for; None if it has no limit."""
    cap = caps.of(scope)
    return None if cap is None else max(cap - work.budget.purse(scope, _day_of(scope, day)).used, 0)


def _day_of(scope: Scope, day: date) -> date:
    return LASTING if is_lasting(scope) else day
