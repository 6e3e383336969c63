"""Stories of alerts: whom they reach, who may send them, and what stops them. Each on both engines."""

from datetime import timedelta

import pytest
from sqlalchemy import text, update

from flows.facts import FarmerState
from service.core.alert_states import AlertState, IllegalMove
from service.core.alerts import Alert, Answer
from service.core.errors import Refused
from service.core.rights import Role
from service.db.queries.alerts import Alerts
from service.db.tables.alerts import alert_text
from service.use_cases.alerts import drafting
from service.use_cases.alerts.advancing import Step, advance
from service.use_cases.alerts.drafting import OutOfReach
from tests.alert_room import AlertRoom, summed
from tests.postroom import Postroom
from tests.village import Village


@pytest.fixture
def room(village: Village) -> AlertRoom:
    """An officer's desk over the village."""
    return AlertRoom(village)


def test_a_frost_warning_reaches_a_district_in_its_languages(room: AlertRoom) -> None:
    """Each farmer of the district reads it in their own language, with sender, day and figure; nobody else does."""
    neema = room.farmer("Neema")
    juma = room.farmer("Juma", language="sw")
    other = room.farmer("Salim", district="Ndaliro")
    mlima = room.officer("Ketumali")

    alert = room.send(mlima, "Ketumali")
    room.village.work_through()

    english = (
        "Asha Mlima (Ketumali): cold likely from Wed 25/11 evening, -1 C. "
        "Cover plants by sunset: sacks, dry grass. Reply 1 covered 2 need help"
    )
    swahili = (
        "Asha Mlima (Ketumali): huenda baridi kuanzia jioni Jtano 25/11, -1 C. "
        "Funika mimea kabla: gunia au nyasi kavu. Jibu 1 nimefunika 2 msaada"
    )
    assert ([english], [swahili], []) == (neema.texts, juma.texts, other.texts)
    counted = room.count(alert)
    assert (2, 2, 2) == (counted.audience, counted.sent, counted.delivered)


def test_who_is_left_out_is_counted_with_the_reason(room: AlertRoom) -> None:
    """Stopped, pending, paused and without alerts: each is a figure of its own, in the preview and in the report."""
    room.farmer("Neema")
    stopped = room.village.phone()
    stopped.joins(name="Juma")
    stopped.says("STOP")
    room.farmer("Tatu", state=FarmerState.PENDING)
    room.farmer("Salim", paused_until=room.now + timedelta(days=9))
    room.farmer("Pendo", alerts=False)
    room.farmer("Zawadi", preferred=False)
    mlima = room.officer("Ketumali")
    draft = room.draft(mlima, room.order("Ketumali"))

    before = room.preview(draft).reach
    alert = room.confirm(mlima, draft)
    room.village.clock.advance(timedelta(minutes=2))
    room.village.work_through()
    after = room.count(alert)

    reasons = {"stopped": 1, "pending": 1, "paused": 1, "alerts_off": 1}
    assert (1, 5, 1, reasons) == (before.phones, before.audience, before.no_phone, before.excluded)
    assert (5, 1, reasons) == (after.audience, after.sent, after.excluded)


def test_a_shared_phone_gets_one_text(room: AlertRoom) -> None:
    """Farmers who share a phone are counted as reached by it, in the language of the first who can be texted."""
    phone = room.farmer("Neema", language="sw", alerts=False)
    room.farmer("Juma", phone=phone, language="en")
    room.farmer("Tatu", phone=phone, language="en")
    mlima = room.officer("Ketumali")

    reach = room.preview(room.draft(mlima, room.order("Ketumali"))).reach
    room.send(mlima, "Ketumali")
    room.village.work_through()

    assert (1, 2, {}) == (reach.phones, reach.farmers, reach.excluded)
    assert ["cold" in words for words in phone.texts] == [True]


