"""Stories of an officer's phone: counts, a farmer invited, a warning sent after a yes; and of phones that are none."""

from itertools import count

import pytest
from sqlalchemy import update

from flows.effects import SendAlert
from flows.inputs import Total
from flows.orders import Counts, Warn
from service.core.errors import Refused
from service.core.model import Inbound
from service.core.phone import read_number
from service.core.rights import Role
from service.db.tables.staff import officer as staff_officer
from service.use_cases.by_phone import desk_of
from service.use_cases.carrying import Carrying
from service.use_cases.officers import change_officer, disable_officer
from service.use_cases.officers import give_phone as bind_phone
from tests.alert_room import AlertRoom
from tests.village import ZONE, Phone, Village


@pytest.fixture
def officer(village: Village) -> Phone:
    """The phone of an officer for Ketumali."""
    return give_phone(village, "Ketumali")


def give_phone(village: Village, *districts: str, role: Role = Role.OFFICER) -> Phone:
    """Return a phone that speaks for an officer with these districts."""
    one = AlertRoom(village).officer(*districts, role=role)
    phone = village.phone()
    with village.database.work() as work:
        phone_id = work.people.phone_for(read_number(phone.number, "TZ"), village.clock.now())
        work.staff.add_phone(one.id, phone_id)
        work.commit()
    return phone


def test_an_officer_asks_for_todays_counts(village: Village, officer: Phone) -> None:
    """Only the officer's own districts are counted."""
    for name, days_ago in (("Neema", 200), ("Juma", 60)):
        farmer = village.phone()
        farmer.joins(name=name, days_ago=days_ago)
        farmer.says("harvest 4" if name == "Neema" else "ask why is it so")
    village.phone().says("JOIN Asha 300 12/10/2026 Ketumali")
    village.phone().says("JOIN Rehema 300 12/10/2026 Zaruvi")

    expected = "Wed 25/11: farmers 2, waiting for a yes 1, open questions 1, picked today 4 kg."
    assert [expected, expected] == [officer.says("COUNTS"), officer.says("idadi")]


def test_of_an_officers_districts_only_what_a_text_asks_is_reckoned(village: Village, officer: Phone) -> None:
    """A warning's reach goes through all phones of a district: no other text waits for it."""
    village.phone().joins(days_ago=200)
    on, now = village.today, village.clock.now()
    texts = (Total(), Counts(), Warn(district="Ketumali"), Warn(district="Zaruvi"))
    with village.database.look() as work:
        phone_id = work.people.find_phone(read_number(officer.number, "TZ"))
        assert phone_id is not None
        desks = [desk_of(work, village.tools, phone_id, said, on=on, now=now) for said in texts]

    assert [(0, 0), (1, 0), (0, 1), (0, 0)] == [(one.farmers, one.phones) for one in desks if one]


@pytest.mark.parametrize(
    "words", ["counts", "warn frost tomorrow -2 Ketumali", "onya baridi kesho -2 Ketumali"]
)
def test_other_phones_can_do_none_of_it(village: Village, words: str) -> None:
    """A farmer and a stranger are answered as for any words nobody knows, and nothing is written."""
    farmer = village.phone()
    farmer.joins()

    answers = [farmer.says(words), village.phone().says(words)]

    assert "did not understand" in answers[0]
    assert "reply 1 English" in answers[1]
    assert [] == village.rows("SELECT id FROM alert")


def test_a_phone_that_is_nobodys_may_nothing_whatever_the_conversation_says(village: Village) -> None:
    """Whose phone it is is looked at once more where the deed is done."""
    with village.database.work() as work:
        phone_id = work.people.phone_for(read_number(village.phone().number, "TZ"), village.clock.now())
        now = village.clock.now()
        inbound = Inbound(id=1, phone_id=phone_id, gateway="simulator", text="yes", received_at=now, tries=0)
        carrying = Carrying(
            work=work,
            tools=village.tools,
            inbound=inbound,
            on=village.today,
            zone=ZONE,
            now=now,
            says_at=now,
        )
        warning = SendAlert(key=1, template="frost", on=village.today, figure=-2, district="Ketumali")

        with pytest.raises(LookupError, match="no officer's"):
            carrying.carry_out(warning)

        work.commit()
    assert [] == village.rows("SELECT id FROM alert")


