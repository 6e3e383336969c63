"""Whether a text asks for an end of our texts: a small grammar over the words of the packs.

A word that asks for an end stands with what is to end, or alone; or the text refuses what we send. It counts only
where nobody else stops ("we stop picking"), nothing denies it ("do not stop"), nothing limits it ("on sundays",
"in english", "jobs") and nothing else is to end ("stop the rain"). What stays doubtful is asked once.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property
from typing import Final

from flows.reader.amounts import Amount
from flows.reader.normalise import Kind
from flows.reader.opt_out_pack import Part
from flows.reader.opt_out_words import Span
from flows.reader.pack import Intent
from flows.reader.scan import Scan

_ASKING: Final = frozenset({Part.WHOLE, Part.END, Part.TAKE, Part.REFUSE, Part.ENDED})
_MARKS: Final = frozenset(".,;:!-()")
# A denial stands right before what it denies, or before a word or two that lead to it: "did not say stop".
_DENIAL_REACHES: Final = 2
# A number of so many digits is a phone's.
_PHONE_DIGITS: Final = 7
# More words of meaning than these beside a doubtful "stop", and it is a sentence.
_MOST_BESIDE: Final = 2
_MOST_ELSEWHERE: Final = 4


@dataclass(frozen=True, kw_only=True, slots=True)
class OptOut:
    """A wish for no more texts: whether it is sure, why it was taken for one, and the language of its words."""

    sure: bool
    why: str
    language: str


def opt_out(scan: Scan, people: frozenset[str] = frozenset()) -> OptOut | None:
    """Return the wish for no more texts that stands in a text, or None.

    Args:
        scan: the text.
        people: the first names of those the phone speaks for: who names one of them may mean that one alone.
    """
    spans = scan.lexicon.opt_out.spans(scan.tokens, content=scan.content)
    if not any(span.parts & _ASKING for span in spans):
        return None
    wish = _Wish(scan=scan, spans=spans)
    if wish.any_of(Part.GOES_ON):
        return None
    asks = [span for span in spans if span.parts & _ASKING and wish.is_ours_to_read(span)]
    why = next((why for span in asks if (why := wish.sure(span))), None)
    named = any(token.key in people for token in scan.tokens)
    if why and not named:
        hit = next(span for span in asks if wish.sure(span))
        return OptOut(sure=True, why=f"{why} '{wish.typed(hit)}'", language=hit.language)
    doubtful = next((span for span in asks if wish.doubtful(span)), None)
    if doubtful is None:
        return None
    return OptOut(sure=False, why=f"may end our texts: '{wish.typed(doubtful)}'", language=doubtful.language)


@dataclass(frozen=True)
class _Wish:
    scan: Scan
    spans: tuple[Span, ...]

    def any_of(self, part: Part) -> bool:
        return any(part in span.parts for span in self.spans)

    def typed(self, span: Span) -> str:
        return " ".join(token.raw for token in self.scan.tokens[span.start : span.end])

    @cached_property
    def _of_place(self) -> dict[int, Span]:
        return {place: span for span in self.spans for place in range(span.start, span.end)}

    @cached_property
    def _starts(self) -> tuple[int, ...]:
        """Where a new thought begins: behind a mark, or with a word that begins one."""
        tokens = self.scan.tokens
        behind_a_mark = {
            place
            for place in range(1, len(tokens))
            if tokens[place - 1].kind is Kind.QUESTION
            or _MARKS
            & set(self.scan.plain[tokens[place - 1].end : tokens[place].end - len(tokens[place].raw)])
        }
        said = {span.start for span in self.spans if Part.APART in span.parts}
        return tuple(sorted(behind_a_mark | said | {0}))

    def _thought(self, span: Span) -> range:
        start = max(place for place in self._starts if place <= span.start)
        end = min((place for place in self._starts if place >= span.end), default=len(self.scan.tokens))
        return range(start, end)

    @cached_property
    def _who(self) -> frozenset[int]:
        """The places of "who is this", which changes nothing about a wish for no more texts."""
        places: set[int] = set()
        for place in range(len(self.scan.tokens)):
            found = self.scan.lexicon.phrases.at(self.scan.tokens, place)
            if found and found[1][0] is Intent.WHO:
                places.update(range(place, found[0]))
        return frozenset(places)

    def _unknown(self, places: Iterable[int]) -> list[int]:
        """Return the places of words that mean something we do not know here."""
        within = frozenset(places)
        return [
            place
            for place in self.scan.content
            if place in within
            and place not in self._who
            and (
                place not in self._of_place
                or self._of_place[place].parts <= {Part.OTHER, Part.SUBJECT, Part.LIMIT}
            )
        ]

    def _has(self, places: Iterable[int], *parts: Part) -> bool:
        return any(self._of_place[place].parts & set(parts) for place in places if place in self._of_place)

    def _counted(self, places: range) -> bool:
        """Whether a number stands there that is no phone's, or a day to come."""
        amounts = any(amount.start in places for amount in self._amounts)
        days = (day for day in self.scan.days if day.start in places)
        return amounts or any(day.on is None or day.on > self.scan.today for day in days)

    @cached_property
    def _amounts(self) -> tuple[Amount, ...]:
        """The numbers that are neither a phone's nor part of a phrase we know: "at once" is "mara moja"."""
        return tuple(
            amount
            for amount in self.scan.amounts
            if amount.start not in self._of_place and not self._in_a_phone_number(amount.start)
        )

    def _in_a_phone_number(self, place: int) -> bool:
        """Whether groups of digits beside each other are as long as a number of a phone: "0700 000 321"."""
        tokens = self.scan.tokens
        start = place
        while start and tokens[start - 1].kind is Kind.DIGITS:
            start -= 1
        digits = ""
        while start < len(tokens) and tokens[start].kind is Kind.DIGITS:
            digits += tokens[start].key
            start += 1
        return digits.isdigit() and len(digits) >= _PHONE_DIGITS

    def _asked(self, places: range) -> bool:
        """Whether a question stands in a thought, asking who we are or how to end our texts aside."""
        end = places.stop
        tokens = self.scan.tokens
        if end <= len(tokens) and any(tokens[place].kind is Kind.QUESTION for place in places):
            return True
        return any(
            self.scan.lexicon.questions.at(tokens, place) is not None
            and place not in self._who
            and not (place in self._of_place and Part.LIGHT in self._of_place[place].parts)
            for place in places
        )

    def is_ours_to_read(self, span: Span) -> bool:
        """Whether nothing before a word takes its request away: a denial, or another who does it."""
        thought = self._thought(span)
        before = range(thought.start, span.start)
        near = before[-_DENIAL_REACHES:]
        # A word of its own meaning takes the denial for itself: "not Neema, stop texting".
        led_to = near and not self._unknown(near[-1:])
        if any(self._denies(place) for place in (near if led_to else near[-1:])) or self._said_not(before):
            return False
        if span.parts & {Part.END, Part.TAKE} and before:
            last = self._of_place.get(before[-1])
            if last and Part.SUBJECT in last.parts and Part.LIGHT not in last.parts:
                return False
        return True

    def _said_not(self, before: range) -> bool:
        """Whether words that say what somebody did not say lead to a request: "never said I want to"."""
        said = [place for place in before if self._is(place, Part.DENIAL)]
        return bool(said) and not self._unknown(range(said[-1] + 1, before.stop))

    def _is(self, place: int, part: Part) -> bool:
        span = self._of_place.get(place)
        return span is not None and part in span.parts

    def _denies(self, place: int) -> bool:
        """Whether a denial stands at a place that is no part of a wish itself, as "no more" is."""
        span = self._of_place.get(place)
        if span and Part.DENIAL in span.parts:
            return True
        loose = span is None or not span.parts & (_ASKING | {Part.LIGHT})
        return loose and self.scan.lexicon.negations.at(self.scan.tokens, place) is not None

    def sure(self, span: Span) -> str | None:
        """Return why a word surely ends our texts, or None."""
        thought = self._thought(span)
        right = range(self._run(span), thought.stop)
        left = range(thought.start, span.start)
        if self._has(right, Part.LIMIT) or self._counted(range(span.end, thought.stop)):
            return None
        ours = self._beside(span, Part.OURS) and not self._has(right, Part.OTHER)
        rest = self._unknown(right)
        asked = self._asked(thought)
        clean = not rest and not (asked and self._unknown(left))
        if Part.WHOLE in span.parts and (clean or ours):
            return None if asked and self._one_word else "opt-out"
        if ours and (clean or not asked):
            return "opt-out with what we send"
        if clean and self._beside(span, Part.THEIRS):
            return "opt-out with what is ours"
        return None if asked else self._bare(span, thought, rest=rest, left=self._unknown(left))

    def _bare(self, span: Span, thought: range, *, rest: list[int], left: list[int]) -> str | None:
        """Return why a word that stands with nothing of ours surely ends our texts, or None."""
        if Part.END in span.parts:
            return self._alone(span, thought, rest=rest, left=left)
        said_more = self._unknown(range(len(self.scan.tokens))) or self._amounts
        return "refusal, and nothing else is said" if Part.REFUSE in span.parts and not said_more else None

    @property
    def _one_word(self) -> bool:
        """Whether the text holds but one word: as a question, "nitoe?" may be about plants."""
        return sum(token.kind is Kind.WORD for token in self.scan.tokens) == 1

    def _alone(self, span: Span, thought: range, *, rest: list[int], left: list[int]) -> str | None:
        """Return why a bare "stop" is surely about our texts, or None."""
        if rest or self._has(
            (place for place in thought if self._of_place.get(place) is not span), Part.TAKE
        ):
            return None
        everywhere = range(len(self.scan.tokens))
        elsewhere = self._unknown(place for place in everywhere if place not in thought)
        others = [other for other in self.spans if other is not span]
        told = any(other.parts & {Part.OURS, Part.REFUSE, Part.WHOLE} for other in others)
        if told and not self._has(range(span.end, len(everywhere)), Part.OTHER):
            return "opt-out behind what it is about"
        if left or self._amounts:
            return None
        if not elsewhere:
            return "opt-out, and nothing else is said"
        return None if self._has(everywhere, Part.OTHER, Part.LIMIT) else "opt-out as a thought of its own"

    def _run(self, span: Span) -> int:
        """Return where the words end that name what a wish is about, behind it."""
        end = span.end
        while end in self._of_place and self._of_place[end].parts & {Part.OURS, Part.THEIRS, Part.LIGHT}:
            end = self._of_place[end].end
        return end

    def _beside(self, span: Span, part: Part) -> bool:
        """Whether what a wish is about stands behind it, or before it where that is how it is said."""
        thought = self._thought(span)
        behind = self._of_place if Part.ENDED not in span.parts else {}
        place = span.end
        while place in behind and place < len(self.scan.tokens):
            here = behind[place]
            if part in here.parts:
                return True
            if not here.parts & {Part.OURS, Part.THEIRS, Part.LIGHT, Part.END, Part.TAKE}:
                break
            place = here.end
        if not span.parts & {Part.REFUSE, Part.ENDED, Part.WHOLE}:
            return False
        before = span.start - 1
        while before >= thought.start and before in self._of_place:
            here = self._of_place[before]
            if part in here.parts:
                return True
            if not here.parts & {Part.OURS, Part.THEIRS, Part.LIGHT}:
                break
            before = here.start - 1
        return False

    def doubtful(self, span: Span) -> bool:
        """Whether a word may be meant for our texts, so that one question is worth asking."""
        thought = self._thought(span)
        if self._asked(thought) or self._has(thought, Part.OTHER, Part.LIMIT):
            return False
        here = self._unknown(thought)
        elsewhere = self._unknown(place for place in range(len(self.scan.tokens)) if place not in thought)
        if len(here) > _MOST_BESIDE or len(elsewhere) > _MOST_ELSEWHERE:
            return False
        if Part.WHOLE in span.parts:
            return not self._unknown(range(span.end, thought.stop))
        if Part.END in span.parts:
            return not (here and self._amounts)
        return Part.TAKE in span.parts and self._beside(span, Part.THEIRS) and not self._amounts
