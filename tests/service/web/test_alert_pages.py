"""The pages of alerts and of texts in doubt, opened through Flask's test client."""

import re
from datetime import UTC, datetime, timedelta

import pytest
from sqlalchemy import update
from werkzeug.test import TestResponse

from scheduler.alerting import advance_alerts
from service.core.rights import Role
from service.db.tables import people
from service.db.tables.outbox import message
from service.use_cases.officers import disable_officer
from tests.stand_in_house import NOW, Planter, StandInHouse
from tests.web_desk import Desk


@pytest.fixture
def filled(planter: Planter) -> Planter:
    """Two farmers in Ndaliro, who read Swahili, and one in Ketumali."""
    planter.farmer("Asha Mwarobi")
    planter.farmer("Baraka Lusinde")
    planter.farmer("Neema Jumai", district="Ketumali")
    return planter


def frost(planter: Planter, **given: str) -> dict[str, str]:
    """Return what the form of a frost warning to Ndaliro sends."""
    return {
        "key": "form-1",
        "template": "frost",
        "district": str(planter.districts["Ndaliro"]),
        "on": "2026-11-25",
        "figure": "-1",
        "useless_after": "2026-11-25T18:00",
        "do": "keep",
        **given,
    }


def own(planter: Planter, words: str, **given: str) -> dict[str, str]:
    """Return what the form of own words in Swahili to Ndaliro sends."""
    return frost(planter, template="", words_sw=words, asks="yes", **given)


def draft(desk: Desk, form: dict[str, str]) -> str:
    """Send a form that is in order; return the path of the alert."""
    answer = desk.send("/alerts/new", **form)
    assert 303 == answer.status_code, answer.text
    return str(answer.headers["Location"])


def press(desk: Desk, path: str, decision: str) -> TestResponse:
    """Press a button of an alert's page."""
    digest = re.search(r'name="digest" value="(\w+)"', desk.text(path))
    return desk.send(f"{path}/{decision}", digest=digest[1] if digest else "")


def sign_in_as(desk: Desk, name: str, role: Role, *districts: int) -> None:
    """Let another officer sit down at the desk."""
    desk.sign_in(name, role=role, districts=frozenset(districts))


def tick(house: StandInHouse, **time: float) -> None:
    """Let time pass and alerts move on."""
    house.service_clock.advance(timedelta(**time))
    advance_alerts(house.database, house.tools, house.service_clock.now())


def test_from_the_form_to_the_report(desk: Desk, filled: Planter) -> None:
    """The draft says whom it reaches and what it costs; sent, the page counts; each step has its button."""
    form = desk.text("/alerts/new?template=frost")
    path = draft(desk, frost(filled))
    shown = desk.text(path)
    sent = press(desk, path, "confirm")
    scheduled = desk.text(path)
    tick(desk.house, minutes=3)
    sending = desk.text(path)

    assert "Lowest temperature in °C" in form
    assert ", -1 C. Funika" in shown
    assert "Send at 07:00 to 2 phones" in shown
    assert "2 parts" in shown
    assert 303 == sent.status_code
    assert "Call it off" in scheduled
    assert "Being sent" in sending
    assert "Pause" in sending


def test_a_form_sent_twice_leads_to_one_alert(desk: Desk, filled: Planter) -> None:
    """Both clicks lead to the same page, and so do both confirmations."""
    first, second = draft(desk, frost(filled)), draft(desk, frost(filled))
    answers = [press(desk, first, "confirm").status_code, press(desk, first, "confirm").status_code]

    assert first == second
    assert [303, 303] == answers
    assert 1 == desk.text("/alerts").count(first)


def test_the_form_counts_without_a_script(desk: Desk, filled: Planter) -> None:
    """The button shows parts and the character that doubles the cost, and keeps nothing."""
    page = desk.send("/alerts/new", **{**own(filled, "Mkutano ni Ijumaa – saa 4."), "do": "measure"}).text

    assert "makes every part hold 70 characters instead of 160" in page
    assert "Write - instead of –" in page
    assert "Mkutano ni Ijumaa" in page
    assert 'href="/alerts/' not in page.partition("<main")[2].replace("/alerts/new", "")


