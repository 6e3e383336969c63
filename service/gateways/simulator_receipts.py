"""Which receipts the simulated network writes for a text it has taken, and when they can be heard."""

from collections.abc import Callable, Iterator
from datetime import datetime, timedelta

from service.core.gateway import Progress, Stage
from service.gateways.simulator_faults import Fault, Faults
from service.gateways.simulator_texts import TakenText


def receipts(
    taken: TakenText,
    *,
    valid_until: datetime,
    met: frozenset[Fault],
    faults: Faults,
    new_id: Callable[[], str],
) -> Iterator[tuple[Progress, datetime]]:
    """Yield the receipts of a text that met the faults `met`, each with when it can first be heard."""
    if Fault.LOST_RECEIPT in met:
        return
    delay = _delay(met, faults)
    for stage, code, at, final in _course(taken, valid_until):
        for _ in range(2 if Fault.REPEATED_RECEIPT in met else 1):
            receipt = Progress(
                event_id=new_id(),
                our_ref=None if Fault.BARE_RECEIPT in met else taken.our_ref,
                gateway_ref=taken.gateway_ref,
                stage=stage,
                code=code,
                at=at,
                final=final,
            )
            yield receipt, at + delay


def _delay(met: frozenset[Fault], faults: Faults) -> timedelta:
    delay = faults.late_by if Fault.LATE_RECEIPT in met else timedelta()
    # Receipts follow a slow answer; only an early receipt may overtake it.
    if Fault.SLOW_ANSWER in met and Fault.EARLY_RECEIPT not in met:
        delay += timedelta(seconds=faults.hold_seconds)
    return delay


def _course(taken: TakenText, valid_until: datetime) -> Iterator[tuple[Stage, str, datetime, bool]]:
    """Yield what becomes of a text that was taken: stage, network's word, when, whether that is all."""
    if taken.reached:
        yield Stage.DELIVERED, "received", taken.at, True
        return
    if taken.at < valid_until:
        yield Stage.ENROUTE, "handset-off", taken.at, False
    yield Stage.EXPIRED, "too-late", max(taken.at, valid_until), True
