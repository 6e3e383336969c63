"""The demo's folder: its settings, its districts, and what its invented farmers texted before it begins.

What they texted is played through the service by whoever makes the folder, so that nothing in the database is written
past the steps that serve real texts. The figures come from a rule, not from chance: two demos made on one day are alike.

The folder is made under another name and renamed when it is whole: a demo is there or it is not.
"""

import fcntl
import json
import shutil
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Final

from service.bootstrap import OFFSET, House, build
from service.clock import local_day, local_instant
from service.core.errors import Refused
from service.core.money_ports import NewPrice
from service.demo_collection import collection_deeds
from service.demo_data import (
    DISTRICTS,
    FARMERS,
    LATITUDE,
    MONEY,
    PRICES,
    PROGRAMME,
    REGION,
    ZONE,
    DemoFarmer,
    number,
    planted_on,
)
from service.demo_played import DemoText, Played
from service.demo_weather import bring_weather
from service.setting_file import read_settings_file
from service.settings import Settings, given_settings
from service.use_cases.demo_clock import WISH
from service.use_cases.planting import DEFAULT_PICK_GAP

SETTINGS: Final = "demo.toml"
_RUNNING: Final = "demo.running"
# The worker starts so far back and steps to the present, so that the last days' texts are made by the service itself.
DAYS_BACK: Final = 10
_PICKING_WEEKS: Final = 4
_YOUNGEST_PICKER: Final = 160
_SENDER_RATE: Final = 200.0
# Whoever tries the practice phones types more than any farmer does in an hour.
_REPLIES_AN_HOUR: Final = 60
_WORDS: Final = {"en": ("JOIN", "YES", "HARVEST"), "sw": ("JIUNGE", "NDIYO", "VUNA")}


Play = Callable[[House, Sequence[Played], datetime], None]


def demo_settings(folder: Path, *, web_port: int, simulator_port: int | None = None) -> Settings:
    """Return the settings of a demo that lives in `folder`."""
    given = given_settings(
        programme=PROGRAMME,
        region=REGION,
        zone=ZONE,
        data_dir=folder.absolute(),
        web_port=web_port,
        sender_rate=_SENDER_RATE,
        demo=True,
        replies_an_hour=_REPLIES_AN_HOUR,
    )
    return given if simulator_port is None else given.model_copy(update={"simulator_port": simulator_port})


def keep_settings(settings: Settings) -> Path:
    """Write the settings down for the demo's processes and for other commands; return the file."""
    lines = [
        # JSON's strings, numbers and truths are TOML's as well.
        f"{name} = {json.dumps(value, default=str)}"
        for name, value in settings.model_dump(exclude_none=True).items()
    ]
    file = settings.data_dir / SETTINGS
    file.write_text("\n".join(["# Written anew by each start of the demo.", *lines, ""]), encoding="utf-8")
    return file


def is_demo(folder: Path) -> bool:
    """Return whether a demo lives in `folder`."""
    return (folder / SETTINGS).exists()


@contextmanager
def only_demo(folder: Path) -> Iterator[None]:
    """Hold the demo that lives in `folder`; however its holder ends, the system lets it go.

    Raises:
        Refused: it is running already.
    """
    with (folder / _RUNNING).open("a", encoding="utf-8") as file:
        try:
            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError as error:
            port = read_settings_file(folder / SETTINGS)["web_port"]
            raise Refused(
                f"A demo is running already on port {port}: use it, or end it first (Ctrl-C there)."
            ) from error
        yield


def make_demo(folder: Path, play: Play) -> None:
    """Make the demo's folder.

    Args:
        folder: what to make; it may be there if it is empty.
        play: lets the farmers text and the service answer, each at its own time.

    Raises:
        Refused: the folder holds something else, or cannot be made.
    """
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise Refused(f"{folder} holds something that is no demo: name an empty or a new folder with --data.")
    making = folder.absolute().with_name(f"{folder.name}.making")
    try:
        shutil.rmtree(making, ignore_errors=True)
        making.mkdir(parents=True)
        _fill(making, play)
        making.replace(folder)
    except OSError as error:
        raise Refused(
            f"The demo cannot be made in {folder} ({error.strerror}): name another folder with --data."
        ) from error


