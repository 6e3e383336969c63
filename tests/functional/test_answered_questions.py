"""Stories of questions and calls for help that an officer answers, closes and opens again. Each on both engines."""

from dataclasses import replace
from datetime import timedelta

import pytest

from scheduler.receiver import Receiver
from service.core.errors import Refused
from service.core.question_ports import Question, Way
from service.core.rights import Role
from service.core.staff import Officer
from service.use_cases import questions
from service.use_cases.questions import NoQuestion, Settled
from tests.alert_room import AlertRoom
from tests.village import Phone, Village


class Answering:
    """An officer's desk with its questions."""

    def __init__(self, village: Village) -> None:
        """Stand in the village; two officers look after Ketumali, one after Zaruvi."""
        self.village, self.room = village, AlertRoom(village)
        self.mlima = self.room.officer("Ketumali")
        self.tatu = self.room.officer("Ketumali", name="Tatu Pori")
        self.zaruvi = self.room.officer("Zaruvi", name="Juma Kesho")
        self.boss = self.room.officer(name="Boss", role=Role.ADMINISTRATOR)

    def waiting(self, officer: Officer | None = None) -> list[Question]:
        """Return what waits for an officer, as Today lists it."""
        with self.village.database.look() as work:
            sight = work.console.within((officer or self.mlima).districts)
            return [*sight.waiting(12).questions]

    @property
    def code(self) -> str:
        """The code of the one question there is."""
        return str(self.village.row("SELECT code FROM question")["code"])

    @property
    def state(self) -> str:
        """Where the one question stands."""
        return str(self.village.row("SELECT state FROM question")["state"])

    def answers(self, words: str, officer: Officer | None = None) -> None:
        """Answer the one question by text, and let the worker work."""
        with self.village.database.work() as work:
            now = self.village.clock.now()
            by = officer or self.mlima
            questions.answer(work, self.village.tools, by, self.code, words, now=now, real_now=now)
        self.village.work_through()

    def closes(self, way: Way = Way.CALLED, note: str = "", officer: Officer | None = None) -> None:
        """Close the one question."""
        with self.village.database.work() as work:
            now = self.village.clock.now()
            by = officer or self.mlima
            questions.close(
                work, self.village.tools, by, self.code, way=way, remark=note, now=now, real_now=now
            )
        self.village.work_through()

    def opens_again(self, officer: Officer | None = None) -> None:
        """Open the one question again."""
        with self.village.database.work() as work:
            now = self.village.clock.now()
            questions.open_again(work, officer or self.mlima, self.code, now=now, real_now=now)

    def done(self) -> list[tuple[str, str | None, bool]]:
        """Return who did what, and whether it was taken back."""
        with self.village.database.look() as work:
            question = work.questions.find(None, self.code)
            assert question is not None
            return [
                (one.officer.rsplit(" ", 1)[0], one.way, one.taken_back_at is not None)
                for one in work.questions.answers([question.id])
            ]


@pytest.fixture
def desk(village: Village) -> Answering:
    """The officers' desk."""
    return Answering(village)


@pytest.fixture
def neema(village: Village, desk: Answering) -> Phone:
    """A farmer in Ketumali, whose district has its officers."""
    phone = village.phone()
    phone.joins()
    return phone


@pytest.mark.parametrize(
    ("words", "before"), [("ASK why are leaves yellow", ()), ("my plants are all black", ("alert",))]
)
def test_who_asks_is_told_by_when_if_the_programme_says_so(
    desk: Answering, neema: Phone, words: str, before: tuple[str, ...]
) -> None:
    """Two days from Wednesday, whether it was asked by itself or under an alert; else no day is named."""
    for _ in before:
        desk.room.send(desk.mlima, "Ketumali")
        desk.village.work_through()
    promised = replace(desk.village.tools, programme=replace(desk.village.tools.programme, answer_days=2))
    without = neema.says(words)
    village = desk.village
    receiver = Receiver(village.database, promised, village.gateway, village.clock)
    village.deliver(neema, words, "promised")
    receiver.answer_all()
    village.work_through()

    assert "An officer will read it." in without
    assert "An officer answers it by Fri 27/11." in neema.last


def test_a_question_is_answered_by_text(desk: Answering, neema: Phone) -> None:
    """The farmer reads the officer's words with who says them; the question waits for nobody any more."""
    neema.says("ASK why are leaves yellow")
    before = [one.text for one in desk.waiting()]
    desk.answers("Pick  the yellow leaves off,\nand water in the morning.")

    assert ["why are leaves yellow"] == before
    assert (
        "Asha Mlima, Zaruvi Berry Programme: Pick the yellow leaves off, and water in the morning."
        == neema.last
    )
    assert ("answered", []) == (desk.state, desk.waiting())
    assert [("Asha Mlima", "text", False)] == desk.done()


