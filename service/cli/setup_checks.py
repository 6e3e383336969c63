"""What setup makes sure of before it writes anything: a folder that can be made, room, a gateway, the districts."""

from collections.abc import Sequence
from pathlib import Path
from typing import Final

from service.bootstrap import build
from service.cli.district_words import read_district
from service.core.errors import Refused, SettingError
from service.db.migrate import current, is_there, newest
from service.gateways.http_target import read_target
from service.settings import Settings
from service.space import free_bytes
from service.use_cases.districts import refuse_otherwise

_MEGABYTE: Final = 1024 * 1024


def refuse_before_writing(settings: Settings, districts: Sequence[str]) -> None:
    """Refuse what would break a setup off after it has begun to write.

    Args:
        settings: as they will be.
        districts: the answers, a name with its metres each.

    Raises:
        SettingError: the data folder cannot be made, or the gateway's address is none that may be used.
        Refused: there is too little room, or a district is there with other values.
    """
    _refuse_folder(settings.data_dir.absolute())
    refuse_little_room(settings, free_bytes(settings.data_dir))
    if settings.gateway == "http":
        read_target(
            settings.http_gateway_url,
            allow_plain=settings.http_gateway_allow_plain,
            allow_private=settings.http_gateway_allow_private,
        )
    _refuse_other_districts(settings, districts)


def _refuse_folder(folder: Path) -> None:
    """Try to make a folder, and take away again what was made for that."""
    missing = [path for path in (folder, *folder.parents) if not path.exists()]
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    except OSError as error:
        raise SettingError(
            f"data_dir is {str(folder)!r}, where no folder can be made ({error.strerror}): "
            "name one that you may write to."
        ) from error
    finally:
        for path in missing:
            if path.is_dir():
                path.rmdir()


def refuse_little_room(settings: Settings, free_bytes_there: int) -> None:
    """Refuse to begin where nothing could be pushed for want of room.

    Raises:
        Refused: fewer bytes are free than `least_free_mb` asks for.
    """
    free = free_bytes_there // _MEGABYTE
    if free < settings.least_free_mb:
        raise Refused(
            f"The disk of {settings.data_dir.absolute()} has {free} MB free, and least_free_mb asks for "
            f"{settings.least_free_mb}: make room there, or name a folder on another disk as data_dir."
        )


def _refuse_other_districts(settings: Settings, districts: Sequence[str]) -> None:
    if not is_there(settings.database):
        return
    house = build(settings)
    try:
        if current(house.database.engine) != newest():
            return
        with house.database.look() as work:
            known = work.people.districts()
    finally:
        house.close()
    for word in districts:
        name, elevation = read_district(word)
        refuse_otherwise(known, name=name, elevation_m=elevation)