def test_lead_farmers_and_high_plots_come_first(room: AlertRoom) -> None:
    """Whoever passes a warning on is texted first, then the heights, where a cold night comes first."""
    low = room.farmer("Neema", district="Shumbeka")
    high = room.farmer("Juma", district="Ndaliro")
    lead = room.farmer("Tatu", district="Shumbeka", lead=True)
    boss = room.officer(role=Role.ADMINISTRATOR)

    alert = room.send(boss, "Shumbeka", "Ndaliro")

    turns = room.village.rows(
        "SELECT phone_id FROM alert_recipient WHERE alert_id = :id ORDER BY turn", id=alert.id
    )
    leaves = room.village.rows(
        "SELECT phone_id FROM message WHERE alert_id = :id ORDER BY not_before, id", id=alert.id
    )
    wanted = [room.phone_id(phone) for phone in (lead, high, low)]
    assert wanted == [row["phone_id"] for row in turns] == [row["phone_id"] for row in leaves]


@pytest.mark.parametrize(
    ("audience", "reached"),
    [
        ({}, {"Neema", "Juma", "Tatu"}),
        ({"languages": frozenset({"sw"})}, {"Juma"}),
        ({"metres_from": 2000}, {"Tatu"}),
        ({"metres_below": 2000}, {"Neema", "Juma"}),
        ({"age_from": 60, "age_below": 100}, {"Neema"}),
    ],
    ids=["all", "language", "heights", "lowlands", "stage"],
)
def test_an_audience_is_narrowed(room: AlertRoom, audience: dict[str, object], reached: set[str]) -> None:
    """Language, height of the plot and stage of the plants each leave out who is not meant."""
    phones = {
        name: room.farmer(name, language=language) for name, language in (("Juma", "sw"), ("Tatu", "en"))
    }
    phones["Neema"] = room.village.phone()
    phones["Neema"].joins(name="Neema", days_ago=70)
    tatu = room.village.row("SELECT id FROM farmer WHERE name = 'Tatu'")["id"]
    district = "UPDATE farmer SET district_id = 3 WHERE id = :id"
    with room.village.database.engine.begin() as connection:
        connection.execute(text(district), {"id": tatu})
    boss = room.officer(role=Role.ADMINISTRATOR)

    alert = room.send(boss, "Ketumali", "Ndaliro", audience=audience)

    rows = room.village.rows("SELECT phone_id FROM message WHERE alert_id = :id", id=alert.id)
    assert {room.phone_id(phones[name]) for name in reached} == {row["phone_id"] for row in rows}


def test_nobody_warns_a_district_of_another(room: AlertRoom) -> None:
    """An alert to a district that is not the officer's cannot be written, and one there cannot be seen or stopped."""
    room.farmer("Neema", district="Ndaliro")
    theirs, stranger = room.officer("Ndaliro"), room.officer("Ketumali")
    alert = room.send(theirs, "Ndaliro")

    with pytest.raises(OutOfReach):
        room.draft(stranger, room.order("Ndaliro"))
    with pytest.raises(OutOfReach):
        room.draft(stranger, room.order("Ketumali", "Ndaliro"))
    for deed in (room.confirm, room.approve, room.pause, room.resume, room.call_off):
        with pytest.raises((OutOfReach, Refused)):
            deed(stranger, alert)
    with room.village.database.look() as work:
        assert () == work.alerts.lines(stranger.districts, 9)
        assert [alert.id] == [line.id for line in work.alerts.lines(theirs.districts, 9)]


def test_a_form_sent_twice_makes_one_alert(room: AlertRoom) -> None:
    """Both clicks find the same draft; both confirmations find the same alert; each phone gets one text."""
    neema = room.farmer("Neema")
    mlima = room.officer("Ketumali")
    order = room.order("Ketumali")

    first, second = room.draft(mlima, order), room.draft(mlima, order)
    room.confirm(mlima, first)
    room.confirm(mlima, second)
    room.village.clock.advance(timedelta(minutes=2))
    room.tick()
    room.tick()
    room.village.work_through()
    room.village.work_through()

    assert first.id == second.id
    assert 1 == len(neema.texts)
    assert [{"texts": 1}] == room.village.rows(
        "SELECT count(*) AS texts FROM message WHERE alert_id IS NOT NULL"
    )


