"""Sending: what may leave now, claimed before the wire, and what came of each try.

Rules:

* A text is committed as submitting, with its reference, before a byte of it leaves. What is found submitting
  after a crash is in doubt: it may have left or not, and nobody here knows.
* Nothing leaves past a hold, see `service.use_cases.holding`.
* STOP, quiet hours and the hour after which a text is of no use are looked at in the claim, not when it was
  queued. What was claimed and could not leave at once is given back and judged anew.
* The network may not deliver a text in quiet hours either: a text's validity ends where they begin.
* Every try at a text carries the same reference on the wire, so a network that knows it again sends it once.
* A text that we begin with is paid for from the budget: reserved in the claim, spent when it may have left, given
  back when it did not. While a purse is empty, its texts wait.
* When a refused text is tried again, and what becomes of one in doubt: `service.use_cases.resending`.
"""

from collections.abc import Iterable, Mapping
from datetime import date, datetime, timedelta
from typing import Final

from flows.states import Conversation, State
from service.core.doubt_ports import NOT_AGAIN
from service.core.gateway import Accepted, RefusalClass, Refused, Stage
from service.core.kinds import MessageState
from service.core.model import Candidate, Claimed
from service.core.ports import Work
from service.core.wire_ports import Told
from service.use_cases import budget
from service.use_cases.holding import open_priorities
from service.use_cases.judging import afford, local_day, may_leave, scopes, valid_until
from service.use_cases.receipts import raised
from service.use_cases.resending import MOST_TRIES, PAUSES, backoff, rest_after
from service.use_cases.tools import Tools
from service.use_cases.waiting import stays_open

# A transaction that had to move aside a whole night's queue would hold up all others.
_MOST_LOOKS: Final = 25
# How a text ends that may not leave.
_ENDS: Final = (
    MessageState.CANCELLED,
    MessageState.EXPIRED_UNSENT,
    MessageState.DROPPED,
    MessageState.FAILED,
)


def claim(work: Work, tools: Tools, now: datetime, most: int) -> tuple[Claimed, ...]:
    """Take up to `most` texts for sending, the most urgent first, and commit them as submitting."""
    taken: list[Claimed] = []
    open_now = open_priorities(work)
    for priority in filter(open_now.__contains__, work.claims.waiting(now)):
        room = most - len(taken)
        # Texts that may not leave yet are moved on and do not use up the room.
        for _ in range(_MOST_LOOKS):
            if room <= 0:
                break
            candidates = work.claims.candidates(now, priority, room)
            taken.extend(filter(None, (_take(work, tools, candidate, now) for candidate in candidates)))
            if len(candidates) < room:
                break
            room = most - len(taken)
    work.commit()
    return tuple(taken)


def _take(work: Work, tools: Tools, candidate: Candidate, now: datetime) -> Claimed | None:
    key = (candidate.queued_on, candidate.id)
    verdict = may_leave(candidate, now)
    if verdict.leaves:
        verdict = afford(work, tools, candidate, now)
    if verdict.later:
        # Of no use any more before that, it ends then: nobody waits for it longer than it is of use.
        later = min(verdict.later, candidate.expires_at)
        work.outbox.set_state(key, MessageState.DUE, now, why=verdict.why, not_before=later)
        return None
    if verdict.state:
        state, why = _ended(candidate.doubts, verdict.state, verdict.why)
        work.outbox.set_state(key, state, now, why=why)
        return None
    reference = tools.ids.reference()
    work.outbox.set_state(key, MessageState.SUBMITTING, now, more_tries=1)
    our_ref = work.claims.begin(key, candidate.tries + 1, reference, tools.programme.gateway, now)
    if candidate.opens:
        _open_question(work, candidate, candidate.opens, now)
    return Claimed(
        queued_on=candidate.queued_on,
        id=candidate.id,
        kind=candidate.kind,
        reference=reference,
        our_ref=our_ref,
        destination=candidate.destination,
        text=candidate.text,
        tries=candidate.tries + 1,
        valid_until=valid_until(candidate, now),
        parts=candidate.parts,
        scopes=scopes(candidate),
        paid_on=local_day(candidate, now),
        doubts=candidate.doubts,
    )


def _ended(doubts: int, state: MessageState, why: str | None) -> tuple[MessageState, str | None]:
    """Return how and why a text ends that does not leave: one that may have left before stays in doubt, closed."""
    if doubts and state in _ENDS:
        return MessageState.IN_DOUBT, f"{NOT_AGAIN}{why}"
    return state, why