def test_the_script_gets_only_the_counter(desk: Desk, filled: Planter) -> None:
    """While one types, only the measured part is fetched."""
    part = desk.send("/alerts/measure", **own(filled, "Mkutano ni Ijumaa.")).text

    assert "1 part, " in part
    assert "<html" not in part


@pytest.mark.parametrize(
    ("given", "sentence"),
    [
        ({"district": ""}, "Choose at least one district."),
        ({"figure": "40"}, "cannot be the lowest temperature"),
        ({"figure": "cold"}, "whole number"),
        ({"on": "soon"}, "no date"),
        ({"useless_after": "2026-11-24T18:00"}, "must lie after the hour of sending"),
        ({"useless_after": "later"}, "cannot be read"),
        ({"template": "", "words_sw": "Changanya dawa 30 ml kwa lita."}, "may not say"),
        ({"template": "", "words_en": "Use Berizoli, two caps per bucket."}, "may not say “two caps”"),
    ],
    ids=["no district", "no frost", "no figure", "no day", "over", "no hour", "a dose", "a dose in words"],
)
def test_a_slip_is_told_on_the_form(
    desk: Desk, filled: Planter, given: dict[str, str], sentence: str
) -> None:
    """The form comes back as it was typed, with one sentence on what to mend."""
    answer = desk.send("/alerts/new", **frost(filled, **given))

    assert 400 == answer.status_code
    assert sentence in answer.text
    assert "No alert was written here yet." in desk.text("/alerts")


def test_another_officers_district_is_not_there(desk: Desk, filled: Planter) -> None:
    """Pages, buttons and drafts of another district answer as those of an alert that never was."""
    path = draft(desk, frost(filled))
    press(desk, path, "confirm")
    sign_in_as(desk, "Officer Tulia", Role.OFFICER, filled.districts["Ketumali"])

    pages = [desk.get(f"{path}{part}").status_code for part in ("", "/edit", "/progress")]
    buttons = [
        desk.send(f"{path}/{word}").status_code for word in ("confirm", "pause", "resume", "call_off", "edit")
    ]
    likes = desk.get(f"/alerts/new?like={path.rpartition('/')[2]}").status_code
    written = desk.send("/alerts/new", **frost(filled, key="form-2")).status_code

    assert {404} == {*pages, likes, written, *buttons[:-1]}
    assert path not in desk.text("/alerts")
    assert "Ndaliro" not in desk.text("/alerts/new")


def test_a_second_person_approves(desk: Desk, filled: Planter) -> None:
    """Who wrote own words to many has no button to approve them; who may, has one."""
    many = own(filled, "Mkutano ni Ijumaa.")
    desk.house.settle_alerts(second_person_above=1)
    path = draft(desk, many)
    asked = desk.text(path)
    press(desk, path, "confirm")
    alone = desk.text(path)
    sign_in_as(desk, "Officer Tulia", Role.ADMINISTRATOR)
    second = desk.text(path)
    press(desk, path, "approve")

    assert "Ask a second person" in asked
    assert "Approve it" not in alone
    assert "Approve it" in second
    assert "approved by Officer Tulia" in desk.text(path)


def test_a_parked_alert_says_why_and_is_taken_over(desk: Desk, filled: Planter) -> None:
    """It stands in the list with whose it was; another officer of the district presses one button."""
    ndaliro = filled.districts["Ndaliro"]
    sign_in_as(desk, "Officer Rehema", Role.OFFICER, ndaliro)
    path = draft(desk, frost(filled, send_at="2026-11-25T12:00"))
    press(desk, path, "confirm")
    with desk.house.database.work() as work:
        disable_officer(work, "Officer Rehema", now=desk.house.real_clock.now())
    shut_out = desk.get("/alerts").status_code
    sign_in_as(desk, "Officer Juma", Role.OFFICER, ndaliro)
    listed, shown = desk.text("/alerts"), desk.text(path)
    answer = press(desk, path, "take_over")

    assert 303 == shut_out
    assert "parked: its officer Officer Rehema is disabled" in listed
    assert "it does not leave before somebody takes it over" in shown
    assert 303 == answer.status_code
    assert "taken over from Officer Rehema" in desk.text(path)
    assert "By Officer Juma" in desk.text(path)


