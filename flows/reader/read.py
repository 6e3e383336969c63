"""Reading a text: rules in a row, the first that knows what is meant wins.

Safety comes first, then the opt-out, then what is the whole message (a number, yes, no), then commands; what
is left are words for a person. Every step notes why, so that an officer can see how a text was understood.
`read` is total: any string is answered with a `Reading`, none with an exception.
"""

from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from typing import Final

from flows.alarms import Distress, Emergency, Harm
from flows.inputs import Cancel, Input, No, Number, Stop, Understood, Words, Yes
from flows.reader.asking import asked
from flows.reader.commands import MOST_WORDS, find_command
from flows.reader.given import Given
from flows.reader.job_words import job_words
from flows.reader.meanings import MEANINGS
from flows.reader.normalise import LONGEST
from flows.reader.offered import offered_part, offered_whole
from flows.reader.opting_out import opt_out
from flows.reader.pack import Intent
from flows.reader.phrased import phrased
from flows.reader.phrases import Phrases
from flows.reader.picked import number, of_fields, of_one, picked, weight_of_a_day, weight_told
from flows.reader.replies import correction, greeting, no_harvest
from flows.reader.scan import Scan, scan
from flows.reader.slots import slots_of
from flows.reader.subject import Reading, Situation, Text
from flows.reader.vessels import vessel_told


def read(text: str, situation: Situation) -> Reading:
    """Return how `text` is understood; never raises, whatever is typed."""
    taken_apart = scan(text, situation.languages.lexicon(situation.language), situation.on)
    subject = _spoken(taken_apart, situation)
    found = subject.found
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


# Here a name is what the text is about: who joins, and that no one person's name stops a whole phone.
_ABOUT_PEOPLE: Final = frozenset({Intent.JOIN, Intent.STOP})


def _spoken(whole: Scan, situation: Situation) -> Text:
    """Return the text for the rules, the names of those the phone speaks for being no words of it: "neema 2kg"."""
    named = {
        place
        for place, token in enumerate(whole.tokens)
        if token.key in situation.people and token.key not in whole.lexicon.commands
    }
    rest = replace(whole, content=tuple(place for place in whole.content if place not in named))
    found = find_command(rest)
    if (
        not named
        or (not rest.amounts and not rest.content)
        or (found and found.command.intent in _ABOUT_PEOPLE)
    ):
        return Text(scan=whole, found=find_command(whole), situation=situation)
    return Text(scan=rest, found=found, situation=situation, named=True)


def _typed(whole: Scan, start: int, end: int) -> str:
    return " ".join(token.raw for token in whole.tokens[start:end])


def _emergency(text: Text) -> Input | None:
    """Read words of an emergency: those that are one together, and those that are one alone."""
    lexicon, tokens = text.scan.lexicon, text.scan.tokens
    if lexicon.dangers.nothing_happened(tokens):
        return None
    # The gravest is the first: of poison is said what must be done before the clinic.
    told = (harm for harm in Harm if _endangered(text, harm) or _alarmed(text, harm, lexicon.harms[harm]))
    harm = next(told, None)
    return Emergency(text=text.scan.shown, harm=harm) if harm else None


def _endangered(text: Text, harm: Harm) -> bool:
    """Say whether words that are harmless one by one tell of a danger together."""
    scan = text.scan
    danger = scan.lexicon.dangers.first(scan.tokens, scan.lexicon.never_near, harm)
    if danger is None:
        return False
    text.why.append(f"words that together mean {harm} '{_typed(scan, danger.start, danger.end)}'")
    text.languages.append(danger.language)
    return True


def _distress(text: Text) -> Input | None:
    return Distress(text=text.scan.shown) if _alarmed(text, "distress", text.scan.lexicon.distress) else None


def _alarmed(text: Text, what: str, phrases: Phrases[str]) -> bool:
    """Say whether the text raises an alarm; its words tell the language even of a stranger."""
    tokens = text.scan.tokens
    hit = phrases.first(tokens)
    found = phrases.at(tokens, hit[0]) if hit else None
    if hit is None or found is None or text.scan.lexicon.dangers.of_other_things(tokens):
        return False
    text.why.append(f"words of {what} '{_typed(text.scan, *hit)}'")
    text.languages.append(found[1])
    return True


def _phrase(text: Text) -> Input | None:
    found = phrased(text.scan)
    if found is None:
        return None
    meant, language, phrase = found
    text.why.append(f"the phrase '{phrase}'")
    text.languages.append(language)
    return meant


def _offered(text: Text) -> Input | None:
    """Read the whole words of an answer that the open question offers, whatever else they may mean."""
    number = offered_whole(text.scan, text.situation.offers)
    if number is None:
        return None
    text.why.append(f"the question's own words for {number}")
    return Number(value=Decimal(number))


def _offered_in_part(text: Text) -> Input | None:
    """Read some of the words of such an answer, where they mean nothing else."""
    number = offered_part(text.scan, text.situation.offers)
    if number is None:
        return None
    text.why.append(f"of the question's own words for {number}")
    return Number(value=Decimal(number))


def _reply(text: Text) -> Input | None:
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


def _job_named(text: Text) -> Input | None:
    """Read a report of jobs by the words of their titles."""
    meant = job_words(text.scan, text.situation.jobs)
    if meant is not None:
        text.why.append("jobs by their own words")
    return meant


def _opt_out(text: Text) -> Input | None:
    """Read a wish for no more texts that leaves no doubt."""
    wish = opt_out(text.scan, text.situation.people)
    if wish is None or not wish.sure:
        return None
    text.why.append(wish.why)
    text.languages.append(wish.language)
    return Stop()


def _opt_out_unsure(text: Text) -> Input | None:
    """Read words that may be such a wish: whether texts shall stop is asked once."""
    wish = opt_out(text.scan, text.situation.people)
    if wish is None or wish.sure:
        return None
    text.why.append(wish.why)
    text.languages.append(wish.language)
    return Cancel()


def _anger(text: Text) -> Input | None:
    """Read a short text that holds such a phrase and is no plain opt-out: whether to stop is asked once."""
    scan = text.scan
    hit = scan.lexicon.stop_angry.first(scan.tokens)
    if hit is None or scan.question or scan.amounts or len(scan.content) > MOST_WORDS:
        return None
    if hit[0] and scan.word(hit[0] - 1) in scan.lexicon.negations:
        return None
    text.why.append("anger about our texts")
    return Cancel(angry=True)


def _answer(text: Text) -> Input | None:
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


def _command(text: Text) -> Input | None:
    meaning = MEANINGS.get(text.found.command.intent) if text.found else None
    if text.found is None or meaning is None:
        return None
    text.why.append(f"{text.found.command.intent}: {text.found.how}")
    situation = text.situation
    given = Given(
        scan=text.scan, found=text.found, districts=situation.districts, jobs=situation.jobs, why=text.why
    )
    return meaning(given)


def _words(text: Text) -> Input:
    text.why.append("a question" if text.scan.question else "no rule fits")
    return Words(text=text.scan.shown, question=text.scan.question)


_RULES: Final[tuple[Callable[[Text], Input | None], ...]] = (
    _emergency,
    _distress,
    _offered,
    _job_named,
    _opt_out,
    _phrase,
    _anger,
    _answer,
    _opt_out_unsure,
    asked,
    of_one,
    vessel_told,
    number,
    _reply,
    _command,
    picked,
    of_fields,
    weight_of_a_day,
    weight_told,
    _offered_in_part,
    _words,
)