def _fill(folder: Path, play: Play) -> None:
    settings = demo_settings(folder, web_port=8000)
    house = build(settings)
    try:
        house.ready_database()
        begin = house.real_clock.now() - timedelta(days=DAYS_BACK)
        with house.database.work() as work:
            for name, elevation in DISTRICTS:
                work.people.add_district(name, ZONE, elevation, LATITUDE)
            districts = {one.name: one.id for one in work.people.districts()}
            for price in _prices(house, districts, house.real_clock.now()):
                work.prices.add(price)
            work.staff.put_setting(OFFSET, str(-24 * DAYS_BACK))
            work.staff.put_setting(WISH, str(24 * DAYS_BACK))
            work.commit()
        played = [*_texts(begin), *collection_deeds(begin, _text)]
        play(house, sorted(played, key=lambda one: one.at), begin)
        with house.database.work() as work:
            bring_weather(work, house.tools, house.real_clock.now())
    finally:
        house.close()
    keep_settings(settings)


def _prices(house: House, districts: Mapping[str, int], now: datetime) -> Iterator[NewPrice]:
    """Yield what a kilo brought lately; of one district nothing is known."""
    for district, market, minor, ago in PRICES:
        yield NewPrice(
            id=house.tools.ids.row(),
            district_id=districts[district],
            market=market,
            crop_class="",
            minor=minor,
            currency=house.tools.programme.currency.code,
            quoted_on=local_day(now, ZONE) - timedelta(days=ago),
            officer_id=None,
            at=now,
        )


def _texts(begin: datetime) -> Iterator[DemoText]:
    """Yield all that the farmers texted before the instant at which the demo begins."""
    last = local_day(begin, ZONE) - timedelta(days=1)
    for place, farmer in enumerate(FARMERS):
        join, yes, _ = _WORDS[farmer.language]
        planted = planted_on(farmer, last + timedelta(days=DAYS_BACK + 1))
        joined = max(planted + timedelta(days=1), last - timedelta(days=49 + place))
        at = local_instant(joined, 9, ZONE) + timedelta(minutes=4 * place)
        words = f"{join} {farmer.name} {farmer.plants} {planted:%d/%m/%Y} {farmer.district}"
        yield _text(farmer, at, words)
        yield _text(farmer, at + timedelta(minutes=2), yes)
        if farmer.age - DAYS_BACK >= _YOUNGEST_PICKER:
            yield from _weights(farmer, joined.weekday(), place, last)
        for name, back, words in MONEY:
            if name == farmer.name:
                yield _text(farmer, local_instant(last - timedelta(days=back), 19, ZONE), words)


def _weights(farmer: DemoFarmer, text_day: int, place: int, last: date) -> Iterator[DemoText]:
    """Yield the weights of the last weeks, of the picking days that joining has set."""
    pick_days = {text_day, (text_day + DEFAULT_PICK_GAP) % 7}
    for back in range(7 * _PICKING_WEEKS, -1, -1):
        day = last - timedelta(days=back)
        # Each farmer forgets a pick now and then.
        if day.weekday() not in pick_days or (back + place) % 9 == 0:
            continue
        at = local_instant(day, 17, ZONE) + timedelta(minutes=3 * place)
        # 7 to 15 g a plant and pick, in steps of 100 g, as a kitchen scale shows it.
        hectograms = farmer.plants * (7 + (5 * back + 3 * place) % 9) // 100
        yield _text(farmer, at, f"{_WORDS[farmer.language][2]} {hectograms / 10:g}")


def _text(farmer: DemoFarmer, at: datetime, words: str) -> DemoText:
    return DemoText(at=at, number=number(farmer.phone), words=words, whom=farmer.name)