def test_what_comes_too_late_is_refused_with_a_sentence(desk: Desk, filled: Planter) -> None:
    """A button of an old page says where the alert stands now."""
    path = draft(desk, frost(filled))
    press(desk, path, "confirm")
    press(desk, path, "call_off")

    answer = press(desk, path, "pause")

    assert 400 == answer.status_code
    assert "is called off and cannot be paused any more" in answer.text


def test_a_draft_is_changed(desk: Desk, filled: Planter) -> None:
    """The form of a draft is filled as it was; sent again it makes no second alert."""
    path = draft(desk, frost(filled))
    form = desk.text(f"{path}/edit")
    desk.send(f"{path}/edit", **frost(filled, figure="-4"))

    assert 'value="-1"' in form
    assert ", -4 C. Funika" in desk.text(path)


def field(page: str, name: str) -> str:
    """Return what stands in a field of a form."""
    found = re.search(rf'name="{name}"[^>]* value="([^"]*)"', page)
    assert found, name
    return found[1]


@pytest.mark.parametrize(
    ("given", "until"),
    [
        ({"on": "2026-11-28"}, "2026-11-29T07:00"),
        ({"send_at": "2026-11-27T10:00"}, "2026-11-28T07:00"),
        ({"on": "2026-11-28", "send_at": "2026-11-27T10:00"}, "2026-11-29T07:00"),
        ({"send_at": "2026-11-26T01:00"}, "2026-11-26T07:00"),
        ({"on": "2026-11-28", "useless_after": "2026-11-26T12:00"}, "2026-11-26T12:00"),
        ({"on": "soon"}, "2026-11-26T07:00"),
    ],
    ids=["another night", "sent later", "both", "sent after midnight", "changed by hand", "no day"],
)
def test_the_end_of_use_moves_with_the_day(
    desk: Desk, filled: Planter, given: dict[str, str], until: str
) -> None:
    """Without a script too: what the officer has not touched goes with the day, what they typed stays."""
    form = desk.text("/alerts/new?template=frost")
    was = {name: field(form, name) for name in ("was_day", "was_useless_after")}
    untouched = {"useless_after": field(form, "useless_after")}
    page = desk.send(
        "/alerts/new", **{**frost(filled, **was, **{**untouched, **given}), "do": "measure"}
    ).text

    assert {"was_day": "2026-11-25", "was_useless_after": "2026-11-26T07:00"} == was
    assert until == field(page, "useless_after")


def test_the_form_says_which_night_it_warns_of(desk: Desk, filled: Planter) -> None:
    """A night has two weekdays; hail and rain fall on one."""
    night = desk.send("/alerts/new", **{**frost(filled, on="2026-11-28"), "do": "measure"}).text
    hail = desk.send("/alerts/new", **{**frost(filled, template="hail", figure="30"), "do": "measure"}).text

    assert "data-night>night of Sat 28 to Sun 29 Nov<" in night
    assert "data-spoken>Wednesday 25 November 2026<" in hail


@pytest.mark.parametrize(
    ("later", "night", "until"),
    [
        (timedelta(hours=10), "night of Wed 25 to Thu 26 Nov", "2026-11-26T07:00"),
        (timedelta(hours=17), "night of Wed 25 to Thu 26 Nov", "2026-11-26T07:00"),
        (timedelta(hours=20), "night of Wed 25 to Thu 26 Nov", "2026-11-26T07:00"),
        (timedelta(hours=25), "night of Thu 26 to Fri 27 Nov", "2026-11-27T07:00"),
        (timedelta(days=5), "night of Mon 30 to Tue 1 Dec", "2026-12-01T07:00"),
    ],
    ids=["16:41", "23:41", "02:41", "07:41", "over the month"],
)
def test_tonight_is_tonight_until_the_morning(
    later: timedelta, night: str, until: str, desk: Desk, filled: Planter
) -> None:
    """In the evening and after midnight the form means the night that is at hand, and it can be sent at once."""
    desk.house.service_clock.advance(later)
    page = desk.text("/alerts/new?template=frost")
    fields = {name: field(page, name) for name in ("on", "useless_after", "was_day", "was_useless_after")}
    kept = desk.send("/alerts/new", **frost(filled, **fields))

    assert night in page
    assert until == fields["useless_after"]
    assert 303 == kept.status_code


