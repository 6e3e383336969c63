"""What a farmer can be understood to have said.

Each class is one kind of message after reading; `Input` is their union and the column the conversation's table is
looked up by.  An input is a plain value, checked when it is built, so nobody downstream has to check it again.  A
message that makes no sense is a `Words`: a farmer's odd text is to be answered, only a programmer's mistake raises.
"""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from enum import StrEnum

from flows.alarms import Distress, Emergency
from flows.collecting import Estimate
from flows.counting import PlantCount
from flows.keeping import AfterPicking
from flows.orders import Order
from flows.remarks import Correct, Details, Greeting
from flows.spraying import Sprayed
from flows.trading import Cost, Price, Sold, Year
from flows.watering import Rain, Water
from flows.wishes import Alerts, Days, Language, Pause, Records, Who, WrongNumber


class Unit(StrEnum):
    """A unit of weight a number can be said in."""

    KILO = "kilo"
    GRAM = "gram"


class Precision(StrEnum):
    """How closely a planting date was said.

    `EXACT` names a day, `MONTH` only a month (its 15th is taken), `ABOUT` counts
    back from today or says "about".
    """

    EXACT = "exact"
    MONTH = "month"
    ABOUT = "about"


@dataclass(frozen=True, kw_only=True)
class Planted:
    """A planting date as it was said.

    Attributes:
        on: the likeliest day, local.
        precision: how closely it was said.
        other: a second, equally likely day, or None.  There is one when no year
            was said and both the past and the coming planting season fit; the
            conversation then asks.
    """

    on: date
    precision: Precision = Precision.EXACT
    other: date | None = None


@dataclass(frozen=True, kw_only=True)
class Join:
    """The farmer wants to be registered; what was not said is None.

    Attributes:
        name: first name or two, as typed.
        plants: number of plants in the ground.
        planted: the planting date.
        district: one of the situation's districts, spelt as there.
        number: a telephone number as typed: whose, when an officer adds somebody.
    """

    name: str | None = None
    plants: int | None = None
    planted: Planted | None = None
    district: str | None = None
    number: str | None = None


@dataclass(frozen=True, kw_only=True)
class Harvest:
    """The farmer reports a picking.

    Attributes:
        grams: weight in whole grams, or None when no weight was said.
        on: the local day it was picked, or None when no day was said.
        unit: the unit as typed, or None (kilos are then taken).
        extra: True when something in the text makes the weight doubtful, like a
            second number.
        other: a second reading in grams, or None: 1,250 kg for 1.250.
        vague: True when a time was said that is no single day: "last week".
        second: the weight and the day of a second picking in the same text, or None.
    """

    grams: int | None = None
    on: date | None = None
    unit: Unit | None = None
    extra: bool = False
    other: int | None = None
    vague: bool = False
    second: tuple[int, date] | None = None

    def __post_init__(self) -> None:
        if self.grams is not None and self.grams < 0:
            raise ValueError(f"a harvest of {self.grams} g cannot be less than nothing")


@dataclass(frozen=True, kw_only=True)
class Done:
    """Jobs are finished; `numbers` are places in the farmer's last list, maybe none; `every` one if so said."""

    numbers: tuple[int, ...] = ()
    every: bool = False


@dataclass(frozen=True, kw_only=True)
class Jobs:
    """The farmer asks for this week's jobs, or for the one at place `number`."""

    number: int | None = None


@dataclass(frozen=True, kw_only=True)
class Total:
    """The farmer asks how much was picked so far."""


@dataclass(frozen=True, kw_only=True)
class Undo:
    """The farmer takes the last thing back: only a weight of so many `grams`, where some were said."""

    grams: int | None = None


@dataclass(frozen=True, kw_only=True)
class Stop:
    """The farmer wants no more texts.  Acts in every state and language."""


@dataclass(frozen=True, kw_only=True)
class Cancel:
    """A word that may mean undo as well as stop; the farmer is asked once which.

    `angry` words speak of our texts and of no entry: there the question is whether to stop.
    """

    angry: bool = False


@dataclass(frozen=True, kw_only=True)
class Help:
    """The farmer asks what can be texted: of jobs, on the second `page` of more than them, on the third of money."""

    page: int = 1


@dataclass(frozen=True, kw_only=True)
class Yes:
    """The whole message says yes."""


@dataclass(frozen=True, kw_only=True)
class No:
    """The whole message says no."""


@dataclass(frozen=True, kw_only=True)
class Ask:
    """The farmer asks the officer with the command word; `text` is the question or ''."""

    text: str = ""


@dataclass(frozen=True, kw_only=True)
class Understood:
    """The whole message says that what was told is understood, or that the plants are covered."""


@dataclass(frozen=True, kw_only=True)
class NotYet:
    """Jobs are not finished yet; `numbers` are places in the farmer's last list, maybe none."""

    numbers: tuple[int, ...] = ()


@dataclass(frozen=True, kw_only=True)
class NeedHelp:
    """The farmer needs a person's help; `numbers` are places in their last list, maybe none."""

    numbers: tuple[int, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Number:
    """The whole message is one number, perhaps with a unit of weight.

    Attributes:
        value: the number; digits like 1,250 are taken as decimals here.
        unit: the unit of weight as typed, or None.
        other: a second reading, or None: 1250 for 1,250.
    """

    value: Decimal
    unit: Unit | None = None
    other: Decimal | None = None

    def __post_init__(self) -> None:
        if not self.value.is_finite():
            raise ValueError(f"{self.value} is not a number a farmer can send")


@dataclass(frozen=True, kw_only=True)
class Words:
    """Anything else, in the farmer's own words; `question` when it reads like one."""

    text: str
    question: bool = False


Input = (
    Join
    | Harvest
    | Sprayed
    | Estimate
    | Done
    | Jobs
    | Total
    | Undo
    | Stop
    | Cancel
    | Help
    | Yes
    | No
    | Understood
    | NotYet
    | NeedHelp
    | Language
    | Days
    | Pause
    | Alerts
    | Who
    | Records
    | WrongNumber
    | Water
    | Rain
    | Sold
    | Cost
    | Price
    | Year
    | PlantCount
    | AfterPicking
    | Order
    | Ask
    | Greeting
    | Correct
    | Details
    | Number
    | Emergency
    | Distress
    | Words
)
