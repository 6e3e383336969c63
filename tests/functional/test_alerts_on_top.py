"""Stories of a second alert on one day: what the draft says of the first, and the way past it. On both engines."""

from datetime import timedelta

import pytest

from service.core.alerts import Alert
from service.core.errors import Refused
from service.core.staff import Officer
from tests.alert_room import AlertRoom
from tests.village import Phone, Village


@pytest.fixture
def room(village: Village) -> AlertRoom:
    """An officer's desk over the village."""
    return AlertRoom(village)


def warnings(phone: Phone) -> list[str]:
    """Return what officers texted to a phone."""
    return [words for words in phone.texts if words.startswith("Asha Mlima")]


def hail_then_frost(room: AlertRoom) -> tuple[Officer, Phone, Alert]:
    """Send a hail warning to the one farmer of a district, then draft one of frost."""
    neema = room.village.phone()
    neema.joins(language="sw")
    mlima = room.officer("Ketumali")
    room.send(mlima, "Ketumali", template="hail", figure=30)
    room.village.work_through()
    return mlima, neema, room.draft(mlima, room.order("Ketumali"))


def test_the_draft_says_who_was_texted_already(room: AlertRoom) -> None:
    """Every alert of the day that texted phones of the audience is named, with how many and when."""
    room.farmer("Juma", district="Ndaliro")
    mlima, _, frost = hail_then_frost(room)
    boss_frost = room.draft(
        room.officer("Ketumali", "Ndaliro"), room.order("Ketumali", "Ndaliro", template="rain", figure=60)
    )
    only, both = room.preview(frost), room.preview(boss_frost)

    assert [("hail", 1, 0, room.now)] == [
        (one.alert.template, one.phones, one.waiting, one.at) for one in only.earlier
    ]
    assert (0, 1, 1) == (only.reach.phones, only.free, only.anyway.phones if only.anyway else None)
    assert (1, 2) == (both.reach.phones, both.free)
    assert mlima.id == only.earlier[0].alert.officer_id


def test_a_frost_warning_goes_on_top_with_a_reason(room: AlertRoom) -> None:
    """Sent anyway it reaches the phone at once, asks its question, and the reason is kept and recorded."""
    mlima, neema, frost = hail_then_frost(room)
    with pytest.raises(Refused, match=r"nobody.*Send it anyway"):
        room.confirm(mlima, frost)
    alert = room.confirm(mlima, frost, anyway="  Sky cleared,   -3 expected ")
    room.village.clock.advance(timedelta(minutes=2))
    room.village.work_through()
    neema.says("2")

    first, second = warnings(neema)
    assert ["baridi" in first, "baridi" in second] == [False, True]
    assert ("further_alert", "Sky cleared, -3 expected") == (alert.kind, alert.anyway)
    counted = room.count(alert)
    assert (1, 1, {"need_help": 1}) == (counted.audience, counted.sent, counted.answers)
    detail = str(room.village.rows("SELECT detail FROM audit ORDER BY id DESC LIMIT 1")[0]["detail"])
    assert "Sky cleared, -3 expected" in detail


def test_the_third_alert_is_held_back_by_the_one_on_top(room: AlertRoom) -> None:
    """What went on top counts as the day's alert like any other: the next one needs its own reason."""
    mlima, _, frost = hail_then_frost(room)
    room.confirm(mlima, frost, anyway="Sky cleared")
    room.village.clock.advance(timedelta(minutes=2))
    room.village.work_through()
    third = room.preview(room.draft(mlima, room.order("Ketumali", template="rain", figure=60)))

    assert ["hail", "frost"] == [one.alert.template for one in third.earlier]
    assert (0, {"one_a_day": 1}) == (third.reach.phones, third.reach.excluded)


@pytest.mark.parametrize("urgent", [False, True], ids=["ordinary", "marked urgent"])
def test_own_words_never_go_on_top(room: AlertRoom, *, urgent: bool) -> None:
    """The farmers were promised more texts in an emergency only, and own words are nobody's emergency."""
    mlima, neema, _ = hail_then_frost(room)
    words = room.draft(mlima, room.order("Ketumali", words={"sw": "Mkutano ni Ijumaa."}, urgent=urgent))

    for anyway in (None, "Many asked"):
        with pytest.raises(Refused, match="tomorrow"):
            room.confirm(mlima, words, anyway=anyway)

    assert room.preview(words).anyway is None
    assert 1 == len(warnings(neema))


@pytest.mark.parametrize(("reason", "sentence"), [(" ", "why it cannot wait"), ("x" * 201, "200 letters")])
def test_a_reason_is_asked_for(room: AlertRoom, reason: str, sentence: str) -> None:
    """Without one, or with an essay, nothing is sent and the draft stays."""
    mlima, neema, frost = hail_then_frost(room)

    with pytest.raises(Refused, match=sentence):
        room.confirm(mlima, frost, anyway=reason)

    assert 1 == len(warnings(neema))


def test_an_urgent_warning_is_not_held_back_by_an_ordinary_alert(room: AlertRoom) -> None:
    """A meeting was announced in the morning: the frost warning of the afternoon leaves the same day."""
    neema = room.farmer("Neema")
    mlima = room.officer("Ketumali")
    room.send(mlima, "Ketumali", words={"en": "The meeting is on Friday."})
    room.village.work_through()
    frost = room.draft(mlima, room.order("Ketumali"))
    preview = room.preview(frost)
    room.confirm(mlima, frost)
    room.village.clock.advance(timedelta(minutes=2))
    room.village.work_through()

    assert ([None], 1) == ([one.alert.template for one in preview.earlier], preview.reach.phones)
    assert ["cold likely" in words for words in warnings(neema)] == [False, True]


def test_stop_alerts_holds_against_what_goes_on_top(room: AlertRoom) -> None:
    """A reason of the officer's is none of the farmer's: who takes no alerts gets none."""
    mlima, neema, frost = hail_then_frost(room)
    juma = room.farmer("Juma")
    neema.says("ACHA TAHADHARI")
    before = len(warnings(neema))
    alert = room.confirm(mlima, frost, anyway="Sky cleared")
    room.village.clock.advance(timedelta(minutes=2))
    room.village.work_through()

    assert (before, 1) == (len(warnings(neema)), len(warnings(juma)))
    assert (1, {"alerts_off": 1}) == (room.count(alert).sent, room.count(alert).excluded)
