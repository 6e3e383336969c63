"""The districts farmers can name when they join."""

from zoneinfo import available_timezones

import click

from service.cli.opening import open_house
from service.core.errors import Refused


@click.group()
def district() -> None:
    """Say which districts there are: a farmer names one on joining.

    Example: trussline district add Ndaliro --elevation 2150
    """


@district.command()
@click.argument("name")
@click.option("--elevation", type=click.IntRange(-400, 6000), metavar="METRES", help="Above the sea.")
@click.option("--zone", metavar="ZONE", help="IANA time zone. Default: that of the settings.")
def add(name: str, elevation: int | None, zone: str | None) -> None:
    """Add the district NAME; one that is there already is left as it is.

    Farmers see districts numbered in the order they were added.

    Example: trussline district add Ndaliro --elevation 2150
    """
    if zone is not None and zone not in available_timezones():
        raise click.BadParameter(f"{zone} is no IANA time zone: write one like Africa/Dar_es_Salaam.")
    plain = " ".join(name.split())
    if not plain:
        raise Refused("A district's name has at least one letter.")
    with open_house() as house, house.database.work() as work:
        work.people.add_district(plain, zone or house.settings.zone, elevation)
        names = [one.name for one in work.people.districts()]
        work.commit()
    click.echo(f"Districts, as farmers see them numbered: {', '.join(names)}")
