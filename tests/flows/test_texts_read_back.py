"""What our texts tell a farmer to send is understood when it is sent."""

from datetime import date, timedelta
from decimal import Decimal

import pytest

from flows.catalogue import read_catalogues
from flows.collecting import Estimate
from flows.inputs import (
    Ask,
    Done,
    Harvest,
    Help,
    Input,
    Jobs,
    Join,
    NeedHelp,
    No,
    NotYet,
    Number,
    Stop,
    Total,
    Undo,
    Yes,
)
from flows.reader import Reading, Situation, load_packs, read
from flows.remarks import Details
from flows.spraying import Sprayed
from flows.watering import Rain, Water
from flows.wishes import Alerts, Days, Language, Pause, Records, Who, WrongNumber

CATALOGUES = read_catalogues()
PACKS = load_packs()
TODAY = date(2026, 11, 25)
_RAINED = Rain(tenths=120, on=TODAY - timedelta(days=1))
YESTERDAY = Sprayed(days=7, on=TODAY - timedelta(days=1))


def understood(sent: str, language: str) -> Reading:
    """Return what the reader makes of `sent` from a farmer of that language."""
    return read(
        sent, Situation(on=TODAY, districts=("Zaruvi", "Ketumali"), languages=PACKS, language=language)
    )


@pytest.mark.parametrize(
    ("language", "text_id", "example", "expected"),
    [
        pytest.param("en", "task.picking.text", "HARVEST 12.5", 12_500, id="en-with-a-point"),
        pytest.param("en", "help", "HARVEST 12", 12_000, id="en-in-help"),
        pytest.param("sw", "task.picking.text", "VUNA 12.5", 12_500, id="sw-with-a-point"),
        pytest.param("sw", "help", "VUNA 12", 12_000, id="sw-in-help"),
    ],
)
def test_an_example_of_a_weight_is_that_weight(
    language: str, text_id: str, example: str, expected: int
) -> None:
    """A weight sent as our texts show it is kept in grams, without a question."""
    said = understood(example, language).input

    assert example in CATALOGUES[language][text_id].text
    assert isinstance(said, Harvest)
    assert (expected, None, False) == (said.grams, said.on, said.extra)