def test_after_sunset_the_page_counts_on_no_evening(desk: Desk, filled: Planter) -> None:
    """The draft of the morning says so at eight in the evening; the press that would send it shows the other text."""
    path = draft(desk, frost(filled, useless_after="2026-11-26T07:00"))
    before = desk.text(path)
    desk.house.service_clock.advance(timedelta(hours=13, minutes=30))
    late = desk.text(path)
    (digest,) = set(re.findall(r'name="digest" value="(\w+)"', late))
    pressed = desk.send(f"{path}/confirm", digest=digest)

    assert re.search(r"are texted before the sun sets at 18:\d\d", before)
    assert "Too little daylight is left for a text that says to cover by sunset, which is at 18:" in late
    assert "Write it for now</button>" in late
    assert re.search(
        r"<strong class=\"berry\">0</strong> of \d are texted before 20:00, when many sleep", late
    )
    assert "cannot be reached before that" in late
    assert 400 == pressed.status_code
    assert "It now says to cover at once" in pressed.text
    assert "Cover plants now: sacks, dry grass, but risk nothing." in pressed.text
    assert "Write it for now" not in pressed.text


def test_a_copy_has_no_hour_that_has_passed(desk: Desk, filled: Planter) -> None:
    """Three days later one like it is sent at once and speaks of today; one still to come keeps its hours."""
    order = frost(filled, send_at="2026-11-25T12:00")
    path = draft(desk, order)
    like = f"/alerts/new?like={path.rpartition('/')[2]}"
    names = ("send_at", "on", "useless_after", "figure")
    before = [field(desk.text(like), name) for name in names]
    desk.house.service_clock.advance(timedelta(days=3))
    after = [field(desk.text(like), name) for name in names]

    assert ["2026-11-25T12:00", "2026-11-25", "2026-11-25T18:00", "-1"] == before
    assert ["", "2026-11-28", "2026-11-29T07:00", "-1"] == after


def test_markup_in_words_stays_words(desk: Desk, filled: Planter) -> None:
    """What an officer types is never markup."""
    path = draft(desk, own(filled, "<script>alert(1)</script> {secret}"))

    page = desk.text(path)

    assert "&lt;script&gt;alert(1)&lt;/script&gt; {secret}" in page
    assert "<script>alert" not in page


def test_texts_in_doubt_are_listed_with_what_can_be_done(desk: Desk, filled: Planter) -> None:
    """One is sent again, one is left; both leave the list of what waits, and only the first is due."""
    farmer_id, phone = filled.farmer("Tatu Hamisi")
    again = filled.text_out(
        phone, "Habari ya kwanza.", ago=timedelta(hours=1), farmer_id=farmer_id, state="in_doubt"
    )
    left = filled.text_out(
        phone, "Habari ya pili.", ago=timedelta(hours=1), farmer_id=farmer_id, state="in_doubt"
    )
    listed = desk.text("/doubts")
    desk.send(f"/doubts/{again[0]}/{again[1]}", do="again")
    desk.send(f"/doubts/{left[0]}/{left[1]}", do="leave")
    after = desk.text("/doubts")

    assert "Habari ya kwanza." in listed
    assert "Habari ya pili." in listed
    assert "Habari ya kwanza." not in after
    assert "Left as they are: 1" in after
    assert 404 == desk.send(f"/doubts/{again[0]}/{again[1]}", do="again").status_code


def test_a_text_in_doubt_past_its_time_cannot_be_sent_again(desk: Desk, filled: Planter) -> None:
    """Its button is gone, and whoever presses it on an old page is told why."""
    farmer_id, phone = filled.farmer("Tatu Hamisi")
    key = filled.text_out(phone, "Habari.", ago=timedelta(hours=50), farmer_id=farmer_id, state="in_doubt")

    answer = desk.send(f"/doubts/{key[0]}/{key[1]}", do="again")

    assert "Its time has passed" in desk.text("/doubts")
    assert 400 == answer.status_code


