"""Whether a programme may begin to text farmers: a list in words, each point with what to do where it does not hold.

What is to be known is gathered at the edge, see `service.readiness`; here it is only judged.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

from service.core.gateway import Health
from service.use_cases.holding import Hold, HoldReason

# The worker writes this setting at each tick and between its parts: an ISO instant in real time.
WORKER_SEEN: Final = "worker_seen_at"
_ALIVE: Final = timedelta(minutes=1)
# A quarter after a backup was last put back or tried, nobody knows any more whether the next one is good.
_PROOF_HOLDS: Final = timedelta(days=90)


@dataclass(frozen=True, kw_only=True, slots=True)
class Facts:
    """What is known of a programme at one moment; all instants are real time.

    Attributes:
        now: what the machine's clock says.
        last_tick: when the worker last ticked, None if it never did.
        in_step: whether the system says its clock is kept by a time service; None where it does not tell.
        hold: why texts wait, if they do.
        emergency_number: as set, "" if it is not.
        unread_texts: how many texts of each language still wait to be read by somebody who speaks it.
        refusals: why the gateway may not be used, a sentence each.
        gateway: its name.
        health: what it says of itself.
        cap_day: parts that may be pushed in a day.
        cap_chosen: whether somebody chose that number.
        hold_days: days without picking after a spray whose label nobody knows.
        hold_chosen: whether somebody chose these.
        proved_at: when a backup was last put back or tried.
        free_mb: megabytes free where the database lies.
        least_free_mb: what there should be.
        not_durable: what keeps a commit from outlasting a power cut.
        damage: what is broken in the database, in a sentence.
        keys_fault: what is wrong with the key file, in a sentence.
        sheet_at: when the recovery sheet was last shown to be printed.
        districts: how many districts farmers can name.
        without_height: the names of those whose metres above the sea nobody has told.
        demo: whether this is a demo.
    """

    now: datetime
    last_tick: datetime | None
    in_step: bool | None
    hold: Hold | None
    emergency_number: str
    unread_texts: Mapping[str, int]
    refusals: tuple[str, ...]
    gateway: str
    health: Health
    cap_day: int
    cap_chosen: bool
    hold_days: int
    hold_chosen: bool
    proved_at: datetime | None
    free_mb: int
    least_free_mb: int
    not_durable: tuple[str, ...]
    damage: str | None
    keys_fault: str | None
    sheet_at: datetime | None
    districts: int
    without_height: tuple[str, ...]
    demo: bool


@dataclass(frozen=True, kw_only=True, slots=True)
class Point:
    """One point of the list: what should hold, whether it does, what was found, and what to do if it does not."""

    name: str
    holds: bool
    found: str
    to_do: str = ""


def checklist(facts: Facts) -> tuple[Point, ...]:
    """Judge every point; the service is ready when all hold."""
    return tuple(judge(facts) for judge in _POINTS)


def _clock(facts: Facts) -> Point:
    name = "The clock can be trusted"
    advice = "Set the clock, have a time service keep it (timedatectl set-ntp true), then look again."
    if facts.last_tick and facts.now < facts.last_tick - _ALIVE:
        found = f"it says {_at(facts.now)}, before the worker's last tick, {_at(facts.last_tick)}"
        return Point(name=name, holds=False, found=found, to_do=advice)
    if facts.hold and facts.hold.reason is HoldReason.CLOCK:
        return Point(
            name=name, holds=False, found=facts.hold.detail, to_do=f"{advice} Then: trussline hold release"
        )
    told = {
        True: "a time service keeps it",
        False: "no time service keeps it",
        None: "the system does not tell",
    }
    found = f"it says {_at(facts.now)}; {told[facts.in_step]}"
    return Point(name=name, holds=facts.in_step is not False, found=found, to_do=advice)


def _emergency(facts: Facts) -> Point:
    return Point(
        name="An emergency number is set",
        holds=bool(facts.emergency_number),
        found=facts.emergency_number or "none",
        to_do="Ask the health authority which poison or emergency number farmers should call; set emergency_number.",
    )


def _texts(facts: Facts) -> Point:
    waiting = {language: count for language, count in facts.unread_texts.items() if count}
    said = ", ".join(f"{count} in {language}" for language, count in waiting.items())
    return Point(
        name="All texts have been read by somebody who speaks the language",
        holds=not waiting,
        found=f"marked needs-review: {said}" if waiting else "none is marked needs-review",
        to_do="Have them read (first aid by a health authority) and take their marks out of flows/locale/*.po.",
    )


def _gateway(facts: Facts) -> Point:
    name = "The gateway can be reached and may be used"
    if facts.refusals:
        return Point(name=name, holds=False, found=" ".join(facts.refusals), to_do="See to each of these.")
    return Point(
        name=name,
        holds=facts.health.up,
        found=f"{facts.gateway}: {facts.health.detail}",
        to_do="Start it, or correct its address and keys; trussline gateway try shows how to try it.",
    )


def _budget(facts: Facts) -> Point:
    return Point(
        name="A daily budget was chosen",
        holds=facts.cap_chosen and facts.cap_day > 0,
        found=f"{facts.cap_day} parts a day{'' if facts.cap_chosen else ', which nobody chose'}",
        to_do="Set cap_day to the parts of texts that you are ready to pay for in one day.",
    )


def _unknown_label(facts: Facts) -> Point:
    return Point(
        name="The days without picking after a spray whose label nobody knows were chosen",
        holds=facts.hold_chosen,
        found=f"{facts.hold_days} days{'' if facts.hold_chosen else ', which nobody chose'}",
        to_do="Ask the pesticide authority or a licensed adviser for the longest waiting time that a label of a product"
        " registered for strawberries here can name; set longest_hold_days to it.",
    )


def _backup(facts: Facts) -> Point:
    proved = facts.proved_at
    return Point(
        name="A backup has been tried",
        holds=proved is not None and facts.now - proved <= _PROOF_HOLDS,
        found=f"last on {proved:%Y-%m-%d}" if proved else "never",
        to_do="trussline backup FILE, then trussline restore FILE --trial; again every quarter.",
    )


def _room(facts: Facts) -> Point:
    return Point(
        name="There is room on the disk",
        holds=facts.free_mb >= facts.least_free_mb,
        found=f"{facts.free_mb} MB free, {facts.least_free_mb} MB wanted",
        to_do="Make room where the database lies: nothing is pushed until there is.",
    )


def _keys(facts: Facts) -> Point:
    return Point(
        name="The keys can be read, by the service alone, and belong to the database",
        holds=facts.keys_fault is None,
        found=facts.keys_fault or "they can",
        to_do="Put the key file back from your recovery sheet, with mode 600.",
    )


def _sheet(facts: Facts) -> Point:
    return Point(
        name="The recovery sheet was printed",
        holds=facts.sheet_at is not None,
        found=f"shown on {facts.sheet_at:%Y-%m-%d}" if facts.sheet_at else "it was never shown",
        to_do="Print it now, and lock it away apart from the backups: trussline keys",
    )


def _districts(facts: Facts) -> Point:
    # First fruit is reckoned without it, only less well: no reason not to begin.
    unknown = (
        f"; no height is known of {', '.join(facts.without_height)} (trussline district change NAME --elevation METRES)"
        if facts.without_height
        else ""
    )
    return Point(
        name="There is a district",
        holds=facts.districts > 0,
        found=f"{facts.districts}{unknown}" if facts.districts else "none, so no farmer can join",
        to_do="trussline district add NAME --elevation METRES",
    )


def _worker(facts: Facts) -> Point:
    seen = facts.last_tick
    return Point(
        name="The worker runs",
        holds=seen is not None and abs(facts.now - seen) <= _ALIVE,
        found=f"last seen {_at(seen)}" if seen else "never seen",
        to_do="Start it: trussline up, or systemctl start trussline-worker",
    )


def _database(facts: Facts) -> Point:
    faults = " ".join(filter(None, (facts.damage, ", ".join(facts.not_durable))))
    return Point(
        name="The database is whole, and keeps what it commits through a power cut",
        holds=not faults,
        found=faults or "it is",
        to_do="Restore a backup if it is damaged; else set what is named back to its default.",
    )


def _hold(facts: Facts) -> Point:
    return Point(
        name="Nothing is held",
        holds=facts.hold is None,
        found=facts.hold.detail if facts.hold else "texts may leave",
        to_do="Look at why; when it is in order: trussline hold release",
    )


def _real(facts: Facts) -> Point:
    return Point(
        name="This is no demo",
        holds=not facts.demo,
        found="its farmers are invented" if facts.demo else "a programme of its own",
        to_do="trussline setup makes a programme of your own.",
    )


_POINTS: Final[tuple[Callable[[Facts], Point], ...]] = (
    _real,
    _database,
    _keys,
    _sheet,
    _districts,
    _clock,
    _worker,
    _gateway,
    _emergency,
    _texts,
    _unknown_label,
    _budget,
    _backup,
    _room,
    _hold,
)


def _at(instant: datetime) -> str:
    return f"{instant:%Y-%m-%d %H:%M} UTC"
