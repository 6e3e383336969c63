"""Money as a part of a language pack: the words around sales, costs and prices."""

from collections.abc import Mapping
from typing import Annotated

from pydantic import Field

from flows.reader.sections import AtLeastOne, Entries, Section
from flows.trading import CostKind


class MoneyWords(Section):
    """Words around money.

    Attributes:
        currency: what money is called.
        each: what says that money was paid for each kilo; with the word for a kilo in it.
        for_all: what says that it was paid for all.
        scales: words and letters that multiply the number beside them.
        to: words before whoever bought.
        beside: what may stand beside a wish for prices and changes nothing.
        costs: what money is spent on.
        rejected: why a collection does not accept fruit.
    """

    currency: AtLeastOne
    each: AtLeastOne
    for_all: AtLeastOne
    scales: Mapping[str, Annotated[int, Field(ge=1000, le=1_000_000)]]
    to: AtLeastOne
    beside: Entries
    costs: Mapping[CostKind, AtLeastOne]
    rejected: Mapping[str, AtLeastOne]
