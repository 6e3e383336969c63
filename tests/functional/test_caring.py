"""An officer cares for a farmer on the farmer's word: a pause, a stop, a new number, and who they are."""

from dataclasses import dataclass, replace
from datetime import date, timedelta

import pytest

from service.core.changing import Person
from service.core.errors import Refused
from service.core.inviting import NumberKnown
from service.core.kinds import MessageState
from service.core.phone import read_number
from service.core.rights import Role
from service.core.staff import Officer
from service.use_cases.changing_farmers import change_farmer, person_word
from service.use_cases.changing_numbers import ask_number, take_number_back
from service.use_cases.officers import add_officer
from service.use_cases.pending import forget_silent
from service.use_cases.resting import pause_farmer, resume_farmer, stop_farmer, take_stop_back
from tests.village import Phone, Village


@dataclass
class Care:
    """Boss, who administers, and what they do for one farmer; it speaks for the test."""

    village: Village
    officer: Officer
    name: str = "Asha"

    @property
    def farmer(self) -> int:
        """The farmer's id."""
        return int(str(self.village.row("SELECT id FROM farmer WHERE name = :name", name=self.name)["id"]))

    @property
    def clocks(self) -> dict[str, object]:
        """Both clocks, which are one here."""
        return {"now": self.village.clock.now(), "real_now": self.village.clock.now()}

    def pauses(self, days: int) -> None:
        """Let texts rest for so many days."""
        until = self.village.today + timedelta(days=days)
        with self.village.database.work() as work:
            pause_farmer(work, self.officer, self.farmer, until, **self.clocks)  # type: ignore[arg-type]

    def does(self, deed: object) -> None:
        """Resume, stop, or take a stop back."""
        with self.village.database.work() as work:
            deed(work, self.village.tools, self.officer, self.farmer, **self.clocks)  # type: ignore[operator]

    def asks(self, phone: Phone, *, sharing: bool = False, gone: bool = False) -> None:
        """Ask a new number, and let the worker send the text."""
        with self.village.database.work() as work:
            ask_number(
                work,
                self.village.tools,
                self.officer,
                self.farmer,
                read_number(phone.number, "TZ"),
                sharing=sharing,
                old_is_gone=gone,
                **self.clocks,  # type: ignore[arg-type]
            )
        self.village.work_through()

    def takes_number_back(self) -> None:
        """Undo the asking."""
        with self.village.database.work() as work:
            take_number_back(work, self.officer, self.farmer, **self.clocks)  # type: ignore[arg-type]

    def person(self) -> Person:
        """Return who the farmer is."""
        with self.village.database.look() as work:
            standing = work.changing.standing(self.farmer)
        assert standing is not None
        return standing.person

    def changes(self, wanted: Person, *, seen: Person | None = None, by: Officer | None = None) -> None:
        """Correct who the farmer is."""
        with self.village.database.work() as work:
            change_farmer(
                work,
                self.village.tools,
                by or self.officer,
                self.farmer,
                wanted,
                seen=person_word(seen or self.person()),
                real_now=self.village.clock.now(),
            )

    def record(self) -> list[str]:
        """Return what stands in the record of the farmer, the oldest first."""
        with self.village.database.look() as work:
            return [
                row.action for row, _ in reversed(work.audit.newest(50)) if row.subject.startswith("farmer")
            ]


@pytest.fixture
def care(village: Village) -> Care:
    """Boss."""
    with village.database.work() as work:
        return Care(village, add_officer(work, name="Boss", code="X", now=village.clock.now()))


def pushed(village: Village, phone: Phone, days: int) -> int:
    """Return how many texts a phone gets in so many days."""
    before = len(phone.texts)
    village.pass_days(days)
    return len(phone.texts) - before


def test_a_pause_holds_until_its_day(village: Village, care: Care) -> None:
    """Nothing is pushed before the day, texts come again after it, and the record says who did it."""
    phone = village.phone()
    phone.joins(name="Asha", days_ago=200)
    care.pauses(10)

    assert 0 == pushed(village, phone, 9)
    assert 0 < pushed(village, phone, 8)
    assert ["farmer.paused"] == care.record()


def test_a_pause_is_ended_by_a_button_once(village: Village, care: Care) -> None:
    """Going on before the day brings texts at once; pressed twice it stands once in the record."""
    phone = village.phone()
    phone.joins(name="Asha", days_ago=200)
    care.pauses(60)
    care.does(resume_farmer)
    care.does(resume_farmer)

    assert 0 < pushed(village, phone, 8)
    assert ["farmer.paused", "farmer.resumed"] == care.record()


