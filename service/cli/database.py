"""The database's version."""

import click

from service.cli.opening import open_new


@click.command()
@click.option(
    "--new", is_flag=True, help="Begin anew although the keys or the journal of a programme are there."
)
def migrate(*, new: bool) -> None:
    """Make the database and its keys, or bring the database to this version.

    Run it once before the first start and after each new version; running it again does no harm.

    Example: trussline migrate
    """
    with open_new(new=new) as house:
        house.ready_database()
        click.echo(f"The database is ready, at version {house.schema_head}.")