def test_a_text_in_doubt_of_an_alert_called_off_is_not_sent_again(desk: Desk, filled: Planter) -> None:
    """It would never leave: the page does not offer it, and says so to whoever asks from an old page."""
    path = draft(desk, frost(filled))
    farmer_id, phone = filled.farmer("Tatu Hamisi")
    key = filled.text_out(phone, "Baridi.", ago=timedelta(hours=1), farmer_id=farmer_id, state="in_doubt")
    with desk.house.database.engine.begin() as connection:
        connection.execute(
            update(message).where(message.c.id == key[1]).values(alert_id=int(path.rpartition("/")[2]))
        )
    offered = "Send it again" in desk.text("/doubts")
    press(desk, path, "call_off")
    answer = desk.send(f"/doubts/{key[0]}/{key[1]}", do="again")
    page = desk.text("/doubts")

    assert offered
    assert 400 == answer.status_code
    assert "Its alert was called off or has expired: write a new one." in answer.text
    assert "Send it again" not in page
    assert "so it is not sent again" in page


def test_the_script_tells_that_the_buttons_are_of_before(desk: Desk, filled: Planter) -> None:
    """A page that was opened before an alert began leads to the buttons of now."""
    path = draft(desk, frost(filled))
    press(desk, path, "confirm")

    assert "Show what can be done now" not in desk.text(f"{path}/state?was=scheduled")
    assert "Show what can be done now" in desk.text(f"{path}/state?was=draft")


def stands(desk: Desk) -> list[str]:
    """Return how the alerts of the list stand and from when they were sent, the newest first."""
    rows = desk.text("/alerts").partition("<tbody>")[2].split("<tr>")[1:]
    cells = [re.findall(r"<td[^>]*>(.*)</td>", row) for row in rows]
    return [f"{state}; {'no hour' if 'not sent' in sent else 'an hour'}" for _, state, sent, _ in cells]


def test_the_list_says_when_nothing_was_sent(desk: Desk, filled: Planter) -> None:
    """Thrown away, called off before it left, or past its time: each says so; one that left does not."""
    thrown, in_time, too_late, left = (
        draft(desk, frost(filled, key=f"form-{number}", on=day, useless_after=f"{day}T18:00"))
        for number, day in enumerate(("2026-11-25", "2026-11-26", "2026-11-25", "2026-11-25"))
    )
    press(desk, thrown, "call_off")
    press(desk, left, "confirm")
    tick(desk.house, minutes=3)
    with desk.house.database.engine.begin() as connection:
        connection.execute(update(message).values(state="delivered"))
    press(desk, left, "call_off")
    press(desk, in_time, "confirm")
    press(desk, in_time, "call_off")
    tick(desk.house, hours=15)

    assert [
        "called off; an hour",
        "past its time: nothing was sent; no hour",
        "called off: nothing was sent; no hour",
        "called off: nothing was sent; no hour",
    ] == stands(desk)
    assert "it is past its time, and nothing was sent" in desk.text(f"{too_late}/reached")
    lapsed = " ".join(re.sub(r"<[^>]+>", "", desk.text(too_late)).split())
    assert "Past its time since Wed 25 Nov 18:00: it was never confirmed, and nobody was texted." in lapsed
    assert "Its phones were never counted" in lapsed
    assert "Phones of the audience" not in lapsed


def test_a_draft_that_comes_too_late_for_all_is_not_offered(desk: Desk, filled: Planter) -> None:
    """An ordinary alert at night that is of no use before the morning: no button, and what to do."""
    desk.house.service_clock.advance(timedelta(hours=14))
    late = own(filled, "Mkutano ni leo.", on="2026-11-25", useless_after="2026-11-26T06:30")
    path = draft(desk, late)
    page = desk.text(path)

    assert "It would reach nobody in time" in page
    assert "It cannot be sent as it stands: see below." in page
    assert not re.search("Send (to|at|now)", page)


def test_a_draft_that_reaches_nobody_says_so(desk: Desk, filled: Planter) -> None:
    """Where everybody is left out there is no button to send it, but a sentence."""
    page = desk.text(draft(desk, frost(filled, district=str(filled.districts["Shumbeka"]))))

    assert "It cannot be sent as it stands: see below." in page
    assert "It would reach nobody. No farmer with a phone fits: choose a larger audience." in page
    assert "/confirm" not in page