def test_a_farmer_with_a_number_in_a_join_adds_nobody_else(village: Village) -> None:
    """From a phone that is no officer's the word asks to join with that very phone."""
    phone = village.phone()

    asked = phone.says("REGISTER Asha 300 12/10/2026 Ketumali 0621234577")

    assert "Hello Asha" in asked
    assert [{"added_by": None}] == village.rows("SELECT added_by FROM farmer")


def test_an_officer_invites_a_farmer(village: Village, officer: Phone) -> None:
    """The farmer is asked on their own phone; the officer is told, and who signed them up is told to the farmer."""
    farmer = village.phone()

    answer = officer.says(f"REGISTER Asha 300 12/10/2026 Ketumali {farmer.number}")

    assert "Asha was asked to agree" in answer
    assert "Hello Asha, may Zaruvi Berry Programme text you" in farmer.last
    farmer.says("yes")
    assert "Asha Mlima 9001 signed you up on Wed 25/11" in farmer.says("who")


@pytest.mark.parametrize(
    ("words", "answer"),
    [
        pytest.param("REGISTER Asha 300 Ketumali 0621234577", "WARN frost", id="no-date"),
        pytest.param("REGISTER Asha 300 12/10/2026 Zaruvi 0621234577", "your own districts", id="not-theirs"),
        pytest.param("REGISTER Asha 300 12/10/2026 Ketumali 999999999999", "did not work", id="no-number"),
        pytest.param("help", "COUNTS; WARN frost", id="help"),
        pytest.param("warn frost -2 Ketumali", "COUNTS; WARN frost", id="no-day"),
        pytest.param("warn tomorrow -2 Ketumali", "COUNTS; WARN frost", id="no-template"),
        pytest.param("warn frost tomorrow Ketumali", "COUNTS; WARN frost", id="no-figure"),
        pytest.param("warn frost tomorrow -2", "COUNTS; WARN frost", id="no-district"),
        pytest.param("warn frost tomorrow -2 Zaruvi", "COUNTS; WARN frost", id="another-district"),
        pytest.param("warn frost 20/12 -2 Ketumali", "COUNTS; WARN frost", id="too-far-ahead"),
        pytest.param("warn frost 27/11 40 Ketumali", "lowest temperature, -15 to 5 C", id="a-warm-frost"),
        pytest.param("warn hail tomorrow 5 Ketumali", "its chance, 10 to 100 %", id="hardly-any-hail"),
        pytest.param("warn rain tomorrow 900 Ketumali", "the mm expected, 10 to 500.", id="a-deluge"),
    ],
)
def test_what_an_officer_cannot_do(village: Village, officer: Phone, words: str, answer: str) -> None:
    """What is not whole, or not theirs, is answered with how it is done, or why not."""
    assert answer in officer.says(words)
    assert [] == village.rows("SELECT id FROM alert")
    assert [] == village.rows("SELECT id FROM farmer")