def _open_question(work: Work, candidate: Candidate, opens: Mapping[str, object], now: datetime) -> None:
    """Open the question that a text asks, as it leaves: a digit then answers the last thing asked."""
    data = opens["data"]
    talk = Conversation(
        state=State(str(opens["state"])),
        data=data if isinstance(data, dict) else {},
        farmer_id=candidate.farmer_id,
    )
    asked_by = f"message:{candidate.queued_on.isoformat()}:{candidate.id}"
    work.talks.put(candidate.phone_id, talk, asked_by=asked_by, expires_at=now + stays_open(talk.state))


def settle(work: Work, tools: Tools, claimed: Claimed, answer: Accepted | Refused, now: datetime) -> None:
    """Keep the gateway's answer to a text."""
    if isinstance(answer, Accepted):
        _accepted(work, tools, claimed, answer, now)
    else:
        _refused(work, claimed, answer, now)
    work.commit()


def _accepted(work: Work, tools: Tools, claimed: Claimed, answer: Accepted, now: datetime) -> None:
    key = _key(claimed)
    work.claims.end(claimed.reference, "accepted", now, gateway_ref=answer.gateway_ref)
    _spend(work, claimed)
    early = work.receipts.parked(tools.programme.gateway, answer.gateway_ref, key)
    state = work.outbox.state_of(key)
    for told in (Told(stage=Stage.ACCEPTED, part=None), *early):
        state = raised(work, key, state, told)
    work.outbox.set_state(key, state, now)


def _refused(work: Work, claimed: Claimed, answer: Refused, now: datetime) -> None:
    work.claims.end(claimed.reference, f"refused_{answer.reason}", now, code=answer.code)
    _give_back(work, claimed)
    if answer.reason in PAUSES:
        _due_again(work, claimed, now, answer.detail, rest_after(answer), counted=False)
    elif answer.reason is RefusalClass.TEMPORARY and claimed.tries < MOST_TRIES:
        _due_again(work, claimed, now, answer.detail, backoff(claimed), counted=True)
    elif _is_submitting(work, claimed):
        state, why = _ended(claimed.doubts, MessageState.FAILED, answer.detail)
        work.outbox.set_state(_key(claimed), state, now, why=why)


def not_sent(work: Work, claimed: Claimed, now: datetime, *, why: str) -> None:
    """Nothing left us: the text waits a little and the try is not counted."""
    _did_not_leave(work, claimed, now, why, PAUSES[RefusalClass.LINK])
    work.commit()


def give_back(work: Work, texts: Iterable[Claimed], now: datetime) -> None:
    """Let texts that were claimed and never handed to the gateway be due again."""
    for claimed in texts:
        _did_not_leave(work, claimed, now, "given back before it was sent", timedelta())
    work.commit()


def _did_not_leave(work: Work, claimed: Claimed, now: datetime, why: str, pause: timedelta) -> None:
    work.claims.end(claimed.reference, "not_sent", now)
    _give_back(work, claimed)
    _due_again(work, claimed, now, why, pause, counted=False)


def answer_lost(work: Work, claimed: Claimed, now: datetime) -> None:
    """The text left and no answer came: it is in doubt, unless its receipt has been quicker."""
    work.claims.end(claimed.reference, "answer_lost", now)
    _spend(work, claimed)
    if _is_submitting(work, claimed):
        work.outbox.set_state(_key(claimed), MessageState.IN_DOUBT, now, why="no answer came", more_doubts=1)
    work.commit()


def _spend(work: Work, claimed: Claimed) -> None:
    budget.spend(work, claimed.scopes, claimed.paid_on, claimed.parts)


def _give_back(work: Work, claimed: Claimed) -> None:
    budget.give_back(work, claimed.scopes, claimed.paid_on, claimed.parts)


def _due_again(
    work: Work, claimed: Claimed, now: datetime, why: str, pause: timedelta, *, counted: bool
) -> None:
    if _is_submitting(work, claimed):
        work.outbox.set_state(
            _key(claimed),
            MessageState.DUE,
            now,
            why=why,
            not_before=now + pause,
            more_tries=0 if counted else -1,
        )


def _is_submitting(work: Work, claimed: Claimed) -> bool:
    """Return whether nothing has been heard of the text meanwhile: an earlier try's receipt may have come."""
    return work.outbox.state_of(_key(claimed)) is MessageState.SUBMITTING


def _key(claimed: Claimed) -> tuple[date, int]:
    return (claimed.queued_on, claimed.id)
