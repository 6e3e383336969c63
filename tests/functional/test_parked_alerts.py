"""Stories of alerts whose officer is disabled, moved or demoted before they begin: parked, and taken over or not."""

from datetime import timedelta

import pytest
from sqlalchemy import update

from service.core.alert_states import AlertState, IllegalMove
from service.core.alerts import Alert
from service.core.errors import Refused
from service.core.rights import Role
from service.core.staff import Officer
from service.db.tables.staff import officer as officers
from service.use_cases.alerts.drafting import OutOfReach
from service.use_cases.officers import change_officer, disable_officer
from tests.alert_room import DISTRICT_IDS, AlertRoom
from tests.village import Phone, Village


@pytest.fixture
def room(village: Village) -> AlertRoom:
    """An officer's desk."""
    return AlertRoom(village)


@pytest.fixture
def neema(room: AlertRoom) -> Phone:
    """The only farmer of Ketumali."""
    return room.farmer("Neema")


@pytest.fixture
def mlima(room: AlertRoom) -> Officer:
    """An officer for two districts."""
    return room.officer("Ketumali", "Zaruvi")


@pytest.fixture
def scheduled(room: AlertRoom, neema: Phone, mlima: Officer) -> Alert:
    """A warning of theirs to Ketumali for three hours from now."""
    assert neema.number
    order = room.order("Ketumali", send_at=room.now + timedelta(hours=3))
    return room.confirm(mlima, room.draft(mlima, order))


def disable(room: AlertRoom, who: Officer) -> None:
    """Shut an officer out."""
    with room.village.database.work() as work:
        disable_officer(work, f"{who.name} {who.id}", now=room.now)


def change(room: AlertRoom, who: Officer, *districts: str, role: Role | None = None) -> None:
    """Give an officer exactly these districts, or a role."""
    theirs = frozenset(DISTRICT_IDS[one] for one in districts) if districts else None
    with room.village.database.work() as work:
        change_officer(work, f"{who.name} {who.id}", now=room.now, districts=theirs, role=role)


def pass_hours(room: AlertRoom, hours: float) -> None:
    """Let time pass, with all that a worker does."""
    room.village.clock.advance(timedelta(hours=hours))
    room.village.work_through()


def test_a_disabled_officers_alert_is_parked_at_once(
    room: AlertRoom, neema: Phone, mlima: Officer, scheduled: Alert
) -> None:
    """Not when its hour comes but in the moment its officer is shut out; left alone, it runs out unsent."""
    room.officer(role=Role.ADMINISTRATOR)
    disable(room, mlima)
    parked = room.kept(scheduled)
    pass_hours(room, 4)
    waits = (room.kept(scheduled).state, neema.texts)
    pass_hours(room, 8)

    assert (AlertState.PARKED, f"its officer Asha Mlima {mlima.id} is disabled") == (parked.state, parked.why)
    assert (AlertState.PARKED, []) == waits
    assert (AlertState.EXPIRED, [], 1) == (
        room.kept(scheduled).state,
        neema.texts,
        room.count(scheduled).failed,
    )


def test_a_lost_district_parks_and_another_one_does_not(
    room: AlertRoom, mlima: Officer, scheduled: Alert
) -> None:
    """Only what an officer may send no more is parked."""
    room.officer(role=Role.ADMINISTRATOR)
    change(room, mlima, "Ketumali")
    kept = room.kept(scheduled).state
    change(room, mlima, "Zaruvi")
    parked = room.kept(scheduled)

    assert AlertState.SCHEDULED is kept
    assert (
        AlertState.PARKED,
        f"its officer Asha Mlima {mlima.id} has not all of its districts any more",
    ) == (
        parked.state,
        parked.why,
    )


def test_what_is_on_its_way_goes_on(room: AlertRoom, neema: Phone, mlima: Officer) -> None:
    """An alert that has begun is not stopped halfway: half a district warned is worse than all of it."""
    room.officer(role=Role.ADMINISTRATOR)
    sending = room.send(mlima, "Ketumali")
    disable(room, mlima)
    pass_hours(room, 0.1)

    assert (AlertState.SENDING, 1) == (room.kept(sending).state, len(neema.texts))


def test_another_officer_takes_it_over(
    room: AlertRoom, neema: Phone, mlima: Officer, scheduled: Alert
) -> None:
    """It goes at its hour, in their name, its words and recipients as they were; a second click changes nothing."""
    room.officer(role=Role.ADMINISTRATOR)
    helper = room.officer("Ketumali", name="Rehema")
    disable(room, mlima)
    room.farmer("Came later")
    taken = room.take_over(helper, scheduled)
    again = room.take_over(helper, scheduled)
    early = len(neema.texts)
    pass_hours(room, 4)

    assert (AlertState.SCHEDULED, helper.id, f"taken over from Asha Mlima {mlima.id}") == (
        taken.state,
        taken.officer_id,
        taken.why,
    )
    assert taken == again
    assert scheduled.digest == taken.digest
    assert (0, 1) == (early, len(neema.texts))
    assert 1 == room.count(scheduled).audience