@pytest.mark.parametrize(
    ("words", "shown"),
    [
        ("WARN frost 26/11 -2 Ketumali", "cold likely from Thu 26/11 evening, -2 C"),
        ("onya baridi kesho -2 ketumali", "cold likely from Thu 26/11 evening, -2 C"),
        ("warn hail tomorrow 40 Ketumali", "hail likely Thu 26/11 (40%)"),
        ("warn heavy rain Friday 60 Ketumali", "much rain (60 mm) likely Fri 27/11"),
    ],
)
def test_a_warning_is_shown_and_goes_after_a_yes(
    village: Village, officer: Phone, words: str, shown: str
) -> None:
    """Two steps: the text with its reach, then the yes; it goes to the officer's district and nowhere else."""
    there, elsewhere = village.phone(), village.phone()
    there.joins()
    elsewhere.says("JOIN Juma 400 12/10/2026 Zaruvi")
    elsewhere.says("yes")

    offer = officer.says(words)
    before = village.rows("SELECT id FROM alert")
    answer = officer.says("yes")
    village.pass_hours(1)

    assert f'To 1 phones in Ketumali: "Asha Mlima 9001 (Ketumali): {shown}' in offer
    assert [] == before
    assert "Your warning is on its way to 1 phones in Ketumali" in answer
    assert shown in there.last
    assert shown not in elsewhere.last
    assert ["urgent_alert"] == [row["kind"] for row in village.rows("SELECT kind FROM alert")]


@pytest.mark.parametrize("texts", [("no",), ("2",), ("undo",), ("hm", "2")], ids=str)
def test_without_a_yes_nothing_goes(village: Village, officer: Phone, texts: tuple[str, ...]) -> None:
    """A no, and silence for two days, send nothing."""
    village.phone().joins()
    officer.says("warn frost tomorrow -2 Ketumali")

    answers = [officer.says(words) for words in texts]

    assert "Nothing was sent." in answers[-1]
    assert [] == village.rows("SELECT id FROM alert")


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ("warn frost tomorrow -2 Ketumali", "No phone in Ketumali would get this warning now"),
        ("onya baridi kesho -2 Ketumali", "Hakuna simu ya Ketumali itakayopata tahadhari hii"),
    ],
    ids=["en", "sw"],
)
def test_a_warning_that_reaches_nobody_is_not_offered(
    village: Village, officer: Phone, words: str, told: str
) -> None:
    """There is nothing to say yes to, and the officer reads what to do."""
    with village.database.engine.begin() as connection:
        language = "sw" if words.startswith("onya") else "en"
        connection.execute(update(staff_officer).values(language=language))
    answer = officer.says(words)
    officer.says("yes")

    assert answer.startswith(told)
    assert [] == village.rows("SELECT id FROM alert")


def test_what_the_pages_would_refuse_is_refused(village: Village, officer: Phone) -> None:
    """An audience that is gone when the yes comes: the officer reads why."""
    there = village.phone()
    there.joins()
    officer.says("warn frost tomorrow -2 Ketumali")
    there.says("STOP")

    assert "reach nobody" in officer.says("1")
    assert [] == village.rows("SELECT id FROM message WHERE alert_id IS NOT NULL")


def test_a_clerks_phone_is_one_like_any_other(village: Village) -> None:
    """Whoever weighs at collections counts, warns and invites nobody by text."""
    clerk = give_phone(village, "Ketumali", role=Role.CLERK)
    answers = [clerk.says(words) for words in ("counts", "warn frost tomorrow -2 Ketumali", "1")]

    assert "farmers" not in answers[0].split("Strawberry advice")[0]
    assert [] == village.rows("SELECT id FROM alert")
    assert "frost" not in " ".join(answers)


@pytest.mark.parametrize("role", [role for role in Role if role is not Role.CLERK])
def test_what_a_phone_reaches_by_role(village: Village, role: Role) -> None:
    """Officers and approvers count, invite and warn in their own districts; an administrator does in all."""
    officer = give_phone(village, "Ketumali", role=role)
    there = village.phone()
    there.says("JOIN Juma 400 12/10/2026 Zaruvi")
    there.says("yes")
    everywhere = role is Role.ADMINISTRATOR
    invited = village.phone()

    counts = officer.says("counts")
    offer = officer.says("warn frost tomorrow -2 Zaruvi")
    officer.says("yes")
    village.pass_hours(1)
    officer.says(f"REGISTER Asha 300 12/10/2026 Zaruvi {invited.number}")

    assert f"farmers {1 if everywhere else 0}," in counts
    assert everywhere == ("To 1 phones in Zaruvi" in offer)
    assert everywhere == ("cold likely from" in there.last)
    assert everywhere == bool(invited.texts)
    assert (1 if everywhere else 0) == len(village.rows("SELECT id FROM alert"))