class LookedTooSoon(Alerts):
    """The alerts as the slower of two clicks sees them: it looked before the other one's was there."""

    _looked = False

    def by_key(self, idem_key: str) -> Alert | None:
        """See nothing the first time."""
        seen = super().by_key(idem_key) if self._looked else None
        self._looked = True
        return seen


def test_two_clicks_at_once_make_one_alert(room: AlertRoom) -> None:
    """Whoever comes second gets the draft that the first has made."""
    mlima = room.officer("Ketumali")
    order = room.order("Ketumali")
    first = room.draft(mlima, order)

    with room.village.database.work() as work:
        work.alerts = LookedTooSoon(work._connection)
        second = drafting.draft(work, room.village.tools, mlima, order, room.now)

    assert first == second
    assert [{"id": first.id}] == room.village.rows("SELECT id FROM alert")


def test_an_alert_can_be_called_off_until_it_leaves(room: AlertRoom) -> None:
    """Within the waiting time nothing leaves; called off in it, nothing ever does."""
    neema = room.farmer("Neema")
    mlima = room.officer("Ketumali")
    alert = room.confirm(mlima, room.draft(mlima, room.order("Ketumali")))
    room.village.clock.advance(timedelta(seconds=119))
    room.village.work_through()
    waiting = room.count(alert).waiting

    called_off = room.call_off(mlima, alert)
    room.village.clock.advance(timedelta(minutes=5))
    room.village.work_through()

    assert (1, AlertState.CALLED_OFF, 1) == (waiting, called_off.state, room.count(alert).cancelled)
    assert [] == neema.texts


def test_it_leaves_at_its_hour(room: AlertRoom) -> None:
    """One scheduled for the afternoon waits for it."""
    neema = room.farmer("Neema")
    mlima = room.officer("Ketumali")
    at = room.now + timedelta(hours=5)
    room.send(mlima, "Ketumali", send_at=at)
    room.village.pass_hours(4)
    early = list(neema.texts)
    room.village.pass_hours(1)

    assert ([], 1) == (early, len(neema.texts))


def test_what_is_of_no_more_use_is_never_sent(room: AlertRoom) -> None:
    """A sender that was down until after the useless-after hour sends nothing; it is counted as failed."""
    neema = room.farmer("Neema")
    mlima = room.officer("Ketumali")
    alert = room.send(mlima, "Ketumali", useless_after=room.now + timedelta(hours=1))

    room.village.clock.advance(timedelta(hours=1))
    room.village.work_through()
    room.village.work_through()

    counted = room.count(alert)
    assert ([], 1, 0) == (neema.texts, counted.failed, counted.waiting)
    assert AlertState.DONE is room.kept(alert).state


def test_one_that_never_began_expires(room: AlertRoom) -> None:
    """The worker was down all the while: the alert expires and says so, and no text is made."""
    room.farmer("Neema")
    mlima = room.officer("Ketumali")
    alert = room.confirm(
        mlima, room.draft(mlima, room.order("Ketumali", useless_after=room.now + timedelta(hours=1)))
    )

    room.village.clock.advance(timedelta(hours=2))
    room.village.work_through()

    assert (AlertState.EXPIRED, 1) == (room.kept(alert).state, room.count(alert).failed)
    assert [] == room.village.rows("SELECT id FROM message WHERE alert_id IS NOT NULL")


def test_own_words_wait_for_the_morning_and_urgent_ones_do_not(room: AlertRoom) -> None:
    """In quiet hours an ordinary alert is held until seven; a pre-approved warning is not."""
    room.village.clock.advance(timedelta(hours=11))  # nine in the evening
    neema = room.farmer("Neema")
    salim = room.farmer("Salim", district="Ndaliro")
    boss = room.officer(role=Role.ADMINISTRATOR)
    day = room.now + timedelta(hours=20)
    room.send(boss, "Ketumali", words={"en": "The meeting is on Friday."}, useless_after=day)
    room.send(boss, "Ndaliro")
    room.village.work_through()
    at_night = (len(neema.texts), len(salim.texts))
    room.village.pass_hours(11)

    assert ((0, 1), 1) == (at_night, len(neema.texts))


