"""The hold: why texts wait, and letting them go."""

import json

import click

from service.cli.opening import open_house
from service.use_cases.holding import Hold, release_hold, the_hold


@click.group()
def hold() -> None:
    """See why texts wait, and let them go.

    Example: trussline hold show
    """


@hold.command()
@click.option("--json", "as_json", is_flag=True, help="For programs: one JSON object.")
def show(*, as_json: bool) -> None:
    """Say whether texts wait, and why.

    Example: trussline hold show
    """
    with open_house() as house, house.database.look() as work:
        found = the_hold(work)
    click.echo(json.dumps(_plain(found)) if as_json else _words(found))


@hold.command()
@click.option("--yes", is_flag=True, help="Do not ask.")
def release(*, yes: bool) -> None:
    """Let texts go after you have looked at why they wait; it is kept in the record of what was done.

    Example: trussline hold release
    """
    with open_house() as house:
        with house.database.look() as work:
            found = the_hold(work)
        if found and not yes:
            click.confirm(f"{_words(found)}\nLet all texts go now?", abort=True)
        with house.database.work() as work:
            release_hold(work, None, house.real_clock.now())
    click.echo("Texts go again.")


def _words(found: Hold | None) -> str:
    if found is None:
        return "Nothing is held: texts may leave."
    return f"Held since {found.since:%Y-%m-%d %H:%M} UTC. {found.detail}"


def _plain(found: Hold | None) -> dict[str, str | None]:
    if found is None:
        return {"reason": None}
    return {"reason": found.reason, "since": found.since.isoformat(), "detail": found.detail}
