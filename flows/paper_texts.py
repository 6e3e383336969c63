"""Texts that are printed on paper and never sent: the wall calendar and the card.

They stand in the catalogues beside the others, so that a command on a wall is held to what the reader understands.
"""

from typing import Final

from flows.promised import Kind, Text

# The words a wall has room for, in the order in which a farmer needs them.
PAPER_WORDS: Final = ("harvest", "done", "jobs", "total", "undo", "ask", "help", "stop")

_LONGEST_WORDS: Final = 42
_LONGEST_LINE: Final = 160


def _words(values: str = "", at_most: int = _LONGEST_WORDS) -> Text:
    return Text(values=values, kind=Kind.WORDS, at_most=at_most)


PAPER_TEXTS: Final[dict[str, Text]] = {
    "paper.calendar": _words(),
    "paper.name": _words(),
    "paper.planted": _words(),
    "paper.plants": _words(),
    "paper.before": _words(),
    "paper.once": _words(),
    "paper.taking_root": _words(),
    "paper.weekly": _words(),
    "paper.weeks": _words(),
    "paper.from": _words(),
    "paper.read_days": _words(at_most=_LONGEST_LINE),
    "paper.read_weeks": _words(at_most=_LONGEST_LINE),
    "paper.send": _words("number"),
    "paper.emergency": _words(at_most=60),
    "paper.year": _words(),
    "paper.month": _words(),
    "paper.picked": _words(),
    "paper.sold": _words(),
    "paper.money_in": _words("currency"),
    "paper.money_out": _words("currency"),
    "paper.left": _words("currency"),
    "paper.short": _words("currency"),
    "paper.in_all": _words(),
    "paper.a_plant": _words(),
    "paper.a_kilo": _words("currency"),
    "paper.costs": _words(),
    "paper.printed": _words("date"),
    "paper.stamp": _words(at_most=60),
    "paper.by_what_was_told": _words(at_most=_LONGEST_LINE),
    "paper.nothing_told": _words(at_most=_LONGEST_LINE),
    "paper.caution": _words(at_most=_LONGEST_LINE),
    **{f"paper.say.{word}": _words() for word in PAPER_WORDS},
    **{f"paper.means.{word}": _words() for word in PAPER_WORDS},
}
