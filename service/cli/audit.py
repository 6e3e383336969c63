"""The record of what officers did."""

import json
from typing import Final

import click

from service.cli.opening import open_house
from service.core.errors import Refused
from service.use_cases.audit import AuditRow, check_chain

_MOST: Final = 10_000


@click.group()
def audit() -> None:
    """Show and check the record of what officers did.

    Example: trussline audit check
    """


@audit.command()
def check() -> None:
    """Go through the whole record and say whether a row was changed, taken out or cut off.

    Ends with exit code 1 if one was. What does not hold was changed behind the service's back: keep a copy of the
    database and find out who could write to it.

    Example: trussline audit check
    """
    with open_house() as house, house.database.look() as work:
        checked = check_chain(work.audit)
    if checked.wrong:
        raise Refused(f"The record does not hold: {checked.wrong}. Rows before it that hold: {checked.rows}.")
    click.echo(f"The record holds: {checked.rows} rows.")


@audit.command("list")
@click.option("--last", default=50, show_default=True, type=click.IntRange(1, _MOST), help="How many rows.")
@click.option("--json", "as_json", is_flag=True, help="One JSON object a line, for other programs.")
def show(last: int, *, as_json: bool) -> None:
    """Show the last rows of the record, the newest first.

    Example: trussline audit list --last 20
    """
    with open_house() as house, house.database.look() as work:
        rows = work.audit.newest(last)
    for row, name in rows:
        click.echo(json.dumps(_plain(row, name)) if as_json else _line(row, name))


def _line(row: AuditRow, name: str | None) -> str:
    told = ", ".join(f"{key} {json.dumps(value)}" for key, value in sorted(row.detail.items()))
    who = name or "the terminal"
    return f"{row.id:>6}  {row.at:%Y-%m-%d %H:%M:%S}Z  {who}  {row.action}  {row.subject}  {told}".rstrip()


def _plain(row: AuditRow, name: str | None) -> dict[str, object]:
    return {
        "id": row.id,
        "at": row.at.isoformat(),
        "officer": name,
        "action": row.action,
        "subject": row.subject,
        "detail": dict(row.detail),
    }
