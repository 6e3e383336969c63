"""Yes, no, weights and names as people say them; the wordings are our own, from everyday speech, no source."""

from collections.abc import Callable
from datetime import date, timedelta

import pytest

from flows.inputs import Cancel, Harvest, Input, Join, No, Number, Stop, Words, Yes
from flows.reader import Packs, Reading, Situation, read
from flows.wishes import Pause, Who, WrongNumber
from tests.flows.reader.conftest import TODAY

Says = Callable[[str], Reading]
YESTERDAY = TODAY - timedelta(days=1)

YES = """
ndiyo ni kweli
haya
naam
kweli
sawa kabisa
ndo hivyo
that's right
yes that is right
correct
ndio kweli
ndiyo ndiyo
ni sahihi
ndivyo
haya sawa
nakubali
sure
of course
yes correct
its true
i agree
"""
NO = """
hapana si kweli
siyo hiyo
si kweli
sio hivyo
siyo sahihi
hapana kabisa
hapana sikubali
not correct
no it is not
no that is not right
not that
incorrect
"""
NEITHER = """
kweli mvua imenyesha
that is right for mites?
haya majani yana madoa
right side of the field is dry
ni kweli dawa inafaa?
correct way to prune
"""


def _lines(block: str) -> list[str]:
    return block.strip().splitlines()


@pytest.mark.parametrize("text", _lines(YES))
def test_yes_as_people_say_it(says: Says, text: str) -> None:
    """What agrees is a yes; whether anything is open to be agreed to, the conversation knows."""
    assert Yes() == says(text).input


@pytest.mark.parametrize("text", _lines(NO))
def test_no_as_people_say_it(says: Says, text: str) -> None:
    """A "true" with a "not" before it is a no."""
    assert No() == says(text).input


@pytest.mark.parametrize("text", _lines(NEITHER))
def test_a_sentence_that_holds_such_a_word_is_a_sentence(says: Says, text: str) -> None:
    """Only what says nothing else agrees or denies."""
    assert isinstance(says(text).input, Words)


@pytest.mark.parametrize(
    ("text", "grams", "on"),
    [
        ("leo nimechuma kilo mbili na nusu", 2500, TODAY),
        ("nilichuma kilo 3 jana", 3000, YESTERDAY),
        ("nimechuma kilo 4", 4000, None),
        ("nimeokota kilo 4 leo asubuhi", 4000, TODAY),
        ("nimepata kilo 6 leo", 6000, TODAY),
        ("6 kilos leo nimeharvest", 6000, TODAY),
        ("3 na robo jana", 3250, YESTERDAY),
        ("i picked 1 and half kg today", 1500, TODAY),
        ("we got three and a half kilos yesterday", 3500, YESTERDAY),
        ("tumechuma kilo 7", 7000, None),
        ("kachuma kilo 2", 2000, None),
        ("tulipata kilo tano juzi", 5000, TODAY - timedelta(days=2)),
        ("nimekusanya gramu 800", 800, None),
        ("kilo 3 nimechuma jana", 3000, YESTERDAY),
        ("nimepick kilo 5", 5000, None),
        ("2.5 jana", 2500, YESTERDAY),
        ("we gathered 4 kg", 4000, None),
        ("collected 2 kilos this morning", 2000, TODAY),
        ("today I weighed 3.5 kg", 3500, TODAY),
    ],
)
def test_a_picking_in_everyday_words(says: Says, text: str, grams: int, on: date | None) -> None:
    """With a weight and its unit beside it, a word that may mean much else reports a picking."""
    meant = says(text).input

    assert isinstance(meant, Harvest)
    assert (grams, on, False) == (meant.grams, meant.on, meant.extra)


@pytest.mark.parametrize(
    "text",
    [
        "shamba la juu 2kg, la chini 4kg",
        "upper field 2 kg and lower field 3 kg",
        "nimepata mbolea kilo 10",
        "we got 3 kg fertilizer",
        "nimechuma kilo 4 na kilo 3",
        "1/2 jana",
    ],
)
def test_what_may_be_no_picking_is_asked_about(says: Says, text: str) -> None:
    """Another word beside the weight, or a second weight: no weight is kept without a question."""
    meant = says(text).input

    assert not isinstance(meant, Harvest) or meant.extra


@pytest.mark.parametrize(
    "text",
    [
        "chuma",
        "nimenunua chuma",
        "sijachuma kilo 3",
        "nitachuma kilo 3",
        "nimenunua kilo 3 za mbolea",
        "nichume kilo ngapi?",
        "nimechuma matunda mengi sana leo",
        "tupate kilo 5 za mbegu",
        "nimepata kilo 3 mbolea samadi bora",
        "3 jana",
    ],
)
def test_iron_plans_and_purchases_are_no_picking(says: Says, text: str) -> None:
    """Chuma alone is iron, a plan is no report, and what is bought was not picked."""
    assert not isinstance(says(text).input, Harvest)


def _shared(packs: Packs, *people: str) -> Says:
    situation = Situation(on=TODAY, districts=(), languages=packs, language="sw", people=frozenset(people))
    return lambda text: read(text, situation)


