"""Reading a text: rules in a row, the first that knows what is meant wins.

Safety comes first, then the opt-out, then what is the whole message (a number, yes, no), then commands; what
is left are words for a person. Every step notes why, so that an officer can see how a text was understood.
`read` is total: any string is answered with a `Reading`, none with an exception.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from typing import Final

from flows.alarms import Distress, Emergency, Harm
from flows.inputs import Harvest, Input, No, Number, Stop, Understood, Words, Yes
from flows.reader.amounts import Amount, Thing
from flows.reader.commands import Found, find_command
from flows.reader.dates import as_picked
from flows.reader.meanings import MEANINGS, Given
from flows.reader.normalise import LONGEST
from flows.reader.offered import Offer, offered_part, offered_whole
from flows.reader.pack import Intent
from flows.reader.packs import Packs
from flows.reader.phrased import phrased
from flows.reader.phrases import Phrases
from flows.reader.replies import correction, greeting, no_harvest
from flows.reader.scan import Scan, scan
from flows.reader.slots import slots_of
from flows.reader.weights import of_days
from flows.slots import Slots


@dataclass(frozen=True, kw_only=True)
class Situation:
    """What reading depends on beside the text.

    Attributes:
        on: the farmer's local day.
        districts: the programme's districts as it spells them.
        languages: the language packs.
        language: the farmer's language, preferred where two read one word differently, or None.
        offers: the answers that the open question offers.
        jobs: what each job of the farmer's list is called, by its place, in every language.
    """

    on: date
    districts: tuple[str, ...]
    languages: Packs
    language: str | None = None
    offers: tuple[Offer, ...] = ()
    jobs: Mapping[int, tuple[str, ...]] = field(default_factory=dict)


@dataclass(frozen=True, kw_only=True)
class Reading:
    """How a text was understood.

    Attributes:
        input: what is meant.
        slots: what it holds beside, for an open question to take.
        why: the steps that led there, in order.
        language: the language of the command word or of the words that raise an alarm, or None without any.
    """

    input: Input
    slots: Slots
    why: tuple[str, ...]
    language: str | None


@dataclass(frozen=True, kw_only=True)
class _Text:
    """A text on its way through the rules; `why` and `languages` grow at each step."""

    scan: Scan
    found: Found | None
    situation: Situation
    why: list[str] = field(default_factory=list)
    languages: list[str] = field(default_factory=list)


def read(text: str, situation: Situation) -> Reading:
    """Return how `text` is understood; never raises, whatever is typed."""
    taken_apart = scan(text, situation.languages.lexicon(situation.language), situation.on)
    found = find_command(taken_apart)
    subject = _Text(scan=taken_apart, found=found, situation=situation)
    if len(text) > LONGEST:
        subject.why.append(f"only the first {LONGEST} characters")
    subject.why.extend(
        f"'{_typed(taken_apart, said.start, said.end)}' is no day" for said in taken_apart.days if said.wrong
    )
    meant = next(meaning for rule in _RULES if (meaning := rule(subject)))
    if found is not None and not isinstance(meant, Words | Number):
        subject.languages.append(found.command.language)
    return Reading(
        input=meant,
        slots=slots_of(taken_apart, situation.districts),
        why=tuple(subject.why),
        language=subject.languages[0] if subject.languages else None,
    )


def _typed(whole: Scan, start: int, end: int) -> str:
    return " ".join(token.raw for token in whole.tokens[start:end])


def _emergency(text: _Text) -> Input | None:
    """Read words of an emergency: those that are one together, and those that are one alone."""
    lexicon = text.scan.lexicon
    listed = ((Harm.POISON, lexicon.poison), (Harm.INJURY, lexicon.injury))
    found = [harm for harm in Harm if _endangered(text, harm)]
    found += [harm for harm, phrases in listed if _alarmed(text, harm, phrases)]
    # Where both kinds are told, poison wins: its text says what must be done before the clinic.
    harm = next((harm for harm in Harm if harm in found), None)
    return Emergency(text=text.scan.shown, harm=harm) if harm else None


def _endangered(text: _Text, harm: Harm) -> bool:
    """Say whether words that are harmless one by one tell of a danger together."""
    scan = text.scan
    danger = scan.lexicon.dangers.first(scan.tokens, scan.lexicon.never_near, harm)
    if danger is None:
        return False
    text.why.append(f"words that together mean {harm} '{_typed(scan, danger.start, danger.end)}'")
    text.languages.append(danger.language)
    return True


def _distress(text: _Text) -> Input | None:
    return Distress(text=text.scan.shown) if _alarmed(text, "distress", text.scan.lexicon.distress) else None


def _alarmed(text: _Text, what: str, phrases: Phrases[str]) -> bool:
    """Say whether the text raises an alarm; its words tell the language even of a stranger."""
    tokens = text.scan.tokens
    hit = phrases.first(tokens)
    found = phrases.at(tokens, hit[0]) if hit else None
    if hit is None or found is None:
        return False
    text.why.append(f"words of {what} '{_typed(text.scan, *hit)}'")
    text.languages.append(found[1])
    return True


def _phrase(text: _Text) -> Input | None:
    found = phrased(text.scan)
    if found is None:
        return None
    meant, language, phrase = found
    text.why.append(f"the phrase '{phrase}'")
    text.languages.append(language)
    return meant


def _offered(text: _Text) -> Input | None:
    """Read the whole words of an answer that the open question offers, whatever else they may mean."""
    number = offered_whole(text.scan, text.situation.offers)
    if number is None:
        return None
    text.why.append(f"the question's own words for {number}")
    return Number(value=Decimal(number))


def _offered_in_part(text: _Text) -> Input | None:
    """Read some of the words of such an answer, where they mean nothing else."""
    number = offered_part(text.scan, text.situation.offers)
    if number is None:
        return None
    text.why.append(f"of the question's own words for {number}")
    return Number(value=Decimal(number))


def _reply(text: _Text) -> Input | None:
    """Read a short reply that needs no command word."""
    for name, take in _REPLIES.items():
        said = take(text.scan)
        if said is not None:
            text.why.append(name)
            return said
    return None


_REPLIES: Final[dict[str, Callable[[Scan], Input | None]]] = {
    "nothing was picked": no_harvest,
    "a weight put right": correction,
    "a greeting": greeting,
}


def _opt_out(text: _Text) -> Input | None:
    """Read an opt-out said in a listed phrase that is the whole text: "no more texts", "nitoe".

    With another word beside it the same phrase may be a question about plants: "nitoe maua".
    """
    lexicon = text.scan.lexicon
    hit = lexicon.stop_phrases.first(text.scan.tokens)
    if hit is None or text.scan.question:
        return None
    beside = [place for place in text.scan.content if place not in range(*hit)]
    if any(text.scan.word(place) not in lexicon.stop_fillers for place in beside):
        return None
    text.why.append("opt-out phrase")
    return Stop()


def _answer(text: _Text) -> Input | None:
    """Read yes and no where they are the whole message, a digit that says the same aside: "1 yes", "2 no"."""
    commands = text.scan.lexicon.commands
    intents = {
        command.intent if (command := commands.get(text.scan.word(place))) else None
        for place in text.scan.content
    }
    if len(intents) != 1 or text.scan.days or text.scan.question:
        return None
    answer = _ANSWERS.get(next(iter(intents)))
    numbers = {amount.value for amount in text.scan.amounts}
    if answer is None or not numbers <= {answer[0]}:
        return None
    text.why.append("the whole message")
    return answer[1]


# Our questions offer yes as 1 and no as 2, and what we tell to be understood as 1.
_ANSWERS: Final[dict[Intent | None, tuple[int, Input]]] = {
    Intent.YES: (1, Yes()),
    Intent.NO: (2, No()),
    Intent.UNDERSTOOD: (1, Understood()),
}


def _number(text: _Text) -> Input | None:
    amount = _only_amount(text.scan)
    if amount is None or text.scan.days or text.scan.below_zero:
        return None
    text.why.append("the whole message is a number")
    return Number(value=amount.value, other=amount.other, unit=amount.unit)


def _only_amount(scan: Scan) -> Amount | None:
    """Return the amount that, days aside, is all the text says, or None."""
    alone = len(scan.amounts) == 1 and not scan.content and not scan.question
    return scan.amounts[0] if alone and scan.amounts[0].thing != Thing.CONTAINERS else None


def _command(text: _Text) -> Input | None:
    meaning = MEANINGS.get(text.found.command.intent) if text.found else None
    if text.found is None or meaning is None:
        return None
    text.why.append(f"{text.found.command.intent}: {text.found.how}")
    situation = text.situation
    given = Given(
        scan=text.scan, found=text.found, districts=situation.districts, jobs=situation.jobs, why=text.why
    )
    return meaning(given)


def _weight_of_a_day(text: _Text) -> Input | None:
    """Read "leo kilo 12": a weight and a past day, and nothing else; or two of each, "8 leo na 6 jana"."""
    if not text.scan.content and not text.scan.question and (both := of_days(text.scan)):
        text.why.append("two weights and their days, no command word")
        return Harvest(grams=both[0][0], on=both[0][1], second=both[1])
    amount = _only_amount(text.scan)
    on = next((day for said in text.scan.days if (day := as_picked(said, text.scan.today))), None)
    if amount is None or amount.unit is None or on is None or on > text.scan.today:
        return None
    text.why.append("a weight and a day, no command word")
    return Harvest(grams=amount.grams, on=on, unit=amount.unit, other=amount.other_grams)


def _words(text: _Text) -> Input:
    text.why.append("a question" if text.scan.question else "no rule fits")
    return Words(text=text.scan.shown, question=text.scan.question)


_RULES: Final[tuple[Callable[[_Text], Input | None], ...]] = (
    _emergency,
    _distress,
    _offered,
    _phrase,
    _opt_out,
    _answer,
    _number,
    _reply,
    _command,
    _weight_of_a_day,
    _offered_in_part,
    _words,
)