@pytest.mark.parametrize("days", [0, -1, 184])
def test_a_pause_needs_a_day_to_come(days: int, village: Village, care: Care) -> None:
    """A day that is past, or further than half a year, is refused."""
    village.phone().joins(name="Asha")

    with pytest.raises(Refused, match="from tomorrow to half a year"):
        care.pauses(days)


def test_who_has_not_said_yes_is_neither_paused_nor_stopped(village: Village, care: Care) -> None:
    """They get no texts that could rest or end: their own answer decides, and it still can."""
    phone = village.phone()
    phone.says(f"JOIN Asha 400 {village.today - timedelta(days=60):%d/%m/%Y} Ketumali")
    with pytest.raises(Refused, match="nothing to pause"):
        care.pauses(10)
    with pytest.raises(Refused, match="not said yes yet"):
        care.does(stop_farmer)

    assert [] == care.record()
    assert "Welcome Asha" in phone.says("YES")


def test_nothing_is_done_for_a_farmer_who_was_erased(village: Village, care: Care) -> None:
    """A form that was open while the farmer had everything removed finds nobody, and asks no number."""
    phone, new = village.phone(), village.phone()
    phone.joins(name="Asha", days_ago=200)
    seen, deeds = care.person(), (resume_farmer, stop_farmer, take_stop_back)
    for word in ("RECORDS", "2", "YES"):
        phone.says(word)
    care.name = ""
    with pytest.raises(Refused, match="not here any more"):
        care.pauses(10)
    with pytest.raises(Refused, match="not here any more"):
        care.changes(replace(seen, name="Aisha"), seen=seen)
    with pytest.raises(Refused, match="not here any more"):
        care.asks(new)
    for deed in deeds:
        with pytest.raises(Refused, match="not here any more"):
            care.does(deed)

    assert [{"name": "", "state": "erased"}] == village.rows("SELECT name, state FROM farmer")
    assert ([], []) == (new.texts, care.record())


def test_a_stop_ends_all_and_can_be_taken_back_for_a_day(village: Village, care: Care) -> None:
    """Nothing is pushed after a stop; taken back within a day the week's jobs come, and the evidence tells it all."""
    phone = village.phone()
    phone.joins(name="Asha", days_ago=200)
    village.pass_days(6)
    # Less than a day before the next list has gone.
    village.pass_hours(1)
    care.does(stop_farmer)
    care.does(stop_farmer)
    silent = pushed(village, phone, 1)
    listed = village.rows("SELECT 1 FROM stop_list")
    care.does(take_stop_back)
    back = pushed(village, phone, 8)
    words = village.rows("SELECT answer, way FROM consent ORDER BY id")

    assert (0, 1) == (silent, len(listed))
    assert back > 0
    assert [] == village.rows("SELECT 1 FROM stop_list")
    assert [("stopped", "officer"), ("stop taken back", "officer")] == [
        tuple(row.values()) for row in words[2:]
    ]
    assert ["farmer.stopped", "farmer.stop_undone"] == care.record()


def test_a_stop_stays_after_a_day_or_when_it_is_their_own(village: Village, care: Care) -> None:
    """A day later, or after a STOP of the farmer's, no button brings the texts back."""
    phones = {name: village.phone() for name in ("Asha", "Juma")}
    for name, phone in phones.items():
        phone.joins(name=name, days_ago=200)
    care.does(stop_farmer)
    phones["Juma"].says("STOP")
    with pytest.raises(Refused, match="text of their own"):
        replace(care, name="Juma").does(take_stop_back)
    silent = pushed(village, phones["Asha"], 2)

    assert 0 == silent
    with pytest.raises(Refused, match="text of their own"):
        care.does(take_stop_back)
    assert "may" in phones["Asha"].says("JOIN")


def test_a_stop_on_a_shared_phone_is_one_farmers(village: Village, care: Care) -> None:
    """Who shares the phone is texted on."""
    phone = village.phone()
    phone.joins(name="Asha", days_ago=200)
    phone.joins(name="Juma", days_ago=210)
    care.does(stop_farmer)
    before = len(phone.texts)
    village.pass_days(8)
    texts = phone.texts[before:]

    assert [] == village.rows("SELECT 1 FROM stop_list")
    assert any("Juma" in text for text in texts)
    assert not any("Asha" in text for text in texts)


