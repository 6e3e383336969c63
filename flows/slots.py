"""What any text holds beside its meaning."""

from dataclasses import dataclass
from decimal import Decimal

from flows.inputs import Planted
from flows.trading import Worth


@dataclass(frozen=True, kw_only=True)
class Slots:
    """What any text holds beside its intent, so that an open question can take it.

    Attributes:
        number: the first number outside dates.
        plants: the number said to be of plants, or the only one that can be; 1,200 is twelve hundred here.
        planted: the first date, read as a planting date.
        district: a known district, spelt as the programme spells it.
        name: words that may be a person's name.
        language: the code of a language that is named.
        weekdays: weekdays named, or said as numbers from 1 for Monday; 0 is Monday here.
        label_days: days that a label says to wait, where the text speaks of nothing else.
        unsure: whether it says that something is not known.
        worth: what it says that money was paid for, each kilo or all.
        nothing: whether it says that there is none, and no more.
        grams: the weight that, days aside, is all it says.
    """

    number: Decimal | None = None
    plants: int | None = None
    planted: Planted | None = None
    district: str | None = None
    name: str | None = None
    language: str | None = None
    weekdays: tuple[int, ...] = ()
    label_days: int | None = None
    unsure: bool = False
    worth: Worth | None = None
    nothing: bool = False
    grams: int | None = None
