from collections.abc import Callable

import pytest

from flows.alarms import Distress, Emergency, Harm
from flows.inputs import (
    Ask,
    Cancel,
    Done,
    Help,
    Input,
    Jobs,
    NeedHelp,
    No,
    NotYet,
    Stop,
    Total,
    Understood,
    Undo,
    Words,
    Yes,
)
from flows.reader import Reading
from flows.remarks import Correct, Greeting
from flows.wishes import Alerts, Days, Language, Pause, Records, Who, WrongNumber

Says = Callable[[str], Reading]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("done 1 3", Done(numbers=(1, 3))),
        ("DONE 3", Done(numbers=(3,))),
        ("done3", Done(numbers=(3,))),
        ("d0ne 3", Done(numbers=(3,))),
        ("done 1,3", Done(numbers=(1, 3))),
        ("tayari 1,2,3", Done(numbers=(1, 2, 3))),
        ("tayari 1.2.3", Done(numbers=(1, 2, 3))),
        ("done 1/3", Done(numbers=(1, 3))),
        ("done 3 3", Done(numbers=(3,))),
        ("tayari moja na tatu", Done(numbers=(1, 3))),
        ("tayari namba 2", Done(numbers=(2,))),
        ("done 2 today", Done(numbers=(2,))),
        ("done 2 on 12/10", Done(numbers=(2,))),
        ("done 1-3", Done()),
        ("done", Done()),
        ("nimemaliza", Done()),
        ("tumekamilisha 2", Done(numbers=(2,))),
        ("tayari nimemaliza 2", Done(numbers=(2,))),
        ("job 3 done", Done(numbers=(3,))),
        ("kazi namba 3 imekamilika", Done(numbers=(3,))),
        ("ok done 4", Done(numbers=(4,))),
        ("done 400", Done()),
        ("JOBS", Jobs()),
        ("kazi", Jobs()),
        ("kazi za wiki hii", Jobs()),
        ("jobs 2", Jobs(number=2)),
        ("kazi 2", Jobs(number=2)),
        ("jobs 2000", Jobs()),
        ("habari za kazi, naomba kazi 2", Jobs(number=2)),
        ("total", Total()),
        ("JUMLA", Total()),
        ("undo", Undo()),
        ("futa", Undo()),
        ("nimekosea", Undo()),
        ("help", Help()),
        ("naomba msaada", Help()),
        ("mssaada", Help()),
        ("ask", Ask()),
        ("ULIZA", Ask()),
        ("ASK: are white dots bad?", Ask(text="are white dots bad?")),
        ("uliza Kwa nini majani ni Mekundu?", Ask(text="Kwa nini majani ni Mekundu?")),
        ("shida ya majani", Ask(text="shida ya majani")),
        ("ok", Yes()),
        ("Sawa sawa", Yes()),
        ("NDIYO", Yes()),
        ("yes please", Yes()),
        ("1 yes", Yes()),
        ("hapana asante", No()),
        ("Y", Yes()),
        ("n", No()),
        ("1 covered", Understood()),
        ("nimeelewa", Understood()),
        ("not yet", NotYet()),
        ("not yet 3", NotYet(numbers=(3,))),
        ("job 3 not yet", NotYet(numbers=(3,))),
        ("kazi 3 bado", NotYet(numbers=(3,))),
        ("bado", NotYet()),
        ("I need help", NeedHelp()),
        ("need help 2", NeedHelp(numbers=(2,))),
        ("kazi 2 nahitaji msaada", NeedHelp(numbers=(2,))),
        ("LANGUAGE", Language()),
        ("lugha", Language()),
        ("language kiswahili", Language(chosen="sw")),
        ("English", Language(chosen="en")),
        ("DAYS", Days()),
        ("siku zangu", Days()),
        ("PAUSE", Pause()),
        ("pumzika", Pause()),
        ("STOP ALERTS", Alerts(wanted=False)),
        ("acha tahadhari", Alerts(wanted=False)),
        ("alerts", Alerts(wanted=True)),
        ("TAHADHARI", Alerts(wanted=True)),
        ("WHO", Who()),
        ("who are you?", Who()),
        ("nani", Who()),
        ("ninyi ni nani?", Who()),
        ("RECORDS", Records()),
        ("taarifa", Records()),
        ("futa taarifa zangu zote", Records()),
        ("delete all my records", Records()),
        ("please delete my data", Records()),
        ("wrong number", WrongNumber()),
        ("samahani namba si yangu", WrongNumber()),
        ("help 2", Help(page=2)),
        ("msaada 2", Help(page=2)),
        ("2 hapana", No()),
        ("done all", Done(every=True)),
        ("all done", Done(every=True)),
        ("TAYARI ZOTE", Done(every=True)),
        ("nimemaliza kazi zote", Done(every=True)),
        ("done all 3", Done(numbers=(3,))),
        ("habari", Greeting()),
        ("pole na kazi", Greeting()),
        ("kazi njema", Greeting()),
        ("habari za kazi", Greeting()),
        ("hello, good morning", Greeting()),
        ("asante", Greeting(thanks=True)),
        ("Asante sana!", Greeting(thanks=True)),
        ("thank you very much", Greeting(thanks=True)),
        ("habari, nashukuru sana", Greeting(thanks=True)),
        ("no its 8.5 not 7.5", Correct(grams=8_500, instead=7_500)),
        ("its 8.5 not 7.5", Correct(grams=8_500, instead=7_500)),
        ("hapana, kilo 8.5 siyo kilo 7.5", Correct(grams=8_500, instead=7_500)),
        ("siyo 7.5 ni 8.5", Correct(grams=8_500, instead=7_500)),
        ("not 500 but 600 g", Correct(grams=600, instead=500)),
        ("no 8.5", Correct(grams=8_500)),
        ("hapana ni 8.5", Correct(grams=8_500)),
    ],
)
def test_command_is_read(says: Says, text: str, expected: Input) -> None:
    """A command is understood with its numbers, in both languages, whatever stands politely beside it."""
    assert expected == says(text).input


