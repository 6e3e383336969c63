"""Everything at once, for one machine."""

import click

from service.cli.children import Children
from service.cli.opening import open_house
from service.settings import Settings

_SIMULATOR = "simulator"


@click.command()
def up() -> None:
    """Run everything on this machine, until Ctrl-C: the worker, the pages, the simulated network if it is used.

    If one of them ends by itself the others are stopped and this command says which it was.

    Example: TRUSSLINE_FILE=programme.toml trussline up
    """
    with open_house() as house:
        house.check_gateway()
        # Asked before the network's port is found taken: two of these on one database is what has happened then.
        with house.only_worker():
            pass
        settings = house.settings
    with Children() as children:
        if settings.gateway == _SIMULATOR:
            port = start_network(children)
            click.echo(f"Started the simulated network on loopback port {port}.")
        start_service(children)
        click.echo(f"Started the worker, and the pages at {address(settings)}/. Ctrl-C stops everything.")
        children.wait()
    click.echo("Stopped.")


def start_network(children: Children, *arguments: str) -> int:
    """Start the simulated network and return its port.

    It listens once it has told its port: a worker that found nobody would let its texts wait.
    """
    return int(children.first_line(children.start(_SIMULATOR, *arguments, told=True)))


def start_service(children: Children) -> None:
    """Start the worker and the pages."""
    for name in ("worker", "web"):
        children.start(name)


def address(settings: Settings) -> str:
    """Return the URL of the pages, without a slash at its end."""
    host = f"[{settings.web_host}]" if ":" in settings.web_host else settings.web_host
    return f"http://{host}:{settings.web_port}"
