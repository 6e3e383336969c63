"""The districts farmers can name when they join."""

from zoneinfo import available_timezones

import click

from service.cli.opening import open_house
from service.use_cases.districts import add_district


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
    with open_house() as house, house.database.work() as work:
        zone = zone or house.settings.zone
        districts = add_district(work, name=name, zone=zone, elevation_m=elevation)
    click.echo(f"Districts, as farmers see them numbered: {', '.join(one.name for one in districts)}")