@pytest.mark.parametrize(
    ("text", "grams"),
    [
        ("neema harvest 3", 3000),
        ("neema 2kg", 2000),
        ("asha 1.5", 1500),
        ("two kilos for neema", 2000),
        ("harvest 3 neema", 3000),
        ("neema picked 3 kg", 3000),
        ("asha: today 2 1/2 kg", 2500),
        ("kilo mbili za neema", 2000),
        ("kwa asha kilo 4", 4000),
        ("asha amechuma kilo 3", 3000),
        ("asha kapata kilo 3", 3000),
        ("neema vuna 2", 2000),
    ],
)
def test_a_weight_with_a_name_is_a_report(packs: Packs, text: str, grams: int) -> None:
    """On a shared phone people say whose weight it is in the same breath."""
    meant = _shared(packs, "asha", "neema")(text).input

    assert isinstance(meant, Harvest)
    assert (grams, False) == (meant.grams, meant.extra)


@pytest.mark.parametrize(
    ("text", "people", "expected"),
    [
        pytest.param("asha 3", ("asha", "neema"), Number, id="a plain number may be a place in a list"),
        pytest.param("asha", ("asha", "neema"), Words, id="the name alone"),
        pytest.param("neema 1.5", ("neema",), Number, id="signed by the only one"),
        pytest.param("shida 2kg", ("shida", "asha"), Words, id="a name that is a word of ours"),
    ],
)
def test_what_a_name_does_not_change(
    packs: Packs, text: str, people: tuple[str, ...], expected: type[Input]
) -> None:
    """A name makes no weight of a number, and a name that is a command stays one."""
    meant = _shared(packs, *people)(text).input

    assert isinstance(meant, expected) or not isinstance(meant, Harvest)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("nataka kupumzika kidogo nasafiri", Pause),
        ("nasafiri msinitumie kazi kwa sasa", Pause),
        ("pumzika wiki moja", Pause),
        ("stop sending me the jobs but keep the weights", Pause),
        ("sitaki kazi nataka kutuma kilo tu", Pause),
        ("no more jobs", Pause),
        ("naomba kupumzika wiki mbili", Pause),
        ("i am travelling no jobs for now", Pause),
        ("please pause for a week", Pause),
        ("nimerudi", Join),
        ("nimerudi anza tena kunitumia", Join),
        ("nataka kurudi", Join),
        ("i am back please start texting me again", Join),
        ("endeleeni kunitumia", Join),
        ("nyie ni nani", Who),
        ("wewe ni nani unayetuma hizi sms", Who),
        ("nani anatuma hizi meseji?", Who),
        ("who is sending these?", Who),
        ("umekosea namba", WrongNumber),
        ("hii namba si ya baraka", WrongNumber),
        ("hii simu si ya neema", WrongNumber),
        ("you have the wrong number", WrongNumber),
        ("this is not the number of asha", WrongNumber),
        ("NYIE MATAPELI ACHENI KUNITUMIA", Stop),
        ("acheni kunitumia hizi meseji", Stop),
        ("I AM NOT NEEMA stop texting me", Stop),
        ("you scammers", Cancel),
        ("mnanisumbua sana", Cancel),
        ("leave me alone", Stop),
        ("niacheni", Stop),
        ("msinisumbue tena", Stop),
    ],
)
def test_wishes_as_people_say_them(says: Says, text: str, expected: type[Input]) -> None:
    """Who travels, comes back, asks who we are or has had enough needs no word of our list."""
    assert isinstance(says(text).input, expected)


@pytest.mark.parametrize(
    "text",
    [
        "dont stop texting me",
        "usiache kunitumia",
        "i am not sure",
        "im not finished",
        "mimi si mkulima",
        "the leaves come back",
        "kilo tu",
        "kwa sasa",
        "nimerudi shambani na mbolea",
        "nasafiri na matunda sokoni",
        "namba si ya muhimu sana",
        "niache maua?",
    ],
)
def test_sentences_near_a_wish_are_none(says: Says, text: str) -> None:
    """A wish that is not there would cost a farmer the texts."""
    assert not isinstance(says(text).input, Pause | Join | WrongNumber | Cancel | Stop)


@pytest.mark.parametrize(
    ("text", "grams"),
    [
        ("mume wangu amechuma kilo 5 leo jioni", 5000),
        ("nimechuma kilo 3 tu kwa sababu ya mvua", 3000),
        ("my daughter picked 2.5 kg this morning", 2500),
        ("tumechuma kilo sita pamoja na watoto", 6000),
        ("robo tatu ya kilo jana", 750),
    ],
)
def test_who_of_the_family_picked_changes_no_weight(says: Says, text: str, grams: int) -> None:
    """The household's picking is one, and a reason for its size is none for a question."""
    said = says(text).input

    assert isinstance(said, Harvest)
    assert (grams, False) == (said.grams, said.extra)


@pytest.mark.parametrize(
    "text", ["nimepata mbolea kilo 10", "nimechuma mahindi kilo 10", "picked maize 10 kg"]
)
def test_another_good_beside_a_picking_is_asked_about(says: Says, text: str) -> None:
    """A weight of something else is never kept as fruit unasked."""
    said = says(text).input

    assert not isinstance(said, Harvest) or said.extra


@pytest.mark.parametrize("text", ["picked S.5 kg", "vuna kilo B.5", "harvest 5/6 kg"])
def test_a_letter_or_a_stroke_in_a_figure_keeps_no_weight(says: Says, text: str) -> None:
    """Five sixths of a kilo nobody picks, and S.5 is five and a half."""
    said = says(text).input

    assert not isinstance(said, Harvest) or said.extra or said.grams is None
