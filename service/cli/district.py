"""The districts farmers can name when they join, and the villages and groups in them."""

from typing import Final
from zoneinfo import available_timezones

import click

from flows.wording import of_district
from service.cli.district_words import HIGHEST, LOWEST
from service.cli.opening import open_house
from service.cli.strange_letters import as_written, refuse_strange_letters
from service.use_cases.changing_districts import change_district
from service.use_cases.districts import PlaceKind, add_district, add_place, refuse_otherwise, told_place


@click.group()
def district() -> None:
    """Say which districts there are: a farmer names one on joining.

    Example: trussline district add Ndaliro --elevation 2150
    """


@district.command()
@click.argument("name")
@click.option("--elevation", type=click.IntRange(LOWEST, HIGHEST), metavar="METRES", help="Above the sea.")
@click.option(
    "--latitude",
    type=click.FloatRange(-66, 66),
    metavar="DEGREES",
    help="South negative, like -3.4. Default: that of the zone's main place.",
)
@click.option("--zone", metavar="ZONE", help="IANA time zone. Default: that of the settings.")
@as_written
def add(
    name: str, elevation: int | None, latitude: float | None, zone: str | None, *, as_written: bool
) -> None:
    """Add the district NAME; one that is there already is changed by `trussline district change`.

    Farmers see districts numbered in the order they were added. WATER is reckoned with elevation and latitude.

    Example: trussline district add Ndaliro --elevation 2150 --latitude -3.4
    """
    _refuse_no_zone(zone)
    refuse_strange_letters(name, of_district, as_written=as_written)
    with open_house() as house, house.database.work() as work:
        tenths = _tenths(latitude)
        refuse_otherwise(work.people.districts(), name=name, zone=zone)
        zone = zone or house.settings.zone
        districts = add_district(work, name=name, zone=zone, elevation_m=elevation, latitude=tenths)
    click.echo(f"Districts, as farmers see them numbered: {', '.join(one.name for one in districts)}")


@district.command()
@click.argument("name")
@click.option("--elevation", type=click.IntRange(LOWEST, HIGHEST), metavar="METRES", help="Above the sea.")
@click.option(
    "--latitude", type=click.FloatRange(-66, 66), metavar="DEGREES", help="South negative, like -3.4."
)
@click.option("--zone", metavar="ZONE", help="IANA time zone; only while nobody has joined there.")
def change(name: str, elevation: int | None, latitude: float | None, zone: str | None) -> None:
    """Correct where the district NAME lies; what is not named stays.

    Plots that were taken to lie as high as the district do so still; those with a height of their own keep it.

    Example: trussline district change Ndaliro --elevation 2150
    """
    _refuse_no_zone(zone)
    with open_house() as house, house.database.work() as work:
        after, plots = change_district(
            work,
            name,
            now=house.real_clock.now(),
            elevation_m=elevation,
            latitude=_tenths(latitude),
            zone=zone,
        )
    also = f"; its height holds for {plots} of its plots too" if plots else ""
    click.echo(f"{after.name}: {told_place(after)}{also}")


def _tenths(latitude: float | None) -> int | None:
    return None if latitude is None else round(latitude * 10)


def _refuse_no_zone(zone: str | None) -> None:
    if zone is not None and zone not in available_timezones():
        raise click.BadParameter(f"{zone} is no IANA time zone: write one like Africa/Dar_es_Salaam.")


@district.command("list")
def show() -> None:
    """List the districts as farmers see them numbered, with what lies in them.

    Example: trussline district list
    """
    with open_house() as house, house.database.look() as work:
        for number, one in enumerate(work.people.districts(), start=1):
            height = "" if one.elevation_m is None else f", {one.elevation_m:,} m"
            place = "" if one.latitude is None else f", latitude {one.latitude / 10:g}"
            click.echo(f"{number}. {one.name} ({one.zone}{height}{place})")
            within = frozenset({one.id})
            for kind, places in (
                ("villages", work.places.villages(within)),
                ("groups", work.places.groups(within)),
            ):
                if places:
                    click.echo(f"   {kind}: {', '.join(place.name for place in places)}")


@click.group()
def village() -> None:
    """Say which villages lie in a district: officers search and warn by them.

    Example: trussline village add "Upper Field" --district Ndaliro
    """


@click.group("group")
def farmer_group() -> None:
    """Say which groups of farmers bring their fruit together.

    Example: trussline group add "Basket Group" --district Ndaliro
    """


_DISTRICT: Final = click.option("--district", required=True, metavar="NAME", help="The district it lies in.")


@village.command("add")
@click.argument("name")
@_DISTRICT
def add_village(name: str, district: str) -> None:
    """Add the village NAME to a district.

    Example: trussline village add "Upper Field" --district Ndaliro
    """
    _add(PlaceKind.VILLAGE, name, district)


@farmer_group.command("add")
@click.argument("name")
@_DISTRICT
def add_group(name: str, district: str) -> None:
    """Add the group NAME to a district.

    Example: trussline group add "Basket Group" --district Ndaliro
    """
    _add(PlaceKind.GROUP, name, district)


def _add(kind: PlaceKind, name: str, district: str) -> None:
    with open_house() as house, house.database.work() as work:
        found = add_place(work, kind, district=district, name=name)
    click.echo(f"Added to {found.name}: {' '.join(name.split())}")
