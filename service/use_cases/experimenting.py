"""Beginning and ending experiments, and the lot that is drawn for a farmer who joins.

Rules:

* Who is held out of advice is decided once, when a farmer is added, and never again: nobody who has had advice loses
  it, and whoever is held out was told from the first text on to ask for their jobs.
* The share that is held out is set once. Another share, or another lot, would move farmers between the groups, and
  then neither group is what it was.
* A wording is tried until a day that is named before it begins, and one at a time.
"""

from datetime import date
from typing import Final, Protocol

from flows.second_wordings import SECOND_WORDINGS
from service.core.errors import Refused
from service.core.experiment_ports import ExperimentRows
from service.core.experiments import NO_ADVICE, Arm, Experiment
from service.use_cases.audit import AuditEnd, note
from service.use_cases.tools import Tools

# Held out, a farmer loses advice: enough of them to compare with, and no more.
MOST_HELD_OUT: Final = 20
# What a text does within seven days is to be seen.
_SHORTEST_DAYS: Final = 14
_HALF: Final = 50


class People(Protocol):
    """What is kept of a farmer, as far as the lot needs it."""

    def set_farmer(self, farmer_id: int, *, held_out: bool) -> None:
        """Set columns of a farmer."""
        ...


class LotWork(Protocol):
    """A unit of work, as far as drawing the lot needs it."""

    @property
    def experiments(self) -> ExperimentRows:
        """Experiments."""
        ...

    @property
    def people(self) -> People:
        """Farmers."""
        ...


class ExperimentWork(Protocol):
    """A unit of work, as far as experiments need it."""

    @property
    def experiments(self) -> ExperimentRows:
        """Experiments."""
        ...

    @property
    def audit(self) -> AuditEnd:
        """The record of what was done."""
        ...

    def commit(self) -> None:
        """Keep what was done."""
        ...


def hold_out_by_lot(work: LotWork, farmer_id: int, on: date) -> None:
    """Hold a farmer who is added on that local day out of advice if their lot says so; it does not commit."""
    lots = (one for one in work.experiments.running(on) if one.topic == NO_ADVICE)
    if any(lot.arm_of(farmer_id) is Arm.SECOND for lot in lots):
        work.people.set_farmer(farmer_id, held_out=True)


def hold_out(work: ExperimentWork, tools: Tools, percent: int, *, on: date) -> Experiment:
    """Hold so many of a hundred farmers who join from `on` out of advice texts, for ever.

    Raises:
        Refused: a share was set before, or it is none.
    """
    before = held_out_by(work.experiments.every())
    if before:
        raise Refused(
            f"Since {before.began_on} {before.percent} of a hundred new farmers are held out. "
            "That stays so: with another share the two groups could not be compared any more."
        )
    if not 1 <= percent <= MOST_HELD_OUT:
        raise Refused(
            f"Hold out 1 to {MOST_HELD_OUT} farmers of a hundred: each of them goes without advice."
        )
    return _begin(work, tools, NO_ADVICE, percent, on=on, ends_on=None)


def held_out_by(every: tuple[Experiment, ...]) -> Experiment | None:
    """Return the experiment that holds farmers out, if the programme has one."""
    return next((one for one in every if one.topic == NO_ADVICE), None)


def try_wordings(work: ExperimentWork, tools: Tools, topic: str, *, on: date, until: date) -> Experiment:
    """Try the two wordings of a text on half of the farmers each, from `on` to `until`.

    Raises:
        Refused: no text has a second wording of that name, it is tried already, or the time is too short.
    """
    if topic not in SECOND_WORDINGS:
        raise Refused(f"There is no second wording {topic}. There are: {', '.join(SECOND_WORDINGS)}.")
    tried = next((one for one in work.experiments.running(on) if one.topic == topic), None)
    if tried:
        raise Refused(f"Experiment {tried.id} tries {topic} until {tried.ends_on}: wait, or end it before.")
    if (until - on).days < _SHORTEST_DAYS:
        raise Refused(f"Try two wordings for {_SHORTEST_DAYS} days or more: name a later last day.")
    return _begin(work, tools, topic, _HALF, on=on, ends_on=until)


def end_early(work: ExperimentWork, experiment_id: int, *, on: date) -> Experiment:
    """End the trial of a wording before its day: from `on` every farmer gets the first wording.

    Raises:
        Refused: there is no such experiment, it is over, or it is for ever.
    """
    found = next((one for one in work.experiments.running(on) if one.id == experiment_id), None)
    if found is None:
        raise Refused(f"No experiment {experiment_id} is running: see `trussline experiment show`.")
    if found.ends_on is None:
        raise Refused("Who is held out stays so: it would be neither fair nor of use to change it later.")
    work.experiments.end(found.id, on)
    note(work, None, "experiment.ended", f"experiment:{found.id}", {"on": on}, at=work.audit.now())
    work.commit()
    return found


def _begin(
    work: ExperimentWork,
    tools: Tools,
    topic: str,
    percent: int,
    *,
    on: date,
    ends_on: date | None,
) -> Experiment:
    number = max((one.id for one in work.experiments.every()), default=0) + 1
    new = Experiment(
        id=number,
        topic=topic,
        percent=percent,
        salt=tools.ids.reference(),
        began_on=on,
        ends_on=ends_on,
    )
    work.experiments.add(new, None)
    detail = {"topic": topic, "percent": percent, "began_on": on, "ends_on": ends_on}
    note(work, None, "experiment.begun", f"experiment:{new.id}", detail, at=work.audit.now())
    work.commit()
    return new