@pytest.mark.parametrize(
    ("text", "question"),
    [
        ("tayari imeiva", False),
        ("tayari nimepanda", False),
        ("tayari bado", False),
        ("not done", False),
        ("done?", True),
        ("done 12 kg", False),
        ("sijamaliza", False),
        ("nitavuna kilo 12", False),
        ("nikivuna nitakuambia", False),
        ("nimevunja mkono", False),
        ("nimevuta 3", False),
        ("vuna sijui", False),
        ("vuna lini?", True),
        ("I lost my job and then my brother finished school and left", False),
        ("majani yana madoa mekundu nifanye nini?", True),
        ("help me my plants are dying what now", True),
        ("ok but later", False),
        ("yes?", True),
        ("2 yes", False),
        ("yes no", False),
        ("sawa kesho", False),
        ("mlango", False),
        ("shina limeoza", False),
        ("mke wangu amejifungua, jifunga", False),
        ("Saidi", False),
        ("packed 12", False),
        ("kazi 3 bado hali ya hewa mbaya", False),
        ("siku 3 zilizopita", False),
        ("kazi sijui", False),
        ("bado mimea michanga", False),
        ("my english teacher", False),
        ("nani alileta mbegu", True),
        ("need help with slugs", False),
        ("records of rain", False),
        ("0621234567", False),
        ("", False),
        ("?", True),
    ],
)
def test_sentence_is_no_command(says: Says, text: str, question: bool) -> None:  # noqa: FBT001 - a column of the table
    """Greetings, negations, other tenses and sentences that only hold a command word stay words."""
    assert Words(text=text, question=question) == says(text).input


@pytest.mark.parametrize(
    "text",
    [
        "sitaki tena meseji zenu",
        "acheni kunitumia sms",
        "nifuteni kwenye orodha",
        "STOP",
        "stop.",
        "S T O P",
        "s.t.o.p",
        "ＳＴＯＰ",
        "stopp",
        "stp",
        "st0p",
        "sotp",
        "STOP ALL",
        "stop it now",
        "please stop",
        "hello, stop",
        "ok stop",
        "quit",
        "unsubscribe",
        "acha",
        "ACHA!!",
        "achaa",
        "sitisha",
        "tafadhali acha",
        "acha zote",
        "stop sending me texts",
        "stop the SMS",
        "acha kunitumia meseji",
        "no more texts",
        "sitaki ujumbe",
        "dont text me again",
        "nitoe",
        "how do i stop the texts",
    ],
)
def test_opt_out_acts(says: Says, text: str) -> None:
    """STOP acts when it is the whole message, misspelt from the list, or stands with a word for messages."""
    assert Stop() == says(text).input


