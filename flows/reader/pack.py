"""A language pack: everything the reader knows about one language, as data.

One TOML file for each language stands in `flows/locale`. Its shape is the models below; whatever is missing,
misspelt or of the wrong type is refused at start with the file and the entry named. A further language is a
further file.
"""

import tomllib
from collections.abc import Mapping
from decimal import Decimal
from enum import StrEnum
from importlib.resources import files
from importlib.resources.abc import Traversable
from typing import Annotated

from pydantic import Field, ValidationError

from flows.alarms import Harm
from flows.reader.asking_pack import AskingPack
from flows.reader.danger_pack import Danger
from flows.reader.field_pack import JobWords, Picking, Spraying, VesselWords, WaterWords
from flows.reader.money_pack import MoneyWords
from flows.reader.opt_out_pack import OptingOut
from flows.reader.sections import AtLeastOne, Entries, Section

Twelve = Annotated[tuple[Entries, ...], Field(min_length=12, max_length=12)]
Seven = Annotated[tuple[Entries, ...], Field(min_length=7, max_length=7)]


class Intent(StrEnum):
    """What a command word asks for."""

    JOIN = "join"
    HARVEST = "harvest"
    ESTIMATE = "estimate"
    SPRAYED = "sprayed"
    DONE = "done"
    JOBS = "jobs"
    TOTAL = "total"
    UNDO = "undo"
    ASK = "ask"
    STOP = "stop"
    CANCEL = "cancel"
    HELP = "help"
    YES = "yes"
    NO = "no"
    UNDERSTOOD = "understood"
    NOT_YET = "not_yet"
    NEED_HELP = "need_help"
    LANGUAGE = "language"
    DAYS = "days"
    PAUSE = "pause"
    ALERTS_ON = "alerts_on"
    ALERTS_OFF = "alerts_off"
    WHO = "who"
    DETAILS = "details"
    RECORDS = "records"
    WRONG_NUMBER = "wrong_number"
    WATER = "water"
    RAIN = "rain"
    SOLD = "sold"
    COST = "cost"
    PRICE = "price"
    YEAR = "year"
    PLANT_COUNT = "plant_count"
    FRESH = "fresh"
    COUNTS = "counts"
    WARN = "warn"
    BASKET = "basket"


class PackError(ValueError):
    """A language pack is wrong; the message names the file, the entry and what is the matter."""

    def __init__(self, file: str, entry: str, matter: str) -> None:
        super().__init__(f"{file}: {entry}: {matter}")
        self.file = file
        self.entry = entry


class Verbs(Section):
    """Verb forms built as subject + tense + root, for languages that glue them together."""

    subjects: Entries = ()
    tenses: Entries = ()
    roots: Mapping[Intent, Entries] = {}


class Already(Section):
    """Words that before a verb form mean "already" and are no command there."""

    words: Entries = ()
    subjects: Entries = ()
    tenses: Entries = ()


class StopWords(Section):
    """What helps to tell an opt-out from an ordinary word.

    Attributes:
        angry: phrases after which is asked whether texts shall stop, whatever else stands beside them.
    """

    misspelt: Entries
    fillers: Entries
    angry: Entries


class Talk(Section):
    """The words around a command.

    Attributes:
        thanks: words that thank.
        between: words that stand between the answers our questions offer, and mean nothing in one sent back.
        every: words for all jobs of a list.
        correcting: what says that a weight is put right.
        no_harvest: what says that nothing was picked.
    """

    greetings: Entries
    thanks: AtLeastOne
    between: Entries
    every: AtLeastOne
    correcting: AtLeastOne
    no_harvest: AtLeastOne
    function: Entries
    negations: AtLeastOne
    questions: AtLeastOne
    introductions: Entries
    plants: AtLeastOne
    containers: Entries
    reserved: Entries


class Alarm(Section):
    """Words that call for safety before anything else.

    Attributes:
        distress: words of self-harm.
        harms: words of each kind of harm to a body.
    """

    distress: AtLeastOne
    harms: Mapping[Harm, AtLeastOne]


class Warnings(Section):
    """What officers call the pre-approved warnings of `flows.templates`."""

    frost: AtLeastOne
    hail: AtLeastOne
    rain: AtLeastOne


