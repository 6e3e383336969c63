"""A feature phone in the terminal."""

import select
import sys
import threading
from collections.abc import Iterator
from typing import Final, TextIO
from zoneinfo import ZoneInfo

import click

from service.cli.opening import open_house
from service.core.errors import Refused
from service.core.phone import BadNumber, PhoneNumber, read_number
from service.gateways.simulator_link import SimulatorLink
from service.gateways.simulator_texts import PAGE, HandsetText
from service.gateways.simulator_wire import WireError
from service.settings import Settings

# So many of the last texts are shown when the phone is switched on.
_SHOWN: Final = 5
_GLANCE: Final = 0.2
# A second text of one answer comes this soon after the first.
_MORE: Final = 1.0


@click.command()
@click.argument("number")
@click.option(
    "--wait",
    type=click.FloatRange(0, 600),
    default=10.0,
    show_default=True,
    metavar="SECONDS",
    help="How long to wait for an answer.",
)
def phone(number: str, wait: float) -> None:
    """Be the phone with NUMBER on the simulated network: read its texts, type one, see the answer.

    NUMBER may be written as people of the country do, like 0621 234 567. An empty line waits for nothing; Ctrl-D
    hangs up. Lines may also come from a pipe.

    Example: echo HELP | trussline phone "0621 234 567"
    """
    with open_house() as house:
        handset = Handset(house.network, _read(number, house.settings), house.settings)
        handset.switch_on()
        stdin = sys.stdin
        if stdin.isatty():
            click.echo("Type a text and press Enter; Ctrl-D hangs up.")
        try:
            for line in handset.lines(stdin):
                handset.say(line, wait)
        except KeyboardInterrupt:
            click.echo()


def _read(number: str, settings: Settings) -> PhoneNumber:
    try:
        return read_number(number, settings.region)
    except BadNumber as error:
        raise click.BadParameter(str(error), param_hint="NUMBER") from error


class Handset:
    """Shows each text that arrives once, with its parts, and texts what is typed."""

    def __init__(self, network: SimulatorLink, number: PhoneNumber, settings: Settings) -> None:
        """Be `number` on `network`."""
        self._network = network
        self._number = number.e164
        self._service = settings.service_number
        self._zone = ZoneInfo(settings.zone)
        self._place = 0
        self._never = threading.Event()

    def switch_on(self) -> None:
        """Show the last texts.

        Raises:
            Refused: there is no network to be on.
        """
        health = self._network.health()
        if not health.up:
            raise Refused(
                f"There is no network ({health.detail}): start it with trussline up or trussline demo."
            )
        texts: list[HandsetText] = []
        while page := self._network.inbox(self._number, texts[-1].place if texts else 0):
            texts += page
            if len(page) < PAGE:
                break
        if len(texts) > _SHOWN:
            click.echo(f"({len(texts) - _SHOWN} earlier texts)")
        for text in texts[-_SHOWN:]:
            self._show(text)
        self._place = texts[-1].place if texts else 0

    def lines(self, stdin: TextIO) -> Iterator[str]:
        """Yield what is typed, line by line, and show what arrives meanwhile."""
        while True:
            if stdin.isatty():
                click.echo("> ", nl=False)
                self._listen(stdin)
            line = stdin.readline()
            if not line:
                return
            typed = line.strip()
            if typed and not stdin.isatty():
                click.echo(f"> {typed}")
            if typed:
                yield typed

    def say(self, text: str, wait: float) -> None:
        """Text the service and wait for its answer."""
        try:
            self._network.text_in(source=self._number, destination=self._service, text=text)
        except WireError as error:
            click.echo(f"That cannot be texted: {error.detail}.", err=True)
            return
        if not self._receive_within(wait):
            click.echo(f"(no answer within {wait:g} seconds)")
        else:
            self._receive_within(_MORE)

    def _listen(self, stdin: TextIO) -> None:
        """Show texts as they arrive, until something is typed."""
        while not select.select([stdin], [], [], _GLANCE)[0]:
            if self._receive(before="\n"):
                click.echo("> ", nl=False)

    def _receive_within(self, seconds: float) -> bool:
        """Show what arrives; return as soon as something did, or False after `seconds`."""
        for _ in range(max(1, round(seconds / _GLANCE))):
            if self._receive():
                return True
            self._never.wait(_GLANCE)
        return self._receive()

    def _receive(self, before: str = "") -> bool:
        texts = self._network.inbox(self._number, self._place)
        if texts:
            click.echo(before, nl=False)
        for text in texts:
            self._show(text)
            self._place = text.place
        return bool(texts)

    def _show(self, text: HandsetText) -> None:
        parts = "1 part" if text.parts == 1 else f"{text.parts} parts"
        click.echo(f"[{text.at.astimezone(self._zone):%a %d %b %H:%M}, {parts}] {text.text}")
        sys.stdout.flush()
