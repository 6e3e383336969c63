"""Backups: making one, trying one, putting one back."""

from pathlib import Path

import click

from service.cli.opening import open_house, open_unready
from service.restore import back_up, restore, try_backup

_FILE = click.Path(dir_okay=False, path_type=Path)
_SHOWN = ("farmer", "plot", "harvest", "message", "inbound")


@click.command("backup")
@click.argument("file", type=_FILE)
def make(file: Path) -> None:
    """Write a backup of the database to FILE, while the service runs.

    The copy is read through before it gets its name. The keys are not in it: print them with trussline keys, and
    keep that sheet apart from the backups. Numbers are sealed in a backup, names and texts are not.

    Example: trussline backup /backups/monday.db
    """
    with open_house() as house:
        back_up(house, file)
    click.echo(f"The backup {file} is whole, {file.stat().st_size / 1_000_000:.1f} MB.")


@click.command("restore")
@click.argument("file", type=_FILE)
@click.option("--force", is_flag=True, help="Put it in the place of the database that is there.")
@click.option("--trial", is_flag=True, help="Only try it, in a database made for that; nothing is replaced.")
def put_back(file: Path, *, force: bool, trial: bool) -> None:
    """Put the backup FILE back, or try whether that would work.

    Stop the worker and the pages first. Whoever has said stop or was erased since the backup is so again, and
    so is an officer who was disabled; what else it has forgotten of officers and districts is told. When the
    worker starts next it compares the database with the send journal: what was sent after the backup is not sent
    again, and all else waits until you say trussline hold release.

    Example: trussline restore /backups/monday.db --trial
    """
    if trial:
        with open_house() as house:
            rows = try_backup(house, file)
        said = ", ".join(f"{rows[table]} {table} rows" for table in _SHOWN)
        click.echo(f"The backup {file} is good: {said}.")
        return
    with open_unready() as house:
        done = restore(house, file, replace=force)
    click.echo(
        f"The backup {file} was put back. Stops and erasures since then, put back too: {done.refused_again}."
    )
    for sentence in done.told:
        click.echo(sentence)
    click.echo("Start the service: it holds all texts if any were sent after the backup.")