def test_a_second_warning_says_who_had_the_first_and_is_sent_anyway(desk: Desk, filled: Planter) -> None:
    """Named with its hour, with a link; no button but the one that asks for the reason, which the report shows."""
    hail = draft(desk, frost(filled, template="hail", figure="30"))
    press(desk, hail, "confirm")
    tick(desk.house, minutes=3)
    path = draft(desk, frost(filled, key="form-2"))
    shown = desk.text(path)
    without = press(desk, path, "confirm")
    digest = re.search(r'name="digest" value="(\w+)"', shown)
    desk.send(f"{path}/confirm", digest=digest[1] if digest else "", anyway="Sky cleared")

    said = " ".join(re.sub("<[^>]+>", "", shown).split())
    assert "2 of 2 phones will get “Hail” from 06:44 today." in said
    assert f'<a href="{hail}">' in shown
    assert "As it stands it reaches nobody: see below." in said
    assert "Send anyway to 2 phones" in said
    assert not re.search("Send (to|at|now)", said)
    assert (400, True) == (without.status_code, "Send it anyway, with a reason, on its page" in without.text)
    assert "because: Sky cleared." in desk.text(path)


def test_a_second_alert_of_own_words_has_no_way_past_the_first(desk: Desk, filled: Planter) -> None:
    """The page says why there is no button, and that tomorrow there is one."""
    press(desk, draft(desk, frost(filled)), "confirm")
    tick(desk.house, minutes=3)
    page = desk.text(draft(desk, own(filled, "Mkutano ni Ijumaa.", key="form-2")))

    assert "2 get another alert that day. Send it tomorrow" in page
    assert "/confirm" not in page


def test_phones_without_words_are_counted_before_it_is_sent(desk: Desk, filled: Planter) -> None:
    """Written in Swahili only, it says how many phones will not get it, and still goes to the others."""
    filled.farmer("Peter Juma", language="en")
    path = draft(desk, own(filled, "Mkutano ni Ijumaa."))
    page = desk.text(path)

    assert "1 phone will not get it: there are no words in English." in page
    assert "Send to 2 phones" in page
    assert 303 == press(desk, path, "confirm").status_code


def test_doubts_of_another_district_are_not_there(desk: Desk, filled: Planter) -> None:
    """They are neither listed nor settled; those of strangers are for who has all districts."""
    farmer_id, phone = filled.farmer("Tatu Hamisi")
    key = filled.text_out(phone, "Habari.", ago=timedelta(hours=1), farmer_id=farmer_id, state="in_doubt")
    filled.text_out(filled.phone(), "Who is this?", ago=timedelta(hours=1), state="in_doubt")
    everything = desk.text("/doubts")
    sign_in_as(desk, "Officer Tulia", Role.OFFICER, filled.districts["Ketumali"])

    assert "Who is this?" in everything
    assert "None waits for a person." in desk.text("/doubts")
    assert 404 == desk.send(f"/doubts/{key[0]}/{key[1]}", do="leave").status_code


def test_whom_it_reached_is_listed_by_name(desk: Desk, filled: Planter) -> None:
    """By name, those with a text first, each with where it stands; no full number, and no one who moved elsewhere."""
    filled.farmer("Abel Pendo", alerts=False)
    gone, _ = filled.farmer("Zuberi Mbali")
    path = draft(desk, frost(filled))
    unsent = desk.text(f"{path}/reached")
    press(desk, path, "confirm")
    tick(desk.house, minutes=3)
    with desk.house.database.engine.begin() as connection:
        moved = update(people.farmer).where(people.farmer.c.id == gone)
        connection.execute(moved.values(district_id=filled.districts["Ketumali"]))
    everywhere = desk.text(f"{path}/reached")
    sign_in_as(desk, "Officer Tulia", Role.OFFICER, filled.districts["Ndaliro"])
    page = desk.text(f"{path}/reached")

    assert f'href="{path}/reached"' in desk.text(path)
    assert "Nobody yet" in unsent
    assert "Zuberi Mbali" in everywhere
    assert ["Asha Mwarobi", "Baraka Lusinde", "Abel Pendo"] == re.findall(
        r'href="/farmers/\d+">([^<]+)', page
    )
    assert "left out: take no alerts" in page
    assert "waits to be sent 06:44" in page
    assert "62123" not in page


