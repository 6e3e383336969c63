"""An officer adds a farmer: what the farmer's phone gets, and what their answer does."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from service.core.errors import Refused
from service.core.phone import read_number
from service.core.rights import Role
from service.core.staff import Officer
from service.use_cases.audit import check_chain
from service.use_cases.officers import add_officer
from service.use_cases.pending import forget_silent
from service.use_cases.registering import (
    NewFarmer,
    NumberKnown,
    Registered,
    Way,
    invite_again,
    register,
)
from tests.village import Phone, Village

INVITED = "may Zaruvi Berry Programme text you free strawberry advice"


@pytest.fixture
def officer(village: Village) -> Officer:
    """Grace, whose district is Ndaliro."""
    with village.database.work() as work:
        add_officer(work, name="Boss", code="X", now=village.clock.now())
    with village.database.work() as work:
        theirs = frozenset(one.id for one in work.people.districts() if one.name == "Ndaliro")
        return add_officer(
            work,
            name="Grace",
            code="Y",
            now=village.clock.now(),
            role=Role.OFFICER,
            districts=theirs,
        )


def neema(village: Village, officer: Officer, phone: Phone) -> NewFarmer:
    """Return whom Grace adds."""
    assert officer.districts
    (district,) = officer.districts
    return NewFarmer(
        number=read_number(phone.number, "TZ"),
        name="Neema Lusinde",
        language="en",
        district_id=district,
        plants=400,
        planted_on=village.today - timedelta(days=60),
    )


def adds(village: Village, officer: Officer, new: NewFarmer, *, paper: bool = False) -> Registered:
    """Let an officer add a farmer, and the worker do what follows."""
    now = village.clock.now()
    with village.database.work() as work:
        done = register(work, village.tools, officer, new, paper_allowed=paper, now=now, real_now=now)
    village.work_through()
    return done


def pass_days(village: Village, days: int) -> None:
    """Let days pass with all that the worker does in them."""
    for _ in range(days):
        village.pass_days(1)
        for deed in (invite_again, forget_silent):
            with village.database.work() as work:
                deed(work, village.tools, village.clock.now())
        village.work_through()


def consents(village: Village) -> list[tuple[object, ...]]:
    """Return what evidence there is, in order."""
    rows = village.rows("SELECT answer, way, text_id, officer_id FROM consent ORDER BY id")
    return [tuple(row.values()) for row in rows]


def test_farmer_is_asked_once_and_says_yes(village: Village, officer: Officer) -> None:
    """One text asks; a yes a week later still counts; then reminders come, and the evidence names the officer."""
    phone = village.phone()
    added = adds(village, officer, neema(village, officer, phone))
    asked = phone.texts
    state = village.row("SELECT state, added_by FROM farmer WHERE id = :id", id=added.farmer_id)
    pass_days(village, 6)
    between = phone.texts[len(asked) :]
    answer = phone.says("1")

    assert 1 == len(asked)
    assert "Hello Neema" in asked[0]
    assert INVITED in asked[0]
    assert {"state": "pending", "added_by": officer.id} == state
    assert [] == between
    assert "Welcome Neema, your 400 plants" in answer
    assert [("asked", "sms", "welcome_consent", officer.id), ("yes", "sms", None, None)] == consents(village)
    village.pass_days(8)
    assert any("Neema" in text for text in phone.texts[len(asked) + 1 :])


def test_silence_is_asked_once_more_and_then_forgotten(village: Village, officer: Officer) -> None:
    """After a week one more text asks; a week after that nothing is left but the evidence."""
    phone = village.phone()
    added = adds(village, officer, neema(village, officer, phone))
    counts = []
    for _ in range(16):
        pass_days(village, 1)
        counts.append(len(phone.texts))
    left = village.row("SELECT name, sought, state FROM farmer WHERE id = :id", id=added.farmer_id)

    assert [1] * 6 == counts[:6]
    assert [2] * 8 == counts[8:]
    assert all(INVITED in text for text in phone.texts)
    assert {"name": "", "sought": "", "state": "erased"} == left
    assert [] == village.rows("SELECT id FROM plot WHERE farmer_id = :id", id=added.farmer_id)
    assert ["asked", "asked", "silent"] == [row[0] for row in consents(village)]


@pytest.mark.parametrize("words", ["2", "NO", "STOP", "acha"])
def test_no_forgets_at_once(words: str, village: Village, officer: Officer) -> None:
    """A no or a stop erases what the officer noted, and no second text asks."""
    phone = village.phone()
    adds(village, officer, neema(village, officer, phone))
    phone.says(words)
    texts = len(phone.texts)
    pass_days(village, 10)

    assert [{"name": ""}] == village.rows("SELECT name FROM farmer")
    assert texts == len(phone.texts)


def test_invitation_waits_for_the_morning(village: Village, officer: Officer) -> None:
    """A farmer added in the evening is not asked at night."""
    phone = village.phone()
    village.clock.advance(timedelta(hours=11))
    adds(village, officer, neema(village, officer, phone))
    at_night = list(phone.texts)
    village.pass_hours(11)

    assert [] == at_night
    assert 1 == len(phone.texts)


def test_paper_needs_no_answer(village: Village, officer: Officer) -> None:
    """With a signed paper the first text says what was agreed and how to end it, and jobs follow."""
    phone = village.phone()
    new = replace(neema(village, officer, phone), way=Way.PAPER)
    with pytest.raises(Refused, match="takes no consent on paper"):
        adds(village, officer, new)
    added = adds(village, officer, new, paper=True)
    first = phone.last
    village.pass_days(8)

    assert "as agreed Zaruvi Berry Programme texts you" in first
    assert "STOP ends it" in first
    assert [("yes", "paper", None, officer.id)] == consents(village)
    assert {"state": "active"} == village.row("SELECT state FROM farmer WHERE id = :id", id=added.farmer_id)
    assert len(phone.texts) > 1


def test_same_number_and_name_is_told(village: Village, officer: Officer) -> None:
    """A known number is stopped at; the same farmer cannot be added twice, another one on the same phone can."""
    phone = village.phone()
    new = neema(village, officer, phone)
    first = adds(village, officer, new)
    texts = len(phone.texts)
    with pytest.raises(NumberKnown, match="That number is known already"):
        adds(village, officer, replace(new, name="Juma"))
    with pytest.raises(Refused, match="Neema lusinde is registered with this number already"):
        adds(village, officer, replace(new, name=" Neema  lusinde ", sharing=True))
    unasked = len(phone.texts) - texts
    second = adds(village, officer, replace(new, name="Juma", sharing=True))

    assert 0 == unasked

    assert (0, 1) == (first.sharing, second.sharing)
    roles = village.rows("SELECT role FROM farmer_phone ORDER BY farmer_id")
    assert ["own", "shared"] == [row["role"] for row in roles]


def test_answers_on_a_shared_phone_stay_with_who_gave_them(village: Village, officer: Officer) -> None:
    """The yes of one who was added on a phone in use, and each weight, stand under whose they are and no other's."""
    phone = village.phone()
    phone.joins(name="Asha", days_ago=200)
    phone.says("harvest 3")
    added = adds(village, officer, replace(neema(village, officer, phone), name="Juma", sharing=True))
    for words in ("1", "harvest 4 Asha", "harvest 5 Juma"):
        phone.says(words)
    with village.database.look() as work:
        sight = work.console.within(None)
        farmers = village.rows("SELECT id, name FROM farmer ORDER BY id")
        talks = {str(one["name"]): sight.farmer(int(str(one["id"]))) for one in farmers}
        said = {name: [line.text for line in talk.talk(50)] for name, talk in talks.items() if talk}

    assert added.farmer_id in [one["id"] for one in farmers]
    assert {"harvest 3", "harvest 4 Asha"} == {text for text in said["Asha"] if "harvest" in text}
    assert ["harvest 5 Juma", "1"] == [text for text in said["Juma"] if text in ("1", "harvest 5 Juma")]
    assert not any("Asha" in text or "kg 3" in text for text in said["Juma"])