def test_the_second_officer_is_told_and_sends_nothing(desk: Answering, neema: Phone) -> None:
    """Whoever presses the button second is told who was quicker; the farmer gets one text."""
    neema.says("ASK why are leaves yellow")
    desk.answers("Water less.")
    heard = len(neema.texts)

    with pytest.raises(Settled, match=r"Asha Mlima \d+ was quicker"):
        desk.answers("Water more.", desk.tatu)
    with pytest.raises(Settled):
        desk.closes(officer=desk.tatu)
    assert heard == len(neema.texts)
    assert [("Asha Mlima", "text", False)] == desk.done()


@pytest.mark.parametrize("way", [Way.CALLED, Way.DONE])
def test_closing_sends_nothing(desk: Answering, neema: Phone, way: Way) -> None:
    """Who has called says so, with a note for the others; no text leaves."""
    neema.says("my son drank spray")
    heard = len(neema.texts)
    desk.closes(way, "He is at the clinic.")

    assert heard == len(neema.texts)
    assert ("closed", [("Asha Mlima", way, False)]) == (desk.state, desk.done())
    assert [{"note": "He is at the clinic."}] == desk.village.rows("SELECT note FROM answer")


def test_what_was_closed_can_be_opened_again_for_a_day(desk: Answering, neema: Phone) -> None:
    """A slip is mended, who did it stays, and after a day it is over."""
    neema.says("ASK why are leaves yellow")
    desk.closes()
    desk.opens_again(desk.tatu)
    back = [one.text for one in desk.waiting()]
    with pytest.raises(Refused, match="open already"):
        desk.opens_again()
    desk.closes(Way.DONE)
    desk.village.clock.advance(timedelta(hours=24))

    with pytest.raises(Refused, match="more than a day ago"):
        desk.opens_again()
    assert ["why are leaves yellow"] == back
    assert "closed" == desk.state
    assert [("Asha Mlima", "called", True), ("Asha Mlima", "done", False)] == desk.done()


def test_an_answer_taken_back_in_the_night_never_leaves(desk: Answering, neema: Phone) -> None:
    """In quiet hours an answer waits; opened again, its text is called off and another can be written."""
    neema.says("ASK why are leaves yellow")
    heard = len(neema.texts)
    desk.village.pass_hours(12)
    desk.answers("Water less.")
    waits = len(neema.texts)
    desk.opens_again()
    desk.village.pass_hours(12)
    called_off = len(neema.texts)
    desk.answers("Water more.")

    assert (heard, heard) == (waits, called_off)
    assert "Water more." in neema.last
    assert ["cancelled", "delivered"] == [
        row["state"]
        for row in desk.village.rows("SELECT state FROM message WHERE kind = 'answer' ORDER BY id")
    ]


def test_an_emergency_is_answered_in_the_night(desk: Answering, neema: Phone) -> None:
    """Quiet hours hold back an answer to a question, and none to somebody in danger."""
    desk.village.pass_hours(13)
    neema.says("my brother was bitten by a snake")
    desk.answers("The clinic in Ketumali is open. Keep him still.")

    assert "Keep him still." in neema.last


def test_a_phone_that_has_stopped_gets_no_answer(desk: Answering, neema: Phone) -> None:
    """STOP holds for officers too, said before the answer or while it waits; the question can be closed."""
    neema.says("ASK why are leaves yellow")
    desk.village.pass_hours(12)
    desk.answers("Water less.")
    neema.says("STOP")
    heard = len(neema.texts)
    desk.village.pass_hours(14)
    desk.opens_again()
    with pytest.raises(Refused, match="has said STOP"):
        desk.answers("Water more.")
    desk.closes()

    assert heard == len(neema.texts)
    assert "closed" == desk.state


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        pytest.param("Spray 30 ml in the evening", "may not say", id="dose"),
        pytest.param("Nyunyiza Karatox kesho asubuhi", "may not say “nyunyiza”", id="spraying in Swahili"),
        pytest.param("   ", "Write the answer", id="nothing"),
        pytest.param("word " * 120, "parts", id="too-long"),
    ],
)
def test_words_that_may_not_be_sent_are_refused(
    desk: Answering, neema: Phone, words: str, sentence: str
) -> None:
    """What an alert may not say an answer may not either; the question stays open."""
    neema.says("ASK how do I keep slugs away")

    with pytest.raises(Refused, match=sentence):
        desk.answers(words)
    assert ("open", []) == (desk.state, desk.done())


def test_a_question_of_elsewhere_is_not_there(desk: Answering, neema: Phone, village: Village) -> None:
    """An officer of another district neither sees nor moves it; a stranger's is for who has all districts."""
    neema.says("ASK why are leaves yellow")
    with pytest.raises(NoQuestion):
        desk.answers("Water less.", desk.zaruvi)
    with pytest.raises(NoQuestion):
        desk.closes(officer=desk.zaruvi)
    desk.closes()
    stranger = village.phone()
    stranger.says("nimekunywa dawa")

    assert [] == desk.waiting(desk.zaruvi) == desk.waiting()
    assert ["nimekunywa dawa"] == [one.text for one in desk.waiting(desk.boss)]