def test_a_stop_on_a_shared_phone_is_taken_back(village: Village, care: Care) -> None:
    """The phone itself had not stopped; the farmer's jobs come again beside those of the other."""
    phone = village.phone()
    phone.joins(name="Asha", days_ago=200)
    phone.joins(name="Juma", days_ago=210)
    care.does(stop_farmer)
    care.does(take_stop_back)
    before = len(phone.texts)
    village.pass_days(8)
    texts = phone.texts[before:]

    assert [] == village.rows("SELECT 1 FROM stop_list")
    assert all(any(name in text for text in texts) for name in ("Asha", "Juma"))


def test_a_stop_taken_back_leaves_a_closed_plot_closed(village: Village, care: Care) -> None:
    """Only what was planned before the stop is planned again."""
    phone = village.phone()
    phone.joins(name="Asha", days_ago=200)
    with village.database.work() as work:
        (plot,) = work.plots.of_farmer(care.farmer)
        work.plots.set(plot.id, closed_on=village.today, live=False)
        work.commit()
    care.does(stop_farmer)
    care.does(take_stop_back)
    due = village.rows("SELECT task FROM reminder WHERE state = 'due'")

    assert {"revision": 0} == village.row("SELECT revision FROM plot")
    assert ([], 0) == (due, pushed(village, phone, 8))


def test_a_new_number_says_yes_and_takes_over(village: Village, care: Care) -> None:
    """The new phone is asked once; until its yes texts go to the old one, afterwards to the new one only."""
    old, new = village.phone(), village.phone()
    old.joins(name="Asha", days_ago=200)
    old.says("harvest 3")
    care.asks(new)
    asked = new.texts
    between = pushed(village, old, 7)
    answer = new.says("1")
    before = len(old.texts)
    village.pass_days(8)

    assert 1 == len(asked)
    assert "Hello Asha, may Zaruvi Berry Programme text you" in asked[0]
    assert between > 0
    assert "Welcome Asha" in answer
    assert before == len(old.texts)
    assert len(new.texts) > 2
    assert "Total 8 kg" in new.says("harvest 5")
    with village.database.look() as work:
        console = work.console.within(None).farmer(care.farmer)
        assert console is not None
        said = [line.text for line in console.talk(200)]
    assert {"harvest 3", "1", "harvest 5"} <= set(said)


@pytest.mark.parametrize(
    "words", ["RECORDS", "TOTAL", "JOBS", "WHO", "harvest 5", "why are leaves yellow", "UNDO", "PAUSE"]
)
def test_a_number_that_was_only_asked_learns_and_changes_nothing(
    words: str, village: Village, care: Care
) -> None:
    """Until its yes a phone is told nothing of the farmer but the name, and what it texts is not the farmer's."""
    old, new = village.phone(), village.phone()
    old.joins(name="Asha", days_ago=200)
    old.says("harvest 3")
    care.asks(new)
    told = [new.says(one) for one in (words, "2", "YES" if words == "RECORDS" else "hm")]
    state = village.row("SELECT state FROM farmer WHERE name = 'Asha'")
    with village.database.look() as work:
        console = work.console.within(None).farmer(care.farmer)
        assert console is not None
        said = [line.text for line in console.talk(200)]

    assert {"state": "active"} == state
    assert not [text for text in told if "3 kg" in text or "Ketumali" in text or "400" in text]
    assert [{"grams": 3000}] == village.rows("SELECT grams FROM harvest")
    assert words not in said


@pytest.mark.parametrize(
    "words", ["2", "STOP", "WRONG NUMBER|YES", ""], ids=["no", "stop", "wrong", "silence"]
)
def test_a_number_that_does_not_agree_changes_nothing(words: str, village: Village, care: Care) -> None:
    """After a no, a stop, word of a wrong number, or two silent weeks the farmer keeps number, plot and weights."""
    old, new = village.phone(), village.phone()
    old.joins(name="Asha", days_ago=200)
    old.says("harvest 3")
    care.asks(new)
    for word in filter(None, words.split("|")):
        new.says(word)
    village.clock.advance(timedelta(days=15))
    with village.database.work() as work:
        forget_silent(work, village.tools, village.clock.now())
    asked = len(new.texts)

    assert "Total 7 kg" in old.says("harvest 4")
    assert 0 < pushed(village, old, 8)
    assert asked == len(new.texts)
    with village.database.look() as work:
        standing = work.changing.standing(care.farmer)
    assert standing is not None
    assert (1, None) == (len(standing.phones), standing.asked)


