"""The database's version."""

import click

from service.cli.opening import open_house


@click.command()
def migrate() -> None:
    """Make the database, or bring it to this version.

    Run it once before the first start and after each new version; running it again does no harm.

    Example: trussline migrate
    """
    with open_house(any_version=True) as house:
        house.ready_database()
        click.echo(f"The database is ready, at version {house.schema_head}.")