def test_a_cry_from_a_shared_phone_is_for_those_who_share_it(desk: Answering, neema: Phone) -> None:
    """Nobody knows who of them it was; the officers of their districts see and answer it, no others do."""
    neema.joins(name="Rehema")
    neema.says("my son drank spray")
    waiting = desk.waiting()
    desk.answers("Bring him to the clinic, with the bottle.")

    assert [(None, {"Neema", "Rehema"}, "en")] == [
        (one.farmer_id, set((one.sharing or "").split(", ")), one.language) for one in waiting
    ]
    assert "with the bottle" in neema.last
    assert [] == desk.waiting(desk.zaruvi)


def test_need_help_under_a_warning_stands_on_the_list_at_once(desk: Answering, neema: Phone) -> None:
    """A 2 is a call for help with its alert; said twice it is one call, said again after it was closed another."""
    alert = desk.room.send(desk.mlima, "Ketumali")
    desk.village.work_through()
    for _ in range(2):
        neema.says("2")
    waiting = desk.waiting()
    desk.answers("I come this afternoon.")
    neema.says("2")

    assert [("2", "need_help", alert.id, "Neema")] == [
        (one.text, one.urgency, one.alert_id, one.farmer) for one in waiting
    ]
    assert "I come this afternoon." in "".join(neema.texts)
    assert ["answered", "open"] == [
        row["state"] for row in desk.village.rows("SELECT state FROM question ORDER BY id")
    ]


def test_the_newest_emergency_stands_first(desk: Answering, village: Village) -> None:
    """Then calls for help, then questions in turn."""
    phones = [village.phone() for _ in range(4)]
    for name, phone in zip(("Asha", "Juma", "Salim", "Pendo"), phones, strict=True):
        phone.joins(name=name)
    for phone, words in (
        (phones[0], "ASK why are leaves yellow"),
        (phones[1], "my son drank spray"),
        (phones[2], "ASK how do I keep slugs away"),
        (phones[3], "bitten by a snake"),
    ):
        phone.says(words)
        village.clock.advance(timedelta(minutes=7))

    assert ["Pendo", "Juma", "Asha", "Salim"] == [one.farmer for one in desk.waiting()]


def test_the_record_says_who_did_what_and_holds_no_words(desk: Answering, neema: Phone) -> None:
    """Answering, closing, opening again and looking at the number each leave a row."""
    neema.says("ASK why are leaves yellow")
    desk.answers("Water less.")
    desk.opens_again(desk.tatu)
    desk.closes(note="Called her.")
    with desk.village.database.work() as work:
        number = questions.show_number(work, desk.tatu, desk.code, real_now=desk.room.now)

    rows = desk.village.rows("SELECT action, officer_id, detail FROM audit ORDER BY id")
    assert neema.number == number
    assert [
        ("question.answered", desk.mlima.id),
        ("question.opened_again", desk.tatu.id),
        ("question.closed", desk.mlima.id),
        ("number.shown", desk.tatu.id),
    ] == [(row["action"], row["officer_id"]) for row in rows]
    assert not [row for row in rows if "Water" in str(row) or neema.number[4:] in str(row)]


def test_who_is_erased_leaves_no_question(desk: Answering, neema: Phone) -> None:
    """With the farmer go the questions and what was done about them."""
    neema.says("ASK why are leaves yellow")
    desk.answers("Water less.")
    for words in ("RECORDS", "2", "yes"):
        neema.says(words)

    assert [] == desk.village.rows("SELECT id FROM question") + desk.village.rows("SELECT id FROM answer")
    assert [] == desk.village.rows("SELECT text FROM message WHERE text LIKE '%Water%'")


@pytest.mark.parametrize(
    "words", ["the lower leaves only", "mites are under all leaves", "only the old plants"]
)
def test_a_plain_answer_goes_to_the_officer_who_asked(desk: Answering, neema: Phone, words: str) -> None:
    """Whoever answers an officer is not told that nobody understood: the question waits for a person again."""
    neema.says("why are the leaves red?")
    desk.answers("Which leaves are red, and how many plants?")
    desk.village.pass_hours(50)

    answer = neema.says(words)

    assert "the officer who answered you" in answer
    (again,) = desk.waiting()
    assert (desk.code, f"why are the leaves red? / {words}") == (again.code, again.text)


def test_a_command_after_an_answer_is_a_command(desk: Answering, neema: Phone) -> None:
    """A weight is a weight, whatever an officer wrote before."""
    neema.says("why are the leaves red?")
    desk.answers("Which leaves are red?")

    assert "3 kg" in neema.says("harvest 3")
    assert [] == desk.waiting()


def test_days_later_a_text_stands_for_itself(desk: Answering, neema: Phone) -> None:
    """After three days nobody knows any more what a text goes on from."""
    neema.says("why are the leaves red?")
    desk.answers("Which leaves are red?")
    desk.village.pass_hours(73)

    assert "the officer who answered you" not in neema.says("the lower leaves only")
    assert [] == desk.waiting()