def test_stopped_number_is_left_alone(village: Village, officer: Officer) -> None:
    """Whoever has said STOP is not brought back by an officer."""
    phone = village.phone()
    phone.joins(name="Asha")
    phone.says("STOP")
    texts = len(phone.texts)
    with pytest.raises(Refused, match="has said STOP"):
        adds(village, officer, replace(neema(village, officer, phone), sharing=True))

    assert texts == len(phone.texts)


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"name": " 12 "}, "Write the farmer's name"),
        ({"name": "N" * 41}, "at most 40 letters"),
        ({"language": "fr"}, "Choose the language"),
        ({"plants": 0}, "from 1 to 100,000"),
        ({"plants": 100_001}, "from 1 to 100,000"),
        ({"planted_on": date(2023, 11, 25)}, "within the last three years"),
        ({"planted_on": date(2027, 5, 28)}, "the next six months"),
        ({"district_id": 1}, "one of your own districts"),
        ({"district_id": 99}, "one of your own districts"),
        ({"village_id": 1}, "a village and a group of Ndaliro"),
        ({"group_id": 99}, "a village and a group of Ndaliro"),
    ],
    ids=lambda value: str(value)[:24],
)
def test_what_does_not_fit_is_told(
    change: dict[str, object], sentence: str, village: Village, officer: Officer
) -> None:
    """Each slip is told in its own sentence, and nothing is kept or sent."""
    phone = village.phone()
    with village.database.work() as work:
        work.places.add_village(1, "Elsewhere")
        work.commit()
    with pytest.raises(Refused, match=sentence):
        adds(village, officer, replace(neema(village, officer, phone), **change))  # type: ignore[arg-type]

    assert [] == village.rows("SELECT id FROM farmer")
    assert [] == phone.texts


def test_deed_stands_in_the_record(village: Village, officer: Officer) -> None:
    """Who added whom, where and how can be read later; no number stands there."""
    phone = village.phone()
    added = adds(village, officer, neema(village, officer, phone))
    with village.database.look() as work:
        (row, name), *_ = work.audit.newest(1)
        checked = check_chain(work.audit)

    assert ("Grace", "farmer.added", f"farmer:{added.farmer_id}") == (name, row.action, row.subject)
    assert {"district", "way", "plants", "planted_on"} == set(row.detail)
    assert checked.wrong is None