@pytest.mark.parametrize(
    "text",
    [
        "dont stop",
        "don't stop the texts",
        "do not stop",
        "usiache ujumbe",
        "never stop the messages",
        "shop",
        "stoop",
        "step",
        "spot",
        "nitoe maua",
        "nitoe?",
        "nataka kuacha maua yabaki",
        "stop mites",
        "acha maua",
        "stop birds from eating my fruit at night",
    ],
)
def test_opt_out_is_never_guessed(says: Says, text: str) -> None:
    """Neither a near word nor a negated or longer sentence stops the texts."""
    assert not isinstance(says(text).input, Stop | Cancel)


@pytest.mark.parametrize("text", ["cancel", "END", "ghairi", "stop 3", "stop neema"])
def test_doubtful_opt_out_is_asked(says: Says, text: str) -> None:
    """A word that may mean undo, and STOP beside another word, are asked about once."""
    assert Cancel() == says(text).input


@pytest.mark.parametrize(
    ("text", "expected", "language"),
    [
        ("anatapika", Emergency, "sw"),
        ("My son swallowed the spray", Emergency, "en"),
        ("vuna 12, dawa imeingia machoni", Emergency, "sw"),
        ("amekunywa sumu anataka kujiua", Emergency, "sw"),
        ("amezimia, amekunywa dawa", Emergency, "sw"),
        ("nataka kufa", Distress, "sw"),
        ("I want to die", Distress, "en"),
        ("end my life", Distress, "en"),
    ],
)
def test_safety_comes_first(
    says: Says, text: str, expected: type[Emergency | Distress], language: str
) -> None:
    """Words of poisoning or despair win over anything else, keep the text, and tell the language."""
    said = says(text)

    assert (expected(text=text), language) == (said.input, said.language)


@pytest.mark.parametrize(
    ("text", "harm"),
    [
        ("my husband is beating me", Harm.UNCLEAR),
        ("bosi wangu ananipiga", Harm.UNCLEAR),
        ("ameng'atwa na nyoka", Harm.SNAKE),
        ("bitten by a snake", Harm.SNAKE),
        ("my brother is bleeding", Harm.INJURY),
        ("he got an electric shock", Harm.SHOCK),
        ("she fainted in the field", Harm.HEAT),
        ("the store is on fire", Harm.FIRE),
        ("amepigwa na umeme", Harm.SHOCK),
        ("anatoka damu", Harm.INJURY),
    ],
)
def test_other_harm_is_told_from_poison(says: Says, text: str, harm: Harm) -> None:
    """A bite, a burn, a shock or a fall needs other first aid than poison."""
    assert Emergency(text=text, harm=harm) == says(text).input


def test_plants_that_die_are_no_distress(says: Says) -> None:
    """Dying plants are a farmer's question, not a farmer in danger."""
    assert Words(text="mimea yangu inataka kufa") == says("mimea yangu inataka kufa").input


@pytest.mark.parametrize(
    ("text", "language", "steps"),
    [
        ("harvst 12", "en", ("harvest: one slip from 'harvest'", "12000 g")),
        ("ulivuna 12", None, ("no rule fits",)),
        ("tulivuna 12", "sw", ("harvest: verb form", "12000 g")),
        ("stp", "en", ("opt-out, and nothing else is said 'stp'",)),
        ("JOIN", "en", ("join: main word", "without name, plants, planted, district")),
        ("vuna 31/11", "sw", ("'31/11' is no day", "harvest: main word", "no weight")),
        ("12", None, ("the whole message is a number",)),
        ("sawa", "sw", ("the whole message",)),
    ],
)
def test_reading_says_why(says: Says, text: str, language: str | None, steps: tuple[str, ...]) -> None:
    """Each step is kept in words, with the language of the command word."""
    reading = says(text)

    assert (language, steps) == (reading.language, reading.why)


def test_text_that_cannot_be_stored_is_cleaned(says: Says) -> None:
    """NUL, direction marks and halves of characters are dropped from what is kept of the text."""
    assert Words(text="ma jani mazuri") == says("ma\tjani\x00 \u202emazuri\ud800").input


def test_text_is_read_up_to_a_limit(says: Says) -> None:
    """Beyond 1,600 characters nothing is read, and the reading says so."""
    reading = says("x" * 10_000)

    assert (1600, "only the first 1600 characters") == (
        len(getattr(reading.input, "text", "")),
        reading.why[0],
    )