def test_beyond_the_last_page_of_names_is_a_way_back(desk: Desk, filled: Planter) -> None:
    """An address typed by hand, or kept from a longer list, is no dead end."""
    path = draft(desk, frost(filled))
    press(desk, path, "confirm")
    beyond = desk.text(f"{path}/reached?page=2")

    assert "page 1 of 1" in desk.text(f"{path}/reached?page=x")
    assert "back to the first" in beyond


def test_villages_and_groups_narrow_an_alert(desk: Desk, filled: Planter) -> None:
    """The form offers those of the officer's districts."""
    village = desk.house.put(people.village, district_id=filled.districts["Ndaliro"], name="Mbuyuni")
    group = desk.house.put(people.farmer_group, district_id=filled.districts["Ndaliro"], name="Upendo")
    desk.house.put(
        people.farmer,
        name="Salim",
        language="sw",
        district_id=filled.districts["Ndaliro"],
        state="active",
        added_at=NOW,
        village_id=village,
        group_id=group,
    )

    form = desk.text("/alerts/new")
    path = draft(desk, frost(filled, village=str(village), group=str(group)))

    assert "Mbuyuni" in form
    assert "Upendo" in form
    assert "Without a phone for texts: 1 farmer of" in desk.text(path)


def test_the_list_tells_alerts_apart(desk: Desk, filled: Planter) -> None:
    """Of a cold night its figure, of own words the first of them."""
    draft(desk, frost(filled, figure="-3"))
    draft(desk, own(filled, "Mkutano ni Ijumaa saa nne asubuhi shuleni, njooni wote pamoja.", key="form-2"))
    page = desk.text("/alerts")

    assert "-3 (lowest temperature in °C)" in page
    assert "Mkutano ni Ijumaa saa nne asubuhi shuleni, …" in page


def test_in_the_night_the_first_button_waits_for_the_morning(desk: Desk, filled: Planter) -> None:
    """Of a cold evening 18 hours off nobody needs to be woken; who wants to sees how many phones it wakes."""
    desk.house.service_clock.set(datetime(2026, 11, 25, 21, 48, tzinfo=UTC))
    night = frost(filled, on="2026-11-26", useless_after="2026-11-27T07:00")
    path = draft(desk, night)
    shown = desk.text(path)
    digest = re.search(r'name="digest" value="(\w+)"', shown)
    desk.send(f"{path}/confirm", digest=digest[1] if digest else "", in_the_morning="yes")
    waits = desk.text(path)
    elsewhere = str(filled.districts["Ketumali"])
    awake = draft(desk, {**night, "key": "form-2", "district": elsewhere})
    press(desk, awake, "confirm")
    at_once = desk.text(awake)

    assert re.search(
        r"in_the_morning.*?Send at 07:00 to 2 phones</button>.*Send now, in the night: wakes 2 phones</button>",
        shown,
        re.DOTALL,
    )
    assert "leaves Thu 26 Nov from 07:00" in waits
    assert "leaves Thu 26 Nov from 00:50" in at_once


def test_whom_a_draft_would_text_is_listed_by_name(desk: Desk, filled: Planter) -> None:
    """By name, before anything is sent: nobody of another district, who has stopped, or who reads another language."""
    filled.farmer("Zawadi Mtoro", state="stopped")
    swahili = draft(desk, own(filled, "Mkutano ni Ijumaa saa nne."))
    shown = desk.text(swahili)
    listed = shown.partition("<summary>By name</summary>")[2].partition("</details>")[0]
    nobody = desk.text(draft(desk, own(filled, "", key="form-2", words_en="The meeting is on Friday.")))

    assert ["Asha Mwarobi", "Baraka Lusinde"] == re.findall(r'<a href="/farmers/\d+">([^<]+)</a>', listed)
    assert "<summary>By name</summary>" not in nobody