def test_one_urgent_alert_a_day(room: AlertRoom) -> None:
    """Whoever was warned today is not warned again today; the second alert says so of them."""
    neema = room.farmer("Neema")
    mlima = room.officer("Ketumali")
    room.send(mlima, "Ketumali")
    room.village.work_through()

    second = room.preview(room.draft(mlima, room.order("Ketumali", template="rain", figure=60))).reach
    with pytest.raises(Refused, match="nobody"):
        room.send(mlima, "Ketumali", template="hail", figure=60)

    assert (0, {"one_a_day": 1}) == (second.phones, second.excluded)
    assert 1 == len(neema.texts)


def test_an_alert_that_waits_holds_back_the_next(room: AlertRoom) -> None:
    """Still in its waiting time, it counts already; called off in it, it does not count any more."""
    neema = room.farmer("Neema")
    mlima = room.officer("Ketumali")
    first = room.confirm(mlima, room.draft(mlima, room.order("Ketumali")))
    second = room.draft(mlima, room.order("Ketumali", template="rain", figure=60))
    with pytest.raises(Refused, match=r"reach nobody\. 1 get another alert that day"):
        room.confirm(mlima, second)
    held = room.preview(second)
    room.call_off(mlima, first)
    room.confirm(mlima, second)
    room.village.clock.advance(timedelta(minutes=2))
    room.village.work_through()

    assert [(first.id, 1, 1)] == [(one.alert.id, one.phones, one.waiting) for one in held.earlier]
    assert ["much rain" in words for words in neema.texts] == [True]


def test_an_alert_taken_over_on_another_day_makes_no_second_text(room: AlertRoom) -> None:
    """What was free when it was confirmed is looked at again when its recipients become messages."""
    neema = room.farmer("Neema")
    mlima, tulia = room.officer("Ketumali"), room.officer("Ketumali")
    tomorrow = room.now + timedelta(days=1)
    week = room.now + timedelta(days=6)
    first = room.confirm(
        mlima, room.draft(mlima, room.order("Ketumali", send_at=tomorrow, useless_after=week))
    )
    with room.village.database.engine.begin() as connection:
        connection.execute(text("UPDATE alert SET state = 'parked' WHERE id = :id"), {"id": first.id})
    room.village.clock.advance(timedelta(days=2))
    second = room.send(tulia, "Ketumali", template="rain", figure=60)
    room.take_over(tulia, first)
    room.village.clock.advance(timedelta(minutes=2))
    room.village.work_through()

    assert ["much rain" in words for words in neema.texts] == [True]
    assert (1, {"one_a_day": 1}) == (room.count(second).sent, room.count(first).excluded)


def test_stop_holds_after_the_alert_was_confirmed(room: AlertRoom) -> None:
    """A farmer who stops in the waiting time gets no text; the alert counts them as failed, not as sent."""
    neema = room.village.phone()
    neema.joins(name="Neema")
    mlima = room.officer("Ketumali")
    alert = room.confirm(mlima, room.draft(mlima, room.order("Ketumali")))
    neema.says("STOP")
    before = len(neema.texts)
    room.village.clock.advance(timedelta(minutes=2))
    room.village.work_through()

    counted = room.count(alert)
    assert before == len(neema.texts)
    assert (1, 0, 1) == (counted.audience, counted.sent, summed(counted))


def test_whoever_takes_no_alerts_any_more_gets_none(room: AlertRoom) -> None:
    """Alerts that wait for a phone are called off with the farmer's word."""
    neema = room.farmer("Neema")
    mlima = room.officer("Ketumali")
    alert = room.send(mlima, "Ketumali")
    with room.village.database.work() as work:
        work.alerts.withdraw(room.phone_id(neema), room.now)
        work.commit()
    room.village.work_through()

    assert ([], 1) == (neema.texts, room.count(alert).cancelled)


