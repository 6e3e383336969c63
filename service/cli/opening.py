"""Opening the service for one command, and closing it whatever becomes of that command."""

from collections.abc import Iterator
from contextlib import contextmanager

import click

from service.bootstrap import House, build
from service.settings import load_settings


@contextmanager
def open_house(*, any_version: bool = False) -> Iterator[House]:
    """Put the service together as the settings say.

    Args:
        any_version: whether the database may be at another version than this one.

    Raises:
        TrusslineError: a setting is wrong, or the database is not at this version.
    """
    house = build(load_settings())
    try:
        if house.keys_were_made:
            click.echo(keys_note(house), err=True)
        if not any_version:
            house.check_database()
        yield house
    finally:
        house.close()


@contextmanager
def open_unready() -> Iterator[House]:
    """Put the service together without looking at its database, which may be damaged or not there.

    Raises:
        TrusslineError: a setting is wrong.
    """
    house = build(load_settings())
    try:
        yield house
    finally:
        house.close()


def keys_note(house: House) -> str:
    """Return what to do with keys that were made just now."""
    return (
        f"New keys were made in {house.settings.keys}. Without them no phone number in the database can be read:\n"
        "print them with `trussline keys`, and keep the sheet apart from all backups."
    )
