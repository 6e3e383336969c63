"""From a command to the input it makes: one function for each intent, found in a table."""

from collections.abc import Callable, Mapping
from functools import partial
from typing import Final

from flows.inputs import Ask, Cancel, Harvest, Help, Input, Join, Total
from flows.orders import Counts
from flows.reader.about_jobs import done, jobs
from flows.reader.baskets import basket
from flows.reader.brought import estimate
from flows.reader.counted import plant_count
from flows.reader.given import Given
from flows.reader.kept_fresh import kept_fresh
from flows.reader.lexicon import Form
from flows.reader.names import name_behind, without
from flows.reader.pack import Intent
from flows.reader.pauses import pause_in
from flows.reader.scan import Scan
from flows.reader.slots import district_in, language_in, number_in, planted_in, plants_in
from flows.reader.spraying import spray_in
from flows.reader.taken_back import taken_back
from flows.reader.traded import cost, prices, sale
from flows.reader.vessels import filled
from flows.reader.warnings import warning_in
from flows.reader.watered import rain, water
from flows.reader.weights import contained, day_in, doubts_about, of_days, weights_in
from flows.wishes import Alerts, Language, Records

# Words that carry meaning in a report of a picking without a weight: more is a sentence about the picking.
_BARE_HARVEST: Final = 2


def harvest(given: Given) -> Input:
    """Read a picking: its weight, its day, and whether something makes the weight doubtful."""
    scan = given.scan
    if scan.has(scan.lexicon.negations):
        return given.sentence("a negation beside the picking")
    weights = weights_in(scan)
    if not weights and (scan.question or len(given.found.others) >= _BARE_HARVEST):
        return given.sentence("a sentence about picking, no weight")
    on = day_in(scan)
    vague = bool(scan.days) and on is None
    if not weights and (told := filled(scan)):
        given.why.append(f"{told.count} of a {told.vessel}")
        return told
    if not weights:
        given.why.append("a count of containers, no weight" if contained(scan) else "no weight")
        return Harvest(on=on, extra=contained(scan), vague=vague)
    both = None if scan.question or scan.below_zero else of_days(scan)
    if both:
        given.why.append("two weights and their days")
        return Harvest(grams=both[0][0], on=both[0][1], second=both[1])
    doubts = [doubt for doubt, holds in doubts_about(scan, weights).items() if holds]
    first = next((amount for amount in weights if amount.unit), weights[0])
    given.why.extend(doubts or [f"{first.grams} g"])
    if first.other is not None:
        given.why.append("the digits may be thousands or decimals")
    return Harvest(
        grams=first.grams,
        on=on,
        unit=first.unit,
        extra=bool(doubts),
        other=first.other_grams,
        vague=vague,
    )


def spray(given: Given) -> Input:
    """Read a spray: its day, and the days its label says to wait."""
    return spray_in(given.scan, given.found) or given.sentence("a sentence about spraying")


def join(given: Given) -> Input:
    """Read a registration: name first, then plants, planting day and district in any order."""
    scan, place = given.scan, given.found.place + 1
    district = district_in(scan, given.districts)
    taken = frozenset(range(district[1], district[2])) if district else frozenset()
    name, named = name_behind(scan, place, taken=taken)
    rest = without(scan, named)
    joining = Join(
        name=name,
        plants=plants_in(rest),
        planted=planted_in(rest),
        district=district[0] if district else None,
        number=number_in(scan),
    )
    missing = [slot for slot, value in vars(joining).items() if value is None and slot != "number"]
    given.why.append(f"without {', '.join(missing)}" if missing else "complete")
    return joining


def ask(given: Given) -> Input:
    """Read a question: the text behind the main word, the whole text behind another ("problem with ...")."""
    if not given.found.others and not given.scan.amounts:
        return Ask()
    if given.found.command.form is not Form.MAIN:
        return Ask(text=given.scan.shown)
    return Ask(text=given.scan.plain[given.scan.tokens[given.found.place].end :].strip(" :,.-+"))


def stop(given: Given) -> Input:
    """Read what begins like an opt-out and is none: what is one was read before."""
    return given.sentence("a sentence that begins like an opt-out")


def cancel(given: Given) -> Input:
    """Read a word that may mean the last entry as well as the service: what more is said is no case of either."""
    scan = given.scan
    said_more = any(scan.word(place) not in scan.lexicon.stop_fillers for place in given.found.others)
    if said_more or scan.amounts or scan.question:
        return given.sentence("other words beside it")
    return Cancel()


def language(given: Given) -> Input:
    """Read a wish for another language; with other words beside it, it is a sentence about one."""
    scan = given.scan
    if scan.question or not all(map(partial(_names_a_language, scan), given.found.others)):
        return given.sentence("a sentence about a language")
    return Language(chosen=language_in(scan))


def _names_a_language(scan: Scan, place: int) -> bool:
    command = scan.lexicon.commands.get(scan.word(place))
    return command is not None and command.intent is Intent.LANGUAGE


def help_(given: Given) -> Input:
    """Read a wish for the words: all of jobs, with a 2 the others, with a 3 those of money."""
    count = next((amount.count for amount in given.scan.amounts), None)
    return Help(page=count if count in {2, 3} else 1)


def pause(given: Given) -> Input:
    """Read a pause, and how long it shall be."""
    return pause_in(given.scan, given.found.others) or given.sentence("other words beside it")


def alone(value: Input) -> Callable[[Given], Input]:
    """Return the meaning of a word that counts only where nothing else is said."""

    def meaning(given: Given) -> Input:
        said_more = given.found.others or given.scan.amounts or given.scan.question
        return given.sentence("other words beside it") if said_more else value

    return meaning


def _plainly(value: Input) -> Callable[[Given], Input]:
    return lambda _given: value


MEANINGS: Final[Mapping[Intent, Callable[[Given], Input]]] = {
    Intent.JOIN: join,
    Intent.HARVEST: harvest,
    Intent.ESTIMATE: estimate,
    Intent.SPRAYED: spray,
    Intent.DONE: done,
    Intent.JOBS: jobs,
    Intent.TOTAL: _plainly(Total()),
    Intent.UNDO: taken_back,
    Intent.ASK: ask,
    Intent.STOP: stop,
    Intent.CANCEL: cancel,
    Intent.HELP: help_,
    Intent.LANGUAGE: language,
    Intent.PAUSE: pause,
    Intent.ALERTS_ON: alone(Alerts(wanted=True)),
    Intent.RECORDS: alone(Records()),
    Intent.COUNTS: lambda given: plant_count(given) if given.scan.amounts else alone(Counts())(given),
    Intent.PLANT_COUNT: plant_count,
    Intent.BASKET: basket,
    Intent.WARN: lambda given: warning_in(given.scan, given.districts),
    Intent.WATER: water,
    Intent.RAIN: rain,
    Intent.SOLD: sale,
    Intent.COST: cost,
    Intent.PRICE: prices,
    Intent.FRESH: kept_fresh,
}
