"""An officer corrects who a farmer is: name, language, village, group, and the district where both are the officer's.

Who changed what stands in the record; names do not, for the record is never emptied and farmers are erased.
"""

from dataclasses import asdict
from datetime import datetime
from typing import Final, Protocol
from zoneinfo import ZoneInfo

from flows.moves.joining import LONGEST_NAME
from service.core.changing import BY_OFFICER, ChangingRows, Person, Standing
from service.core.errors import Refused
from service.core.inviting import InvitingRows
from service.core.model import District
from service.core.ports import Work
from service.core.staff import Officer
from service.use_cases.audit import note
from service.use_cases.tools import Tools

_TOUCHED: Final = (
    "Somebody has changed this farmer meanwhile. Look at what stands there now and send it again."
)
_NOT_THERE: Final = "This farmer is not here any more."


class ChangingWork(Work, Protocol):
    """A unit of work, as far as changing a farmer needs it."""

    @property
    def changing(self) -> ChangingRows:
        """How a farmer stands."""
        ...

    @property
    def inviting(self) -> InvitingRows:
        """Where villages and groups lie."""
        ...


def the_standing(work: ChangingWork, farmer_id: int) -> Standing:
    """Return how a farmer stands.

    Raises:
        Refused: the farmer is erased, or was never there.
    """
    found = work.changing.standing(farmer_id)
    if found is None:
        raise Refused(_NOT_THERE)
    return found


def keep_word(
    work: Work,
    tools: Tools,
    officer: Officer,
    standing: Standing,
    answer: str,
    *,
    phone_id: int,
    now: datetime,
) -> None:
    """Keep what a farmer said to an officer about being texted on a phone, as evidence; it does not commit."""
    work.people.add_consent(
        id=tools.ids.row(),
        phone_id=phone_id,
        farmer_id=standing.id,
        answer=answer,
        way=BY_OFFICER,
        officer_id=officer.id,
        text_id=None,
        text_shown=None,
        inbound_id=None,
        at=now,
        on_day=now.astimezone(ZoneInfo(standing.zone)).date(),
    )


def person_word(person: Person) -> str:
    """Return a word that changes with whatever can be corrected: a form brings it back."""
    return "/".join(str(value) for value in asdict(person).values())


def change_farmer(
    work: ChangingWork,
    tools: Tools,
    officer: Officer,
    farmer_id: int,
    wanted: Person,
    *,
    seen: str,
    real_now: datetime,
) -> None:
    """Correct a farmer, and note who did it; sent twice it changes nothing more.

    Args:
        work: a unit of work.
        tools: the languages there are.
        officer: who; that the farmer is theirs is seen to where the farmer is looked up.
        farmer_id: whom.
        wanted: what they shall be.
        seen: the word of the person the officer had before them.
        real_now: real time, for the record.

    Raises:
        Refused: somebody else was quicker, or a value cannot be.
    """
    standing = the_standing(work, farmer_id)
    now = standing.person
    if wanted == now:
        return
    if person_word(now) != seen:
        raise Refused(_TOUCHED)
    _check(work, tools, officer, standing, wanted)
    changed = {name: value for name, value in asdict(wanted).items() if value != getattr(now, name)}
    work.people.set_farmer(farmer_id, **changed)
    if "district_id" in changed:
        before, after = (_district(work, one.district_id) for one in (now, wanted))
        _move_plots(work, tools, farmer_id, before, after)
    detail = {name: [getattr(now, name), value] for name, value in changed.items() if name != "name"}
    if "name" in changed:
        detail["name"] = ["before", "after"]
    note(work, officer, "farmer.edited", f"farmer:{farmer_id}", detail, at=real_now)
    work.commit()


def _check(work: ChangingWork, tools: Tools, officer: Officer, standing: Standing, wanted: Person) -> None:
    name = wanted.name
    home = next((one for one in work.people.districts() if one.id == wanted.district_id), None)
    if home is None or not officer.covers(home.id):
        raise Refused("Choose one of your own districts.")
    others = [
        one for phone in standing.phones for one in work.people.on_phone(phone) if one.id != standing.id
    ]
    here = work.inviting.lies_in(home.id, village_id=wanted.village_id, group_id=wanted.group_id)
    wrong = (
        (not any(char.isalpha() for char in name), "Write the farmer's name."),
        (len(name) > LONGEST_NAME, f"A name has at most {LONGEST_NAME} letters."),
        (
            any(one.name.casefold() == name.casefold() for one in others),
            f"Another {name} uses the same phone. Write the name so that the two can be told apart.",
        ),
        (wanted.language not in tools.packs.languages, "Choose the language the farmer reads."),
        (not here, f"Choose a village and a group of {home.name}, or none."),
        (
            home.zone != standing.zone,
            f"{home.name} lies in another time zone: a farmer there is added anew.",
        ),
    )
    for is_wrong, sentence in wrong:
        if is_wrong:
            raise Refused(sentence)


def _move_plots(work: Work, tools: Tools, farmer_id: int, before: District, after: District) -> None:
    """Let the plots have the days of their new district, and lie as high where they were taken to lie as the old one.

    What is planned stays planned.
    """
    calendar_id = tools.calendar_in(after.name).id
    for plot in work.plots.of_farmer(farmer_id):
        if plot.calendar_id != calendar_id:
            work.plots.set(plot.id, calendar_id=calendar_id)
        if plot.elevation_m == before.elevation_m:
            work.plots.set(plot.id, elevation_m=after.elevation_m)


def _district(work: Work, district_id: int) -> District:
    return next(one for one in work.people.districts() if one.id == district_id)