@pytest.mark.parametrize(
    ("language", "text_id", "example", "expected"),
    [
        pytest.param("en", "help", "DONE 3", Done(numbers=(3,)), id="en-done"),
        pytest.param("en", "help", "JOBS 3", Jobs(number=3), id="en-how"),
        pytest.param("en", "jobs_list", "JOBS", Jobs(), id="en-how-in-the-list"),
        pytest.param("en", "week_more", "JOBS", Jobs(number=None), id="en-jobs"),
        pytest.param("en", "help", "TOTAL", Total(), id="en-total"),
        pytest.param("en", "harvest_noted", "UNDO", Undo(), id="en-undo"),
        pytest.param("en", "welcome_consent", "STOP", Stop(), id="en-stop"),
        pytest.param("en", "joined", "HELP", Help(), id="en-help"),
        pytest.param("en", "welcome_consent", "YES", Yes(), id="en-yes"),
        pytest.param("en", "welcome_consent", "NO", No(), id="en-no"),
        pytest.param("en", "help", "ASK", Ask(text=""), id="en-ask"),
        pytest.param("sw", "help", "TAYARI 3", Done(numbers=(3,)), id="sw-done"),
        pytest.param("sw", "help", "KAZI 3", Jobs(number=3), id="sw-how"),
        pytest.param("sw", "jobs_list", "KAZI", Jobs(), id="sw-how-in-the-list"),
        pytest.param("sw", "week_more", "KAZI", Jobs(number=None), id="sw-jobs"),
        pytest.param("sw", "help", "JUMLA", Total(), id="sw-total"),
        pytest.param("sw", "harvest_noted", "FUTA", Undo(), id="sw-undo"),
        pytest.param("sw", "welcome_consent", "ACHA", Stop(), id="sw-stop"),
        pytest.param("sw", "joined", "MSAADA", Help(), id="sw-help"),
        pytest.param("sw", "welcome_consent", "NDIYO", Yes(), id="sw-yes"),
        pytest.param("sw", "welcome_consent", "HAPANA", No(), id="sw-no"),
        pytest.param("sw", "help", "ULIZA", Ask(text=""), id="sw-ask"),
        pytest.param("en", "help", "SPRAYED 7", Sprayed(days=7), id="en-sprayed"),
        pytest.param("sw", "help", "NIMEPULIZIA 7", Sprayed(days=7), id="sw-sprayed"),
        pytest.param("en", "spray_no_day", "SPRAYED 7 yesterday", YESTERDAY, id="en-sprayed-yesterday"),
        pytest.param("sw", "spray_no_day", "NIMEPULIZIA 7 jana", YESTERDAY, id="sw-sprayed-yesterday"),
        pytest.param("en", "help", "HELP 2", Help(page=2), id="en-more"),
        pytest.param("sw", "help", "MSAADA 2", Help(page=2), id="sw-more"),
        pytest.param("en", "help_more", "LANGUAGE", Language(), id="en-language"),
        pytest.param("sw", "help_more", "LUGHA", Language(), id="sw-language"),
        pytest.param("en", "days_set", "DAYS", Days(), id="en-days"),
        pytest.param("sw", "days_set", "SIKU", Days(), id="sw-days"),
        pytest.param("en", "help_more", "PAUSE", Pause(), id="en-pause"),
        pytest.param("sw", "help_more", "PUMZIKA", Pause(), id="sw-pause"),
        pytest.param("en", "help_more", "NOT YET 3", NotYet(numbers=(3,)), id="en-not-yet"),
        pytest.param("sw", "help_more", "BADO 3", NotYet(numbers=(3,)), id="sw-not-yet"),
        pytest.param("en", "help_more", "NEED HELP 3", NeedHelp(numbers=(3,)), id="en-need-help"),
        pytest.param("sw", "help_more", "NAHITAJI MSAADA 3", NeedHelp(numbers=(3,)), id="sw-need-help"),
        pytest.param("en", "alerts_on", "STOP ALERTS", Alerts(wanted=False), id="en-no-alerts"),
        pytest.param("sw", "alerts_on", "ACHA TAHADHARI", Alerts(wanted=False), id="sw-no-alerts"),
        pytest.param("en", "alerts_off", "ALERTS", Alerts(wanted=True), id="en-alerts"),
        pytest.param("sw", "alerts_off", "TAHADHARI", Alerts(wanted=True), id="sw-alerts"),
        pytest.param("en", "help_more", "WHO", Who(), id="en-who"),
        pytest.param("sw", "help_more", "NANI", Who(), id="sw-who"),
        pytest.param("en", "help_more", "DETAILS", Details(), id="en-details"),
        pytest.param("sw", "help_more", "REKEBISHA", Details(), id="sw-details"),
        pytest.param("en", "records_shown", "RECORDS", Records(), id="en-records"),
        pytest.param("sw", "records_shown", "TAARIFA", Records(), id="sw-records"),
        pytest.param("en", "help", "WATER", Water(), id="en-water"),
        pytest.param("sw", "help", "MAJI", Water(), id="sw-water"),
        pytest.param("en", "estimate_noted", "ESTIMATE", Estimate(), id="en-estimate"),
        pytest.param("sw", "estimate_noted", "KADIRIO", Estimate(), id="sw-estimate"),
        pytest.param("en", "rain_ask", "RAIN 12", Rain(tenths=120), id="en-rain"),
        pytest.param("sw", "rain_ask", "MVUA 12", Rain(tenths=120), id="sw-rain"),
        pytest.param("en", "rain_no_day", "RAIN 12 yesterday", _RAINED, id="en-rained"),
        pytest.param("sw", "rain_no_day", "MVUA 12 jana", _RAINED, id="sw-rained"),
        pytest.param("en", "help_more", "WRONG NUMBER", WrongNumber(), id="en-wrong-number"),
        pytest.param("sw", "help_more", "NAMBA SI YANGU", WrongNumber(), id="sw-wrong-number"),
    ],
)
def test_a_command_our_texts_name_does_what_they_say(
    language: str, text_id: str, example: str, expected: Input
) -> None:
    """A word sent as our texts write it is the command they mean."""
    assert example in CATALOGUES[language][text_id].text
    assert expected == understood(example, language).input


@pytest.mark.parametrize(("language", "word"), [("en", "JOIN"), ("sw", "JIUNGE")])
def test_joining_takes_the_name_that_follows(language: str, word: str) -> None:
    """Help for strangers says: the word and your name."""
    assert word in CATALOGUES[language]["help_stranger"].text
    assert (
        Join(name="Asha", plants=None, planted=None, district=None)
        == understood(f"{word} Asha", language).input
    )


@pytest.mark.parametrize(
    ("language", "example", "expected"),
    [
        pytest.param("en", "5 March", date(2026, 3, 5), id="en-day-and-month"),
        pytest.param("sw", "5 Machi", date(2026, 3, 5), id="sw-day-and-month"),
        pytest.param("en", "8 months ago", date(2026, 3, 25), id="en-how-long-ago"),
        pytest.param("sw", "miezi 8 iliyopita", date(2026, 3, 25), id="sw-how-long-ago"),
    ],
)
@pytest.mark.parametrize("text_id", ["join_ask_date", "join_date_again"])
def test_a_planting_date_may_be_sent_as_the_question_shows(
    text_id: str, language: str, example: str, expected: date
) -> None:
    """Both ways of writing a planting date are understood; a count of months is right to the week."""
    planted = understood(example, language).slots.planted

    assert example in CATALOGUES[language][text_id].text
    assert planted is not None
    assert abs(planted.on - expected) <= timedelta(days=7)


@pytest.mark.parametrize("language", ["en", "sw"])
@pytest.mark.parametrize(
    ("text_id", "example", "expected"),
    [
        pytest.param("join_ask_plants", "300", Decimal(300), id="plants"),
        pytest.param("ask_kilos", "12.5", Decimal("12.5"), id="kilos"),
        pytest.param("ask_kilos", "0", Decimal(0), id="nothing-ripe"),
    ],
)
def test_a_number_may_be_sent_as_the_question_shows(
    text_id: str, example: str, expected: Decimal, language: str
) -> None:
    """A bare number answers a question that asks for one."""
    said = understood(example, language).input

    assert example in CATALOGUES[language][text_id].text
    assert isinstance(said, Number)
    assert expected == said.value