def test_the_asking_is_taken_back_with_what_it_cut_off(village: Village, care: Care) -> None:
    """A slip in the number is undone: the text that waits is called off, and the old phone is the farmer's again."""
    old, new = village.phone(), village.phone()
    old.joins(name="Asha", days_ago=200)
    care.asks(new, gone=True)
    cut_off = pushed(village, old, 7)
    care.takes_number_back()
    care.takes_number_back()

    assert 0 == cut_off
    assert 0 < pushed(village, old, 8)
    assert "Asha" not in new.says("YES")
    assert ["farmer.number_asked", "farmer.number_taken_back"] == care.record()


def test_another_number_takes_the_place_of_one_that_was_asked(village: Village, care: Care) -> None:
    """A slip is corrected by asking again: a yes of the first number changes nothing, one of the second does."""
    old, slip, new = village.phone(), village.phone(), village.phone()
    old.joins(name="Asha", days_ago=200)
    care.asks(slip)
    care.asks(new)
    late = slip.says("YES")
    with village.database.look() as work:
        standing = work.changing.standing(care.farmer)
        new_id = work.people.find_phone(read_number(new.number, "TZ"))

    assert "Asha" not in late
    assert standing is not None
    assert (1, new_id) == (len(standing.phones), standing.asked)
    assert "Welcome Asha" in new.says("YES")
    assert ["farmer.number_asked"] * 2 == care.record()


def test_who_has_ended_all_texts_is_asked_on_no_other_number(village: Village, care: Care) -> None:
    """An officer cannot bring back a farmer who stopped by way of a new number; the farmer can."""
    old, new = village.phone(), village.phone()
    old.joins(name="Asha", days_ago=200)
    old.says("STOP")
    with pytest.raises(Refused, match="From a new phone they come back by texting JOIN"):
        care.asks(new)

    assert ([], []) == (new.texts, care.record())


@pytest.mark.parametrize("gone", [False, True], ids=["old number kept", "old number gone"])
@pytest.mark.parametrize("own_word", [False, True], ids=["through the officer", "by a text"])
def test_a_stop_ends_the_asking_of_a_new_number(
    village: Village, care: Care, *, gone: bool, own_word: bool
) -> None:
    """The question waits for the morning when the farmer stops: it never leaves, and a 1 from there changes nothing."""
    old, new = village.phone(), village.phone()
    old.joins(name="Asha", days_ago=200)
    village.clock.advance(timedelta(hours=12))
    care.asks(new, gone=gone and not own_word)
    waits = village.row("SELECT state, not_before FROM message WHERE kind = 'invitation'")
    if own_word:
        old.says("STOP")
    else:
        care.does(stop_farmer)
    village.pass_days(3)
    asked = len(new.texts)
    new.says("1")
    village.pass_days(8)

    assert "due" == waits["state"]
    assert 0 == asked
    assert {"state": "stopped"} == village.row("SELECT state FROM farmer WHERE name = 'Asha'")
    assert "cancelled" == village.row("SELECT state FROM message WHERE kind = 'invitation'")["state"]
    assert [] == [text for text in new.texts if "Asha" in text]


def test_what_is_claimed_for_one_who_has_stopped_does_not_leave(village: Village, care: Care) -> None:
    """A question that was on its way back when the farmer stopped is judged anew, on whatever phone."""
    old, new = village.phone(), village.phone()
    old.joins(name="Asha", days_ago=200)
    village.clock.advance(timedelta(hours=12))
    care.asks(new)
    care.does(stop_farmer)
    with village.database.work() as work:
        for row in village.rows("SELECT queued_on, id FROM message WHERE kind = 'invitation'"):
            key = (date.fromisoformat(str(row["queued_on"])), int(str(row["id"])))
            work.outbox.set_state(key, MessageState.DUE, village.clock.now())
        work.commit()
    village.pass_days(1)

    assert [] == new.texts
    assert {"state": "dropped", "why": "the farmer has stopped"} == village.row(
        "SELECT state, why FROM message WHERE kind = 'invitation'"
    )


