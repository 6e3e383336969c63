"""The words of an alert: of a template with its date and figure, or of the officer's own.

Every alert begins with who sends it and for which area: a farmer must be able to tell it from a rumour. The area is the
districts' names where they have room, else the programme's. What comes back is one text a language, measured in parts,
and never one that says what `service.core.refused_words` refuses.
"""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Final

from flows.alphabet import Room, clip, culprits, fold, room
from flows.templates import TEMPLATES
from flows.wording import Phrase, Value, of_officer
from service.core.alerts import AlertText, text_digest
from service.core.errors import Refused
from service.core.refused_words import Found, refused_in
from service.use_cases.tools import Tools

MOST_PARTS: Final = 3
LONGEST_AREA: Final = 24
URGENT: Final = "urgent_alert"
ORDINARY: Final = "alert"


FREE, FREE_ASKING = "alert.free", "alert.free_ask"


@dataclass(frozen=True, kw_only=True, slots=True)
class Written:
    """One language's text as the form shows it before anything is kept."""

    language: str
    text: str
    room: Room
    culprits: tuple[str, ...]
    refused: tuple[Found, ...]

    @property
    def as_alert_text(self) -> AlertText:
        """Return it as it is kept."""
        return AlertText(
            language=self.language,
            text=self.text,
            parts=self.room.parts,
            digest=text_digest(self.text),
        )


@dataclass(frozen=True, kw_only=True, slots=True)
class Sender:
    """Who an alert is from, as its texts say it."""

    officer: str
    area: str


def sender_of(tools: Tools, officer: str, districts: tuple[str, ...]) -> Sender:
    """Return how an alert of this officer to these districts names its sender."""
    named = ", ".join(districts)
    return Sender(
        officer=of_officer(officer),
        area=clip(named if len(named) <= LONGEST_AREA else tools.programme.name, at_most=LONGEST_AREA),
    )


def write_template(
    tools: Tools,
    template: str,
    *,
    sender: Sender,
    on: date,
    figure: int,
    languages: tuple[str, ...],
    late: bool = False,
) -> tuple[Written, ...]:
    """Write a template out in some languages, `late` for a night that has begun.

    Raises:
        Refused: there is no such template, or the figure cannot be meant.
    """
    chosen = TEMPLATES.get(template)
    if chosen is None:
        raise Refused(f"There is no template {template!r}: choose one of {', '.join(TEMPLATES)}.")
    if not chosen.makes_sense(figure):
        raise Refused(f"{figure} cannot be the {chosen.asks}: write {chosen.least} to {chosen.most}.")
    phrase = chosen.phrase(officer=sender.officer, district=sender.area, on=on, figure=figure, late=late)
    return tuple(_written(language, tools.wording.write(phrase, language)) for language in languages)


def write_free(
    tools: Tools, words: Mapping[str, str], *, sender: Sender, asks: bool, names: Collection[str] = ()
) -> tuple[Written, ...]:
    """Write an officer's own words out, by language; languages without words are left out.

    `asks` has each text ask for 1 understood, 2 need help. `names`, folded, are people and places: no products.
    """
    text_id = FREE_ASKING if asks else FREE
    written = []
    for language, own in words.items():
        said = " ".join(own.split())
        if said:
            values: dict[str, Value] = {"officer": sender.officer, "district": sender.area, "words": said}
            text = tools.wording.write(Phrase(text_id, values), language)
            written.append(_written(language, text, own=said, names=names))
    return tuple(written)


def _written(language: str, text: str, *, own: str = "", names: Collection[str] = ()) -> Written:
    return Written(
        language=language,
        text=text,
        room=room(text),
        culprits=culprits(text),
        refused=refused_in(own, names),
    )


def check(written: tuple[Written, ...]) -> None:
    """Make sure that texts may be sent.

    Raises:
        Refused: there is none, one says what may not be said, or one is too long.
    """
    if not written:
        raise Refused("Write the text in at least one language.")
    for one in written:
        if one.refused:
            first = one.refused[0]
            raise Refused(f"The text may not say “{first.word}”: {first.why}. Take it out.")
        if one.room.parts > MOST_PARTS:
            raise Refused(f"The text costs {one.room.parts} parts: shorten it to {MOST_PARTS} at most.")


def cheaper(char: str) -> str:
    """Return what to write for a character that doubles the cost, empty where there is no substitute."""
    return "" if fold(char) == char else fold(char)