def leave(village: Village, **change: object) -> None:
    """Let the officer of the phone be disabled, or have other districts."""
    AlertRoom(village, _ids=count(9101)).officer(role=Role.ADMINISTRATOR, name="Chief")
    name = str(village.row("SELECT name FROM officer WHERE id = 9001")["name"])
    with village.database.work() as work:
        if "districts" in change:
            change_officer(work, name, now=village.clock.now(), districts=frozenset())
        else:
            disable_officer(work, name, now=village.clock.now())


def test_a_disabled_officers_phone_is_any_phone(village: Village, officer: Phone) -> None:
    """Counts, invitations and warnings end in the moment of the disabling."""
    village.phone().joins()
    leave(village)
    invited = village.phone()

    answers = [officer.says(words) for words in ("counts", "warn frost tomorrow -2 Ketumali")]
    officer.says(f"REGISTER Asha 300 12/10/2026 Ketumali {invited.number}")

    assert not [words for words in answers if "farmers 1" in words or "phones in" in words]
    assert [] == invited.texts
    assert [] == village.rows("SELECT id FROM alert")


@pytest.mark.parametrize("change", [{}, {"districts": ()}], ids=["disabled", "lost the district"])
def test_a_yes_that_comes_too_late_sends_nothing(
    village: Village, officer: Phone, change: dict[str, object]
) -> None:
    """Between offer and yes the right was taken: nothing goes, and the text is read and answered all the same."""
    farmer = village.phone()
    farmer.joins()
    before = len(farmer.texts)
    officer.says("warn frost tomorrow -2 Ketumali")
    leave(village, **change)
    answer = officer.says("yes")
    village.pass_hours(1)

    assert "on its way" not in answer
    assert before == len(farmer.texts)
    assert [] == village.rows("SELECT id FROM alert")
    assert [] == village.rows("SELECT id FROM inbound WHERE state <> 'read'")


def test_a_phone_is_an_officers_only_by_an_administrators_hand(village: Village, officer: Phone) -> None:
    """No text makes it so, an officer may not, and whoever gets the number takes it from whom it was."""
    stranger = village.phone()
    for words in (
        "I am officer Asha Mlima",
        "officer",
        f"REGISTER Asha 1 12/10/2026 Ketumali {officer.number}",
    ):
        stranger.says(words)
    room = AlertRoom(village, _ids=count(9101))
    chief, helper = room.officer(role=Role.ADMINISTRATOR, name="Chief"), room.officer("Zaruvi")
    phone_id = room.phone_id(officer)
    with village.database.work() as work, pytest.raises(Refused, match="ask an administrator"):
        bind_phone(work, f"{helper.name} {helper.id}", phone_id, now=room.now, by=helper)
    still = officer.says("counts")
    with village.database.work() as work:
        bind_phone(work, f"{helper.name} {helper.id}", phone_id, now=room.now, by=chief)

    assert "farmers 0" in still
    assert [{"officer_id": helper.id}] == village.rows("SELECT officer_id FROM officer_phone")


def test_a_farmers_answer_to_a_warning_is_counted(village: Village, officer: Phone) -> None:
    """1 and 2 are kept for the officer, the last one counts, and own words become a question."""
    farmer = village.phone()
    farmer.joins()
    officer.says("warn frost tomorrow -2 Ketumali")
    officer.says("1")
    village.pass_hours(1)

    answers = [
        farmer.says(words) for words in ("asante", "2 msaada", "my rows are all under water", "nimefunika")
    ]

    assert "reply 1 if you have understood" in answers[0]
    assert "Noted that you need help" in answers[1]
    assert "An officer will read it" in answers[2]
    assert "Your officer sees your answer" in answers[3]
    assert [{"answer": "understood"}] == village.rows("SELECT answer FROM alert_recipient")