def test_a_known_or_stopped_number_is_not_asked(village: Village, care: Care) -> None:
    """Somebody else's number is stopped at first, and can be shared; a number that said STOP is left alone."""
    asha, juma, gone = village.phone(), village.phone(), village.phone()
    asha.joins(name="Asha", days_ago=200)
    juma.joins(name="Juma", days_ago=200)
    gone.says("STOP")
    with pytest.raises(NumberKnown):
        care.asks(juma)
    with pytest.raises(Refused, match="has said STOP"):
        care.asks(gone)
    with pytest.raises(Refused, match="their number already"):
        care.asks(asha)
    texts = len(juma.texts)
    care.asks(juma, sharing=True)

    assert texts + 1 == len(juma.texts)
    assert "Welcome Asha" in juma.says("1")


def test_a_slip_in_the_number_of_one_who_was_invited(village: Village, care: Care) -> None:
    """Who has not said yes yet gets the right number at once, and the wrong phone hears no more."""
    wrong, right = village.phone(), village.phone()
    wrong.says(f"JOIN Asha 400 {village.today - timedelta(days=60):%d/%m/%Y} Ketumali")
    care.asks(right)
    before = len(wrong.texts)

    assert "Welcome Asha" in right.says("1")
    village.pass_days(8)
    assert before == len(wrong.texts)


def test_who_they_are_is_corrected(village: Village, care: Care) -> None:
    """Name, language and district are kept, texts follow, and the name stands in no record."""
    phone = village.phone()
    phone.joins(name="Asha", days_ago=200)
    seen = care.person()
    wanted = replace(seen, name="Aisha", language="sw", district_id=3)
    care.changes(wanted)
    with pytest.raises(Refused, match="meanwhile"):
        replace(care, name="Aisha").changes(replace(wanted, name="Amina"), seen=seen)
    care.name = "Aisha"
    care.changes(wanted, seen=seen)
    with village.database.look() as work:
        (row, _), *_ = work.audit.newest(1)

    assert wanted == care.person()
    assert {"sought": "aisha"} == village.row("SELECT sought FROM farmer")
    assert {"elevation_m": 2150} == village.row("SELECT elevation_m FROM plot")
    assert "Aisha" in phone.says("vuna 3")
    assert ["farmer.edited"] == care.record()
    assert "sha" not in str(row.detail)


def test_a_corrected_name_moves_no_plot(village: Village, care: Care) -> None:
    """A plot stays as high as it was said to lie; only another district can move one."""
    village.phone().joins(name="Asha", days_ago=200)
    with village.database.look() as work:
        before = work.plots.of_farmer(care.farmer)
    care.changes(replace(care.person(), name="Aisha"))
    care.name = "Aisha"
    with village.database.look() as work:
        after, ((row, _), *_) = work.plots.of_farmer(care.farmer), work.audit.newest(1)

    assert before == after
    assert {"name": ["before", "after"]} == row.detail


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"name": "12"}, "Write the farmer's name"),
        ({"name": "N" * 41}, "at most 40 letters"),
        ({"name": "juma"}, "Another juma uses the same phone"),
        ({"language": "fr"}, "Choose the language"),
        ({"district_id": 99}, "one of your own districts"),
        ({"village_id": 99}, "a village and a group of Ketumali"),
    ],
    ids=lambda value: str(value)[:20],
)
def test_what_cannot_be_is_told(
    change: dict[str, object], sentence: str, village: Village, care: Care
) -> None:
    """Each slip is told in its own sentence, and nothing changes."""
    phone = village.phone()
    phone.joins(name="Asha", days_ago=200)
    phone.joins(name="Juma", days_ago=210)
    before = care.person()
    with pytest.raises(Refused, match=sentence):
        care.changes(replace(before, **change))  # type: ignore[arg-type]

    assert before == care.person()


def test_nobody_moves_a_farmer_into_a_district_that_is_not_theirs(village: Village, care: Care) -> None:
    """An officer of one district cannot send a farmer to another; one of both can."""
    village.phone().joins(name="Asha", days_ago=200)
    there = replace(care.person(), district_id=3)
    one, both = (
        replace(care.officer, role=Role.OFFICER, districts=frozenset(districts))
        for districts in ({2}, {2, 3})
    )
    with pytest.raises(Refused, match="one of your own districts"):
        care.changes(there, by=one)
    care.changes(there, by=both)

    assert there == care.person()
