"""Opening the service for one command, and closing it whatever becomes of that command."""

from collections.abc import Iterator
from contextlib import contextmanager

import click

from service.beginning import refuse_without_keys, why_not_new
from service.bootstrap import House, build
from service.core.errors import Refused
from service.settings import load_settings


@contextmanager
def open_house() -> Iterator[House]:
    """Put the service together as the settings say.

    Raises:
        TrusslineError: a setting is wrong, the keys are not there, or the database is not at this version.
    """
    with open_unready() as house:
        house.check_database()
        yield house


@contextmanager
def open_unready() -> Iterator[House]:
    """Put the service together without looking at its database, which may be damaged or not there.

    Raises:
        TrusslineError: a setting is wrong, or the keys are not there.
    """
    settings = load_settings()
    refuse_without_keys(settings)
    house = build(settings)
    try:
        yield house
    finally:
        house.close()


@contextmanager
def open_new(*, new: bool) -> Iterator[House]:
    """Put the service together where its keys and its database may have to be made.

    Args:
        new: whether the programme may begin anew although there are traces of an earlier one.

    Raises:
        TrusslineError: a setting is wrong, or what is there shows that keys or database were lost.
    """
    settings = load_settings()
    lost = None if new else why_not_new(settings)
    if lost:
        raise Refused(lost)
    house = build(settings)
    try:
        if house.keys_were_made:
            click.echo(keys_note(house), err=True)
        yield house
    finally:
        house.close()


def keys_note(house: House) -> str:
    """Return what to do with keys that were made just now."""
    return (
        f"New keys were made in {house.settings.keys}. Without them no phone number in the database can be read:\n"
        "print them with `trussline keys`, and keep the sheet apart from all backups."
    )