def test_a_pause_holds_what_has_not_left(room: AlertRoom) -> None:
    """Paused, nothing more leaves; resumed, the rest does; both may be said twice."""
    neema = room.farmer("Neema")
    mlima = room.officer("Ketumali")
    alert = room.send(mlima, "Ketumali")
    room.pause(mlima, alert)
    room.pause(mlima, alert)
    room.village.work_through()
    held = (len(neema.texts), room.count(alert).waiting)
    room.resume(mlima, alert)
    room.resume(mlima, alert)
    room.village.work_through()

    assert ((0, 1), 1) == (held, len(neema.texts))


def test_a_cancelled_alert_cannot_be_resumed(room: AlertRoom) -> None:
    """Called off is an end; calling off twice is as calling off once."""
    room.farmer("Neema")
    mlima = room.officer("Ketumali")
    alert = room.send(mlima, "Ketumali")
    room.call_off(mlima, alert)
    room.call_off(mlima, alert)

    with pytest.raises(IllegalMove, match="called off and cannot be resumed"):
        room.resume(mlima, alert)


def _many(room: AlertRoom, count: int) -> None:
    for number in range(count):
        room.farmer(f"Neema {number}")


def test_own_words_to_many_need_a_second_person(room: AlertRoom) -> None:
    """Above the threshold nothing leaves before somebody else who may approve has read the very texts."""
    room.village.tools = room.tools_with(second_person_above=2)
    _many(room, 3)
    writer = room.officer("Ketumali", role=Role.APPROVER)
    helper, second = room.officer("Ketumali"), room.officer("Ketumali", role=Role.APPROVER)
    alert = room.send(writer, "Ketumali", words={"en": "The meeting is on Friday."})
    waits = (alert.state, room.count(alert).waiting)

    with pytest.raises(Refused, match="wrote it yourself"):
        room.approve(writer, alert)
    with pytest.raises(Refused, match="role"):
        room.approve(helper, alert)
    approved = room.approve(second, alert)
    room.village.clock.advance(timedelta(minutes=2))
    room.village.work_through()

    assert (AlertState.WAITING_APPROVAL, 3) == waits
    assert (AlertState.SCHEDULED, second.id) == (approved.state, approved.approved_by)
    assert 3 == room.count(alert).sent


def test_approving_twice_is_approving_once(room: AlertRoom) -> None:
    """A second click begins no new undo window, and the record holds one deed."""
    room.village.tools = room.tools_with(second_person_above=2)
    _many(room, 3)
    writer, second = room.officer("Ketumali"), room.officer("Ketumali", role=Role.APPROVER)
    alert = room.send(writer, "Ketumali", words={"en": "The meeting is on Friday."})
    first = room.approve(second, alert)
    room.village.clock.advance(timedelta(minutes=1))

    assert first == room.approve(second, alert)
    assert [{"deeds": 1}] == room.village.rows(
        "SELECT count(*) AS deeds FROM audit WHERE action = 'alert.approve'"
    )


def test_a_template_to_many_needs_nobody_else(room: AlertRoom) -> None:
    """Its words are approved once for all."""
    room.village.tools = room.tools_with(second_person_above=2)
    _many(room, 3)

    alert = room.send(room.officer("Ketumali"), "Ketumali")

    assert AlertState.SENDING is alert.state


def test_what_was_agreed_to_is_what_is_sent(room: AlertRoom) -> None:
    """A text changed behind the alert's back is sent to nobody, and the alert says why."""
    neema = room.farmer("Neema")
    mlima = room.officer("Ketumali")
    alert = room.confirm(mlima, room.draft(mlima, room.order("Ketumali")))
    with room.village.database.engine.begin() as connection:
        connection.execute(update(alert_text).values(text="Send money to this number."))

    room.village.clock.advance(timedelta(minutes=2))
    room.village.work_through()

    kept = room.kept(alert)
    assert ([], AlertState.CALLED_OFF) == (neema.texts, kept.state)
    assert "its text was changed after it was agreed to" == kept.why


