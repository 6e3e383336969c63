"""The pages."""

import click

from service.cli.opening import open_house
from service.logs import set_up
from service.web.serve import serve


@click.command()
def web() -> None:
    """Serve the pages, until Ctrl-C.

    Where is said by the settings web_host and web_port. The worker runs beside it: see trussline up.

    Example: TRUSSLINE_WEB_PORT=8081 trussline web
    """
    with open_house() as house:
        set_up()
        serve(
            house,
            house.settings.web_host,
            house.settings.web_port,
            ready=lambda url: click.echo(f"Pages are served at {url}/"),
        )
