"""Restraint: two machines that answer each other must come to an end.

An answer to a text that was understood is always given. Answers to texts that came to nothing are five an hour to
one phone; then one notice says so, and silence follows. STOP and emergencies are understood, so they never count.
"""

from dataclasses import replace
from datetime import timedelta
from typing import Final

from flows.effects import Say
from flows.moves.turn import Turn
from flows.wording import Phrase

MOST: Final = 5
LATELY: Final = timedelta(hours=1)


def restrained(turn: Turn, lately: int) -> Turn:
    """Return the turn without its answer when `lately` such answers have been given; all else of it stands."""
    if not turn.came_to_nothing or lately < MOST:
        return turn
    says = [effect for effect in turn.effects if isinstance(effect, Say)]
    notice = (replace(says[0], phrase=Phrase("too_many_replies")),) if lately == MOST else ()
    effects = tuple(effect for effect in turn.effects if not isinstance(effect, Say))
    return replace(
        turn, effects=(*effects, *notice), why=f"{turn.why}; not answered, too many came to nothing"
    )