def test_an_alert_called_off_under_a_tick_is_left_alone(room: AlertRoom) -> None:
    """A tick that found it running and comes to it too late does nothing, also where there is none of that number."""
    room.farmer("Neema")
    mlima = room.officer("Ketumali")
    alert = room.confirm(mlima, room.draft(mlima, room.order("Ketumali")))
    room.call_off(mlima, alert)
    room.village.clock.advance(timedelta(minutes=2))

    with room.village.database.work() as work:
        steps = [advance(work, room.village.tools, one, room.now) for one in (alert.id, alert.id + 1)]

    assert [Step(), Step()] == steps
    assert AlertState.CALLED_OFF is room.kept(alert).state
    assert [] == room.village.rows("SELECT id FROM message WHERE alert_id IS NOT NULL")


def test_what_goes_already_is_not_written_anew(room: AlertRoom) -> None:
    """Another order for an alert that was confirmed is refused, and its words stay."""
    room.farmer("Neema")
    mlima = room.officer("Ketumali")
    alert = room.confirm(mlima, room.draft(mlima, room.order("Ketumali")))

    with pytest.raises(Refused, match="Only a draft can be changed"):
        room.redraft(mlima, alert, room.order("Ketumali", figure=-4))

    assert alert.digest == room.kept(alert).digest


def test_a_draft_left_lying_is_not_sent_when_its_time_has_passed(room: AlertRoom) -> None:
    """Whoever confirms it then is told to write it anew, and nobody is texted."""
    room.farmer("Neema")
    mlima = room.officer("Ketumali")
    alert = room.draft(mlima, room.order("Ketumali"))
    room.village.clock.advance(timedelta(hours=8))

    with pytest.raises(Refused, match="Its time has passed"):
        room.confirm(mlima, alert)

    assert AlertState.DRAFT is room.kept(alert).state


def test_nobody_confirms_other_words_than_they_read(room: AlertRoom) -> None:
    """A draft changed in another window has another digest: the old page's button is refused."""
    room.farmer("Neema")
    mlima = room.officer("Ketumali")
    shown = room.draft(mlima, room.order("Ketumali"))
    room.redraft(mlima, shown, room.order("Ketumali", figure=-4))

    with pytest.raises(Refused, match="not the ones you were shown"):
        room.confirm(mlima, shown)


@pytest.mark.parametrize(
    ("given", "sentence"),
    [
        ({"words": {"en": "Mix 30 ml of soap in water."}}, "may not say"),
        ({"words": {"sw": "Choma matairi usiku."}}, "may not say"),
        ({"words": {"sw": "Nyunyiza Karatox kesho asubuhi"}}, "may not say “nyunyiza”"),
        ({"words": {"en": "Bring 20 kg to Berizoli."}}, "may not say"),
        ({"words": {"en": " "}}, "at least one language"),
        ({"words": {"en": "word " * 140}}, "shorten it"),
        ({"figure": 40}, "cannot be the lowest temperature"),
        ({"template": "flood"}, "no template"),
        ({"on": None}, "needs its day and its figure"),
        ({"figure": None}, "needs its day and its figure"),
        ({"useless_after": timedelta(minutes=-1)}, "must lie after"),
        ({"useless_after": timedelta(days=7, minutes=1)}, "seven days at most"),
        ({"useless_after": timedelta(days=31), "send_at": timedelta(days=30, minutes=1)}, "thirty days"),
    ],
    ids=[
        "a dose",
        "fire",
        "spraying in Swahili",
        "a name nobody bears",
        "no words",
        "too long",
        "no frost",
        "no template",
        "no day",
        "no figure",
        "over before it began",
        "of use too long",
        "too far ahead",
    ],
)
def test_what_is_refused_is_told_in_a_sentence(
    room: AlertRoom, given: dict[str, object], sentence: str
) -> None:
    """The officer reads why, and nothing is kept."""
    room.farmer("Neema")
    mlima = room.officer("Ketumali")
    hours = {name: room.now + value for name, value in given.items() if isinstance(value, timedelta)}
    given = {**given, **hours}

    with pytest.raises(Refused, match=sentence):
        room.draft(mlima, room.order("Ketumali", **given))

    assert [] == room.village.rows("SELECT id FROM alert")