def test_a_late_take_over_still_can_be_called_off(
    room: AlertRoom, neema: Phone, mlima: Officer, scheduled: Alert
) -> None:
    """When its hour has passed it leaves after a fresh waiting time, and not before."""
    room.officer(role=Role.ADMINISTRATOR)
    helper = room.officer("Ketumali")
    disable(room, mlima)
    pass_hours(room, 4)
    room.take_over(helper, scheduled)
    room.village.work_through()
    before = len(neema.texts)
    pass_hours(room, 0.1)

    assert (0, 1) == (before, len(neema.texts))


def test_who_may_not_take_it_over(room: AlertRoom, mlima: Officer, scheduled: Alert) -> None:
    """Nobody from elsewhere, nobody who read other words, nobody too late, and nobody what is not parked."""
    boss = room.officer(role=Role.ADMINISTRATOR)
    stranger, helper = room.officer("Zaruvi"), room.officer("Ketumali")
    with pytest.raises(IllegalMove, match="cannot be taken over"):
        room.take_over(helper, scheduled)
    disable(room, mlima)

    with pytest.raises(OutOfReach):
        room.take_over(stranger, scheduled)
    with pytest.raises(Refused, match="not the ones you were shown"):
        room.take_over(helper, scheduled, digest="other words")
    room.village.clock.advance(timedelta(hours=12))
    with pytest.raises(Refused, match="Its time has passed"):
        room.take_over(boss, scheduled)


def test_another_officer_calls_it_off(
    room: AlertRoom, neema: Phone, mlima: Officer, scheduled: Alert
) -> None:
    """A parked alert can be called off by whoever has its districts."""
    room.officer(role=Role.ADMINISTRATOR)
    disable(room, mlima)
    room.call_off(room.officer("Ketumali"), scheduled)
    pass_hours(room, 4)

    assert (AlertState.CALLED_OFF, 1, []) == (
        room.kept(scheduled).state,
        room.count(scheduled).cancelled,
        neema.texts,
    )


@pytest.mark.parametrize("gone", ["writer", "second person disabled", "second person demoted"])
def test_own_words_to_many_need_a_second_person_anew(room: AlertRoom, gone: str) -> None:
    """Whoever takes own words over is their writer: somebody else has to approve them, be it the one of before."""
    room.village.tools = room.tools_with(second_person_above=1)
    phones = [room.farmer(f"Neema {number}") for number in range(2)]
    room.officer(role=Role.ADMINISTRATOR)
    writer, second, third, helper = (
        room.officer("Ketumali", role=role)
        for role in (Role.OFFICER, Role.APPROVER, Role.APPROVER, Role.OFFICER)
    )
    words = {"en": "The meeting is on Friday."}
    order = room.order("Ketumali", words=words, send_at=room.now + timedelta(hours=3))
    alert = room.approve(second, room.confirm(writer, room.draft(writer, order)))
    if gone == "second person demoted":
        change(room, second, role=Role.OFFICER)
    else:
        disable(room, writer if gone == "writer" else second)
    parked = room.kept(alert)
    taken = room.take_over(helper, alert)
    with pytest.raises(Refused, match="role"):
        room.approve(helper, alert)
    room.approve(third, alert)
    pass_hours(room, 4)

    assert AlertState.PARKED is parked.state
    assert (parked.why or "").startswith("its officer" if gone == "writer" else "its second person")
    assert (AlertState.WAITING_APPROVAL, None) == (taken.state, taken.approved_by)
    assert [1, 1] == [len(phone.texts) for phone in phones]


def test_it_is_looked_at_once_more_as_it_begins(
    room: AlertRoom, neema: Phone, mlima: Officer, scheduled: Alert
) -> None:
    """Whatever way a right was taken, even past the commands, nothing begins that nobody stands for."""
    with room.village.database.engine.begin() as connection:
        connection.execute(update(officers).where(officers.c.id == mlima.id).values(disabled_at=room.now))
    pass_hours(room, 4)

    assert (AlertState.PARKED, []) == (room.kept(scheduled).state, neema.texts)


def test_the_record_says_who_parked_and_who_took_over(
    room: AlertRoom, mlima: Officer, scheduled: Alert
) -> None:
    """Both stand in the record beside the disabling itself."""
    room.officer(role=Role.ADMINISTRATOR)
    disable(room, mlima)
    helper = room.officer("Ketumali")
    room.take_over(helper, scheduled)
    rows = room.village.rows("SELECT action, officer_id FROM audit WHERE id > 1 ORDER BY id")

    assert [("officer.disabled", None), ("alert.park", None), ("alert.take_over", helper.id)] == [
        (row["action"], row["officer_id"]) for row in rows
    ]
