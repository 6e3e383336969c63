"""What an answer asks the service to do. Effects are carried out in order, in one transaction."""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from typing import Protocol, TypeAlias, runtime_checkable

from flows.collecting import EstimateEffect
from flows.edits import Edit
from flows.inputs import Planted
from flows.orders import TakeBasket
from flows.spraying import SprayEffect
from flows.trading import TradeEffect
from flows.vessels import SetVessel
from flows.watering import Kept
from flows.weighed import CountHarvest, ReplaceDay, SaveHarvest, VoidHarvest
from flows.wording import Phrase


@runtime_checkable
class OfAFarmer(Protocol):
    """An effect that is one farmer's: it names them, since a phone may speak for several."""

    @property
    def farmer_id(self) -> int | None:
        """Return whose it is; None where nobody knows."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Say:
    """Answer the phone. `kind` names the message kind; `language` is the farmer's or the conversation's."""

    phrase: Phrase
    language: str
    kind: str = "reply"


@dataclass(frozen=True, kw_only=True, slots=True)
class AddFarmer:
    """Keep a farmer as pending until they say yes."""

    id: int
    name: str
    language: str
    plants: int
    planted: Planted
    district: str


@dataclass(frozen=True, kw_only=True, slots=True)
class AskedConsent:
    """Keep that consent was asked, in which words."""

    farmer_id: int
    phrase: Phrase
    language: str


@dataclass(frozen=True, kw_only=True, slots=True)
class GiveConsent:
    """The farmer said yes: their plot goes live and today is planned for it."""

    farmer_id: int


@dataclass(frozen=True, kw_only=True, slots=True)
class Decline:
    """The farmer said no: of one who had not joined nothing is kept but what was asked and that answer."""

    farmer_id: int


@dataclass(frozen=True, kw_only=True, slots=True)
class Forget:
    """What a farmer told who has not said yes is forgotten: they have told it anew."""

    farmer_id: int


@dataclass(frozen=True, kw_only=True, slots=True)
class ListJobs:
    """The farmer is shown a list: each job keeps the number it is shown with."""

    farmer_id: int
    places: tuple[tuple[str, int], ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class SaveDone:
    """The job is done, or answered as `answer` says."""

    key: str
    farmer_id: int
    answer: str = "done"


@dataclass(frozen=True, kw_only=True, slots=True)
class UndoDone:
    """What was reported as done in the same text as report `id` is taken back; the jobs are open again."""

    id: int
    farmer_id: int


class Finding(StrEnum):
    """What was seen under the leaves."""

    MITES = "mites"
    SLUGS = "slugs"
    GREY_MOULD = "grey_mould"
    FLIES = "flies"
    CLEAR = "clear"


@dataclass(frozen=True, kw_only=True, slots=True)
class SaveScout:
    """Keep what a look under the leaves has shown."""

    farmer_id: int
    plot_id: int
    finding: Finding


class Urgency(StrEnum):
    """How soon a person must look."""

    ORDINARY = "ordinary"
    NOT_UNDERSTOOD = "not_understood"
    NEED_HELP = "need_help"
    """Somebody has answered an alert so."""
    UNREAD = "unread"
    """The service has failed to read it, so it may be anything."""
    EMERGENCY = "emergency"


@dataclass(frozen=True, kw_only=True, slots=True)
class SaveQuestion:
    """Put a text on the officer's list: under the alert `alert_id`, or as going on from the question `follows`."""

    id: int
    code: str
    farmer_id: int | None
    text: str
    urgency: Urgency = Urgency.ORDINARY
    alert_id: int | None = None
    follows: int | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class StopPhone:
    """Nothing is sent to this phone any more; its farmers' plots rest."""


@dataclass(frozen=True, kw_only=True, slots=True)
class PutOff:
    """The farmer has said that a job is not finished yet: it stays open, and is not asked after again."""

    key: str
    farmer_id: int


@dataclass(frozen=True, kw_only=True, slots=True)
class DismissJob:
    """The farmer has said that a job is not needed: it is closed, and not counted as done."""

    key: str
    farmer_id: int


@dataclass(frozen=True, kw_only=True, slots=True)
class AnswerAlert:
    """An alert is answered; `answer` is "understood" or "need_help"."""

    alert_id: int
    answer: str


@dataclass(frozen=True, kw_only=True, slots=True)
class SetLanguage:
    """The farmer is texted in another language."""

    farmer_id: int
    language: str


@dataclass(frozen=True, kw_only=True, slots=True)
class SetDays:
    """The farmer has chosen other weekdays, 0 is Monday; the plots are planned anew."""

    farmer_id: int
    text_day: int
    pick_days: frozenset[int]


@dataclass(frozen=True, kw_only=True, slots=True)
class Rest:
    """Nothing is pushed to the farmer until a day."""

    farmer_id: int
    until: date


@dataclass(frozen=True, kw_only=True, slots=True)
class Resume:
    """The farmer's pause is over."""

    farmer_id: int


@dataclass(frozen=True, kw_only=True, slots=True)
class TakeAlerts:
    """The farmers of this phone want officers' alerts, or want none."""

    wanted: bool


@dataclass(frozen=True, kw_only=True, slots=True)
class Erase:
    """The farmer is erased with all that is kept of them, but for the mark that the number wants no texts."""

    farmer_id: int


@dataclass(frozen=True, kw_only=True, slots=True)
class Unlink:
    """This phone speaks for none of its farmers any more: someone else has it now."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Invite:
    """An officer adds a farmer, who is asked before anything else; the officer is told what came of it."""

    name: str
    number: str
    language: str
    plants: int
    planted: Planted
    district: str


@dataclass(frozen=True, kw_only=True, slots=True)
class SendAlert:
    """An officer has said yes to a warning; `key` names it, so that it goes once however often this is done.

    `late` says which of its texts they were shown.
    """

    key: int
    template: str
    on: date
    figure: int
    district: str
    late: bool = False


Effect: TypeAlias = (
    Say
    | AddFarmer
    | AskedConsent
    | GiveConsent
    | Decline
    | Forget
    | SaveHarvest
    | CountHarvest
    | VoidHarvest
    | ReplaceDay
    | SprayEffect
    | TradeEffect
    | EstimateEffect
    | SetVessel
    | ListJobs
    | SaveDone
    | UndoDone
    | SaveScout
    | SaveQuestion
    | StopPhone
    | PutOff
    | DismissJob
    | AnswerAlert
    | SetLanguage
    | SetDays
    | Edit
    | Kept
    | Rest
    | Resume
    | TakeAlerts
    | Erase
    | Unlink
    | Invite
    | SendAlert
    | TakeBasket
)