class NumberWords(Section):
    """How numbers are said.

    Attributes:
        scale_first: True where the scale stands before what it multiplies ("mia mbili").
        joiners: words that join the parts of a number.
        articles: words that stand for one before a scale or a period ("a hundred", "a month ago").
        points: words for the decimal point.
        below: words for a minus.
        ones: values below twenty.
        tens: multiples of ten below a hundred.
        scales: hundred and thousand.
        fractions: parts of one.
        less: parts taken away from the number before.
        more: parts added to the number before without a word that joins.
    """

    scale_first: bool
    joiners: Entries
    articles: Entries
    points: Entries
    below: Entries
    ones: Mapping[str, Annotated[int, Field(ge=0, le=19)]]
    tens: Mapping[str, Annotated[int, Field(ge=10, le=90)]]
    scales: Mapping[str, Annotated[int, Field(ge=100, le=1000)]]
    fractions: Mapping[str, Decimal]
    less: Mapping[str, Decimal]
    more: Mapping[str, Decimal] = {}


class Units(Section):
    """Words for units of weight."""

    kilo: AtLeastOne
    gram: AtLeastOne


class Periods(Section):
    """Words for stretches of time."""

    day: AtLeastOne
    week: AtLeastOne
    month: AtLeastOne
    year: AtLeastOne


class DateWords(Section):
    """How days are said; numbers are days, weeks, months or years away from today.

    Attributes:
        links: small words between the parts of a date.
        stretches: words for a part of a month, with the day it is about.
    """

    months: Twelve
    weekdays: Seven
    last: Entries
    next: Entries
    about: Entries
    date_words: Entries
    ordinals: Entries
    links: Entries
    stretches: Mapping[str, Annotated[int, Field(ge=1, le=31)]]
    numbered_month: Entries
    ago: AtLeastOne
    ahead: Entries
    ahead_before: Entries
    until: Entries
    days: Mapping[str, int]
    weeks: Mapping[str, int]
    months_away: Mapping[str, int]
    years_away: Mapping[str, int]
    periods: Periods


class Pack(Section):
    """One language.

    Attributes:
        called: how people call it, in this language and in others.
        phrases: commands of several words, or of one that means something else within a sentence.
    """

    language: str
    name: str
    called: AtLeastOne
    commands: Mapping[Intent, AtLeastOne]
    phrases: Mapping[Intent, AtLeastOne] = {}
    verbs: Verbs = Verbs()
    already: Already = Already()
    picking: Picking
    asking: AskingPack
    job_words: JobWords
    stop: StopWords
    opting_out: OptingOut
    talk: Talk
    alarm: Alarm
    spray: Spraying
    danger: Danger
    warnings: Warnings
    water: WaterWords
    vessels: VesselWords
    money: MoneyWords
    numbers: NumberWords
    units: Units
    dates: DateWords


def read_packs(folder: Traversable | None = None) -> tuple[Pack, ...]:
    """Return the packs of every `.toml` file in `folder`, by default `flows/locale`, in order of file name.

    Raises:
        PackError: a file is no TOML, or an entry is missing, unknown or of the wrong type.
    """
    place = folder if folder is not None else files("flows").joinpath("locale")
    found = sorted(
        (file for file in place.iterdir() if file.name.endswith(".toml")), key=lambda file: file.name
    )
    return tuple(map(_pack, found))


def _pack(file: Traversable) -> Pack:
    try:
        pack = Pack.model_validate(tomllib.loads(file.read_text(encoding="utf-8")))
    except tomllib.TOMLDecodeError as error:
        raise PackError(file.name, "file", str(error)) from error
    except ValidationError as error:
        first = error.errors()[0]
        raise PackError(file.name, ".".join(map(str, first["loc"])), first["msg"]) from error
    if file.name != f"{pack.language}.toml":
        raise PackError(
            file.name, "language", f"'{pack.language}' is not the language the file is named after"
        )
    for missing in (one for one in Intent if one not in pack.commands and one not in pack.phrases):
        raise PackError(file.name, f"commands.{missing}", "has no words")
    return pack
