"""A row of the conversation's table: a move, and whom it is about."""

from dataclasses import dataclass
from enum import StrEnum

from flows.moves.turn import Move


class About(StrEnum):
    """Whom a move is about."""

    NOBODY = "nobody"
    FARMER = "farmer"
    KNOWN = "known"
    ASKED = "asked"


@dataclass(frozen=True, slots=True)
class Row:
    """A move, whom it is about, and whether a word for it ends a pause."""

    move: Move
    about: About = About.NOBODY
    resumes: bool = False