def test_a_farmer_or_a_place_beside_an_amount_is_no_product(room: AlertRoom) -> None:
    """A name that somebody bears, first or last, or a district has, may stand beside a weight."""
    room.farmer("Neema Kiwelu")
    mlima = room.officer("Ketumali")

    draft = room.draft(
        mlima, room.order("Ketumali", words={"en": "Bring 20 kg to Neema or Kiwelu in Ketumali."})
    )

    assert ["en"] == [text.language for text in draft.texts]


def test_every_reader_gets_a_text_in_their_language(room: AlertRoom) -> None:
    """Own words in one language are not sent to those who read the other; before and after they are counted."""
    neema = room.farmer("Neema")
    juma = room.farmer("Juma", language="sw")
    mlima = room.officer("Ketumali")
    draft = room.draft(mlima, room.order("Ketumali", words={"en": "The meeting is on Friday."}))

    preview = room.preview(draft)
    alert = room.confirm(mlima, draft)
    room.village.clock.advance(timedelta(minutes=2))
    room.village.work_through()

    assert ({"sw": 1}, 1, 2) == (preview.missing, preview.reach.phones, preview.reach.audience)
    assert (1, []) == (len(neema.texts), juma.texts)
    assert ({"no_words": 1}, 1) == (room.count(alert).excluded, room.count(alert).sent)


def test_words_that_nobody_reads_are_not_sent(room: AlertRoom) -> None:
    """All read another language: the alert is refused with what to do, and stays a draft."""
    room.farmer("Juma", language="sw")
    mlima = room.officer("Ketumali")
    draft = room.draft(mlima, room.order("Ketumali", words={"en": "The meeting is on Friday."}))

    with pytest.raises(Refused, match=r"nobody.*Write the text in the language they read"):
        room.confirm(mlima, draft)

    assert AlertState.DRAFT is room.kept(draft).state


def test_answers_are_counted_and_listed(room: AlertRoom) -> None:
    """The last answer of a phone counts; who needs help is named."""
    phones = [room.farmer(name) for name in ("Neema", "Juma", "Tatu")]
    alert = room.send(room.officer("Ketumali"), "Ketumali")
    room.village.work_through()
    with room.village.database.work() as work:
        for phone, answer in zip(phones, ("understood", "need_help", "need_help"), strict=True):
            work.alerts.answer(alert.id, room.phone_id(phone), answer, room.now)
        work.alerts.answer(alert.id, room.phone_id(phones[1]), "understood", room.now)
        work.commit()

    with room.village.database.look() as work:
        needing = work.alerts.answered(alert.id, Answer.NEED_HELP, 9)

    assert {"understood": 2, "need_help": 1} == room.count(alert).answers
    assert ["Tatu"] == [one.name for one in needing]


def test_an_alerts_answer_is_not_taken_for_a_jobs_number(room: AlertRoom) -> None:
    """The jobs of the week wait two hours behind an alert: a 2 asks for help, it does not finish the second job."""
    neema = room.village.phone()
    neema.joins()
    alert = room.send(room.officer("Ketumali"), "Ketumali")
    room.village.work_through()
    Postroom(room.village).put(phone_id=room.phone_id(neema), text="Neema, this week: 1 Weeds 2 Water.")
    room.village.work_through()
    last = neema.last
    neema.says("2")

    assert "Reply 1 covered 2 need help" in last
    assert {Answer.NEED_HELP: 1} == room.count(alert).answers
    room.village.pass_hours(2)
    assert "Neema, this week: 1 Weeds 2 Water." == neema.last


def test_the_record_holds_what_officers_did(room: AlertRoom) -> None:
    """Confirming, pausing, resuming and calling off each leave a row, with the digest of the texts."""
    room.farmer("Neema")
    mlima = room.officer("Ketumali")
    alert = room.send(mlima, "Ketumali")
    room.pause(mlima, alert)
    room.resume(mlima, alert)
    room.call_off(mlima, alert)

    rows = room.village.rows("SELECT action, officer_id, subject FROM audit ORDER BY id")
    wanted = ["alert.confirm", "alert.pause", "alert.resume", "alert.call_off"]
    assert [(action, mlima.id, f"alert:{alert.id}") for action in wanted] == [
        (row["action"], row["officer_id"], row["subject"]) for row in rows
    ]
