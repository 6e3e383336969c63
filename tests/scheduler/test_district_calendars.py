"""Districts with days of their own: who is planned by them, and that nothing is sent twice when they come or go."""

from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from scheduler.receiver import Receiver
from scheduler.versions import let_districts_have_their_own
from service.agronomy.calendar import DEFAULT_CALENDAR, Calendar, CalendarError, load_calendar, load_for_place
from service.core.errors import Refused
from service.core.rights import Role
from service.use_cases.changing_farmers import change_farmer, person_word
from service.use_cases.officers import add_officer
from service.use_cases.tools import place_word
from tests.village import Phone, Village

OWN_DAYS = """
version = 1

[tasks.flowers_off]
last = 90
source = "common practice, no source"

[tasks.flowers_stay]
first = 91
source = "common practice, no source"
"""
STAY = "leave the flowers on"


@pytest.fixture
def own(tmp_path: Path) -> Calendar:
    """The days of Ketumali, where flowers stay on a month sooner."""
    file = tmp_path / "Ketumali.toml"
    file.write_text(OWN_DAYS, encoding="utf-8")
    return load_for_place(file, DEFAULT_CALENDAR, place_word("Ketumali"))


def put_in_force(village: Village, calendars: dict[str, Calendar]) -> int:
    """Go on with these districts' calendars, as after a restart of the service; return how many plots changed."""
    village.tools = replace(village.tools, in_places=calendars)
    village.receiver = Receiver(village.database, village.tools, village.gateway, village.clock)
    return let_districts_have_their_own(village.database, village.tools)


def joins(village: Village, district: str, days_ago: int, name: str = "Neema") -> Phone:
    """Let a farmer of a district join who planted so long ago."""
    phone = village.phone()
    planted = village.today - timedelta(days=days_ago)
    phone.says(f"JOIN {name} 400 {planted:%d/%m/%Y} {district}")
    phone.says("YES")
    return phone


def stays(phone: Phone) -> int:
    """Return how often a farmer was told to leave the flowers on."""
    return sum(STAY in words for words in phone.texts)


def test_each_district_has_its_own_days(village: Village, own: Calendar) -> None:
    """Two farmers planted on one day: one is told to leave the flowers on a month before the other."""
    put_in_force(village, {"ketumali": own})
    here, there = joins(village, "Ketumali", 85), joins(village, "Zaruvi", 85)
    village.pass_days(12)
    early = stays(here), stays(there)
    village.pass_days(30)

    assert (1, 0) == (min(early[0], 1), early[1])
    assert stays(here) == early[0]
    assert stays(there) >= 1


def test_days_that_come_later_repeat_nothing(village: Village, own: Calendar) -> None:
    """Plots in the ground go on with the new days; the list of today is not sent a second time."""
    here, there = joins(village, "Ketumali", 60), joins(village, "Zaruvi", 60)
    village.pass_days(7)
    texts = len(here.texts)
    moved = put_in_force(village, {"ketumali": own})
    village.pass_hours(2)

    assert 1 == moved
    assert texts == len(here.texts)
    village.pass_days(30)
    assert (True, False) == (stays(here) > 0, stays(there) > 0)


def test_days_that_are_taken_away_tell_nobody_twice(village: Village, own: Calendar) -> None:
    """Told under the district's days that flowers stay, nobody is told under the programme's to take them off."""
    put_in_force(village, {"ketumali": own})
    here = joins(village, "Ketumali", 85)
    village.pass_days(10)
    told = stays(here)
    assert told
    assert 1 == put_in_force(village, {})
    before = len(here.texts)
    village.pass_days(45)

    assert told == stays(here)
    assert not any("Flowers off" in words or "take off all flowers" in words for words in here.texts[before:])


def test_a_phone_that_two_districts_share_has_both(village: Village, own: Calendar) -> None:
    """Each of the two farmers has the days of their district, and the phone no more texts than others."""
    put_in_force(village, {"ketumali": own})
    phone = joins(village, "Ketumali", 85)
    planted = village.today - timedelta(days=85)
    phone.says(f"JOIN Zawadi 300 {planted:%d/%m/%Y} Zaruvi")
    phone.says("YES")
    village.pass_days(14)
    told = [words for words in phone.texts if STAY in words]
    days = village.rows(
        "SELECT queued_on, count(*) AS n FROM message WHERE kind = 'reminder' GROUP BY queued_on"
    )

    assert told
    assert all(words.startswith("Neema") for words in told)
    assert {1} == {row["n"] for row in days[1:]}


def test_who_moves_has_the_days_of_the_new_district(village: Village, own: Calendar) -> None:
    """An officer changes a farmer's district; what was told already is not told again."""
    put_in_force(village, {"ketumali": own})
    phone = joins(village, "Zaruvi", 85)
    with village.database.work() as work:
        officer = add_officer(
            work, name="Mlima", code="x" * 26, now=village.clock.now(), role=Role.ADMINISTRATOR
        )
    with village.database.work() as work:
        (farmer,) = village.rows("SELECT id FROM farmer")
        assert isinstance(farmer["id"], int)
        standing = work.changing.standing(farmer["id"])
        assert standing is not None
        ketumali = next(one.id for one in work.people.districts() if one.name == "Ketumali")
        change_farmer(
            work,
            village.tools,
            officer,
            farmer["id"],
            replace(standing.person, district_id=ketumali),
            seen=person_word(standing.person),
            real_now=village.clock.now(),
        )
    village.pass_days(12)

    assert [{"calendar_id": own.id}] == village.rows("SELECT calendar_id FROM plot")
    assert stays(phone) >= 1


def test_a_file_for_no_district_is_refused(village: Village, own: Calendar) -> None:
    """A slip in a file's name would else leave a district with the programme's days, unnoticed."""
    with pytest.raises(Refused, match="has a file for ketumaly, and there is no such district"):
        put_in_force(village, {"ketumaly": own})


def test_its_edition_rises_with_either_file(tmp_path: Path, own: Calendar) -> None:
    """What a database was planned with is told apart whichever file was changed."""
    programme, place = tmp_path / "programme.toml", tmp_path / "Ketumali.toml"
    programme.write_text(OWN_DAYS.replace("version = 1", "version = 4"), encoding="utf-8")
    both = load_for_place(place, programme, "ketumali")

    assert f"{load_calendar().id}-ketumali" == own.id == both.id
    assert (1, 5) == (own.changes, both.changes)


def test_a_whole_calendar_is_none_of_a_district(tmp_path: Path) -> None:
    """The file of a district says what differs, so that the rest follows the programme's."""
    with pytest.raises(CalendarError, match="leave out id and the list of jobs"):
        load_for_place(DEFAULT_CALENDAR, DEFAULT_CALENDAR, "ketumali")


@pytest.mark.parametrize(
    ("name", "word"), [("Ndaliro", "ndaliro"), ("Upper  Field", "upper--field"), ("Zaruví", "zaruvi")]
)
def test_a_district_has_one_word(name: str, word: str) -> None:
    """Capitals and accents in a file's name do not matter."""
    assert word == place_word(name)
