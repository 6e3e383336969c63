"""The demo: an invented programme, shown in a browser."""

import errno
import http.client
import socket
import sys
import threading
import webbrowser
from collections.abc import Sequence
from datetime import datetime
from pathlib import Path
from typing import Final

import click

from scheduler.rehearsal import rehearse
from service.bootstrap import House, build
from service.cli.arguments import PORT
from service.cli.children import Children
from service.cli.simulator import JOURNAL
from service.cli.up import address, start_network, start_service
from service.core.errors import Refused
from service.core.rights import Role
from service.demo import DAYS_BACK, demo_settings, is_demo, keep_settings, make_demo, only_demo
from service.demo_played import Played
from service.ids import one_time_code
from service.settings import Settings, environment_for
from service.use_cases.officers import add_officer, reset_officer

_OFFICER: Final = "Demo officer"
_GLANCE: Final = 0.2
_PATIENCE: Final = 60.0


@click.command()
@click.option(
    "--port",
    type=PORT,
    metavar="PORT",
    default=8000,
    show_default=True,
    help="Port of the pages, on this machine.",
)
@click.option("--browser/--no-browser", default=True, help="Open the pages in a browser, or only say where.")
@click.option(
    "--data",
    type=click.Path(file_okay=False, path_type=Path),
    default=Path(".trussline-demo"),
    show_default=True,
    help="Folder the demo is kept in; delete it to begin anew.",
)
def demo(*, port: int, browser: bool, data: Path) -> None:
    """Show everything with invented farmers and phones that exist only here, until Ctrl-C.

    No settings are read and nobody is texted. Started again, it goes on where it stopped.

    Example: trussline demo --port 8001 --no-browser
    """
    made = not is_demo(data)
    if not made:
        with only_demo(data):
            pass
    _refuse_taken(port)
    if made:
        click.echo("Making an invented district: its farmers join, are reminded and text their weights.")
        click.echo("That takes from a quarter of a minute to a minute.")
        make_demo(data, play)
    with only_demo(data):
        _run(demo_settings(data, web_port=port), browser=browser, made=made)
    click.echo("Stopped.")


def _run(settings: Settings, *, browser: bool, made: bool) -> None:
    logs = settings.data_dir / "logs"
    with Children(environment=environment_for(keep_settings(settings)), logs=logs) as children:
        settings = settings.model_copy(update={"simulator_port": start_network(children, "--port", "0")})
        file = keep_settings(settings)
        code = _sign_in(settings)
        start_service(children)
        if _ready(children, settings):
            _greet(settings, code, file, made=made)
            if browser:
                _open(f"{address(settings)}/")
            children.wait()


def play(house: House, texts: Sequence[Played], until: datetime) -> None:
    """Let the farmers of the demo text and the service answer, up to the day the demo begins."""
    rehearse(house, texts, until, journal=house.settings.data_dir / JOURNAL)


def _refuse_taken(port: int) -> None:
    with socket.socket() as trial:
        # As servers do, so that a port is not called taken for a minute after the last demo.
        trial.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            trial.bind(("127.0.0.1", port))
        except OSError as error:
            why = "is not yours to use" if error.errno == errno.EACCES else "is taken"
            raise Refused(f"Port {port} {why}: choose another with --port.") from error


def _sign_in(settings: Settings) -> str:
    """Bring the database to this version and return a fresh one-time code for its officer."""
    code = one_time_code()
    house = build(settings)
    try:
        house.ready_database()
        with house.database.work() as work:
            now = house.real_clock.now()
            if work.staff.officer(_OFFICER) is None:
                add_officer(work, name=_OFFICER, code=code, now=now, role=Role.ADMINISTRATOR)
            else:
                # Whoever tried a second factor in the demo gets in again with the code alone.
                reset_officer(work, _OFFICER, code=code, now=now)
    finally:
        house.close()
    return code


def _ready(children: Children, settings: Settings) -> bool:
    """Wait until the pages say that everything is ready; return False if a signal came first.

    Raises:
        Refused: a child has ended, or nothing is ready after a minute.
    """
    never = threading.Event()
    for _ in range(round(_PATIENCE / _GLANCE)):
        if children.stopping():
            return False
        if _answers(settings):
            return True
        never.wait(_GLANCE)
    raise Refused(
        f"The pages are not ready after {_PATIENCE:.0f} seconds: {settings.data_dir / 'logs'} may say why."
    )


def _answers(settings: Settings) -> bool:
    connection = http.client.HTTPConnection(settings.web_host, settings.web_port, timeout=5)
    try:
        connection.request("GET", "/readyz")
        return connection.getresponse().status == http.HTTPStatus.OK
    except OSError:
        return False
    finally:
        connection.close()


def _greet(settings: Settings, code: str, file: Path, *, made: bool) -> None:
    pages = address(settings)
    lines = [
        "",
        f"The pages             {pages}/",
        f"Sign in once with     {code}",
        f"The practice phone    {pages}/practice   (after signing in)",
        f'A phone in a terminal TRUSSLINE_FILE={file} {_program()} phone "0621 234 512"',
        "",
        "No emergency number is set: that is allowed in a demo only.",
    ]
    if made:
        lines += [
            f"Its clock began {DAYS_BACK} days back and runs to the present now, with all that falls into those days.",
            f"New keys lie in {settings.keys}: without them no number in its database can be read.",
        ]
    click.echo("\n".join([*lines, "Ctrl-C stops it; started again, it goes on from there.", ""]))


def _program() -> Path:
    """Return how our program is called from here; its folder is on nobody's search path."""
    program = Path(sys.executable).with_name("trussline")
    here = Path.cwd()
    return program.relative_to(here) if program.is_relative_to(here) else program


def _open(url: str) -> None:
    """Open a page, unless that would put a browser for terminals over our own words."""
    try:
        found = webbrowser.get()
    except webbrowser.Error:
        return
    if type(found) is not webbrowser.GenericBrowser:
        found.open(url)
