"""What is known so far of a farmer who is joining, as the open question carries it."""

from dataclasses import dataclass

from flows.inputs import Precision
from flows.moves.turn import Moment
from flows.states import JOINING


@dataclass(frozen=True, kw_only=True, slots=True)
class Draft:
    """What is known so far of a farmer who is joining."""

    language: str
    name: str | None = None
    plants: int | None = None
    planted: str | None = None
    precision: str = Precision.EXACT
    district: str | None = None


def draft_of(moment: Moment) -> Draft:
    """Return what was told until now; of somebody who is not joining only the language is known."""
    talk = moment.conversation
    language = moment.reading.language or moment.language
    if talk.state not in JOINING:
        return Draft(language=language)
    return Draft(
        language=language,
        name=talk.text("name"),
        plants=talk.whole("plants"),
        planted=talk.text("planted"),
        precision=talk.text("precision") or Precision.EXACT,
        district=talk.text("district"),
    )
