"""Making backups of a programme's database, trying one, and putting one back."""

from dataclasses import dataclass
from pathlib import Path

from service.backups import Backup, note_backup
from service.bootstrap import House
from service.core.errors import Refused
from service.core.journal import Refusals
from service.db.copies import Copies, check_backup, copies_of, count_rows, make_backup
from service.db.migrate import migrate
from service.use_cases.restoring import keep_proof, settle_restored
from service.use_cases.standing import CODES, UNKNOWN, Standing, forgotten, shut_out_again, standing


def back_up(house: House, file: Path) -> None:
    """Write a backup of the database to `file` while the service runs.

    Raises:
        Refused: the file is there already, or the backup fails.
    """
    make_backup(_copies(house), file)
    note_backup(house.settings.journal, Backup(file=file, at=house.real_clock.now()))


def try_backup(house: House, file: Path) -> dict[str, int]:
    """Put a backup back into a database made for it, and keep that it is good.

    Returns:
        How many rows lie in each table of it.

    Raises:
        Refused: it is damaged, or not a backup of this service.
        KeyFileError: it was made with other keys.
    """
    copies = _copies(house)
    check_backup(copies, file, house.database.mark)
    with copies.trial() as engine:
        copies_of(engine, house.settings.postgres_programs).put_back(file)
        migrate(engine)
        rows = count_rows(engine)
    with house.database.work() as work:
        keep_proof(work, house.real_clock.now())
    return rows


@dataclass(frozen=True, kw_only=True, slots=True)
class PutBack:
    """What came of putting a backup back.

    Attributes:
        refused_again: how many stops and erasures the backup had forgotten.
        told: what else it had forgotten of officers and districts, a sentence each.
    """

    refused_again: int
    told: tuple[str, ...]


def restore(house: House, file: Path, *, replace: bool) -> PutBack:
    """Put a backup back in the database's place, at this version, with all stops and erasures since.

    Whoever was disabled since is so again, as far as the database that was there could be asked.

    Args:
        house: the service, of which nothing may run.
        file: the backup.
        replace: whether a database that is there may be replaced.

    Raises:
        Refused: a worker runs, a database is there, or the backup is damaged or not of this service.
        KeyFileError: it was made with other keys.
    """
    copies = _copies(house)
    check_backup(copies, file, house.database.mark)
    with house.only_worker():
        if copies.holds_something() and not replace:
            raise Refused("There is a database already: say --force to put the backup in its place.")
        refusals, before = _refusals(house), house.database.standing()
        copies.put_back(file)
        house.ready_database()
        with house.database.work() as work:
            again = settle_restored(work, refusals, house.service_clock.now(), house.real_clock.now())
        return PutBack(refused_again=again, told=(*_settle_standing(house, before), CODES))


def _settle_standing(house: House, before: Standing | None) -> tuple[str, ...]:
    """Shut out again whoever was, and say what else is to be done again."""
    if before is None:
        return (UNKNOWN,)
    with house.database.work() as work:
        after = standing(work)
        return (
            *shut_out_again(work, before, after, house.real_clock.now()),
            *forgotten(before, after),
        )


def _copies(house: House) -> Copies:
    return copies_of(house.database.engine, house.settings.postgres_programs)


def _refusals(house: House) -> Refusals:
    """Return who has said stop and who was erased, as the database to be replaced knows it, else as the journal does."""
    kept, there = house.journal.refusals(), house.database.refusals()
    return Refusals(stopped=there.stopped, erased=there.erased | kept.erased) if there else kept
