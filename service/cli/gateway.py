"""The gateway that speaks signed HTTP: its keys, a look at it, and calls to try it with."""

import json
import os
import shlex
from collections.abc import Mapping
from datetime import datetime, timedelta
from pathlib import Path
from typing import Final

import click

from service import ids
from service.cli.opening import open_house
from service.cli.up import address
from service.clock import RealClock
from service.core.errors import Refused
from service.core.gateway import OutgoingText
from service.core.phone import BadNumber, read_number
from service.gateways.choice import http
from service.gateways.http import OUTGOING, outgoing_body
from service.gateways.signing import read_keys, write_key
from service.settings import Settings, load_settings

# phonenumbers' example of a mobile number in Tanzania: nobody has it.
_NOBODY: Final = "+255621234567"
_AN_HOUR: Final = timedelta(hours=1)


@click.group()
def gateway() -> None:
    """Set up the way out to phones, look at it and try it.

    Example: trussline gateway try
    """


@gateway.command()
@click.argument("file", type=click.Path(dir_okay=False, path_type=Path))
def key(file: Path) -> None:
    """Put a new key at the top of FILE, which is made if it is not there.

    The keys below it go on being known, so that both sides can change to the new one without a pause. Give the line to
    the other side first, then restart the service if it is a send key; the keys of what is received are read with each
    post. Take the old lines out once both sides use the new one. A folder that is not there is not made.

    Example: trussline gateway key trussline-data/gateway-send.keys
    """
    before = file.read_text("ascii") if file.exists() else ""
    made = file.with_name(f"{file.name}.new")
    try:
        handle = os.open(made, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
        with os.fdopen(handle, "w", encoding="ascii") as text:
            text.write(f"{write_key(ids.key())}\n{before}")
        made.replace(file)
    except OSError as error:
        raise Refused(
            f"The key cannot be put into {file} ({error.strerror}): choose another FILE."
        ) from error
    click.echo(
        f"A new key stands at the top of {file}. Give that line to the other side, and to nobody else."
    )


@gateway.command()
def check() -> None:
    """Say whether texts could leave: what forbids it, and whether the gateway can be reached.

    Example: trussline gateway check
    """
    with open_house() as house:
        for reason in house.gateway_refusals():
            click.echo(reason)
        health = house.gateway.health()
    click.echo(f"{house.gateway.name}: {'up' if health.up else 'down'}, {health.detail}")
    if not health.up:
        raise Refused("Nothing can leave now.")


@gateway.command("try")
@click.option("--to", "number", default=_NOBODY, show_default=True, help="The phone a text is to go to.")
@click.option("--text", default="A text to try the gateway with.", help="What the text says.")
@click.option("--from", "sender", default=_NOBODY, show_default=True, help="The phone that texts in.")
@click.option("--says", default="HELP", show_default=True, help="What that phone texts.")
@click.option("--hook", help="Where gateways post to. Default: these pages on this machine.")
def try_it(*, number: str, text: str, sender: str, says: str, hook: str | None) -> None:
    """Print the very calls that pass between a gateway and us, signed with the keys of this service.

    Each is a line for a shell, good for five minutes. The first hands a text to the gateway, as this service would. The
    second posts a phone's text to this service, and the third a receipt, as the gateway would.

    Example: trussline gateway try --to "0621 234 567"
    """
    settings, now = load_settings(), RealClock().now()
    hook = hook or f"{address(settings)}/hooks/v1/http"
    click.echo("# A text to a phone, through the gateway:")
    click.echo(_outgoing(settings, number, text, now))
    click.echo("\n# A phone's text, from the gateway to this service:")
    inbound = {
        "message_ref": ids.Ids().reference(),
        "source": sender,
        "destination": settings.service_number,
        "text": says,
        "received_at": _stamp(now),
    }
    click.echo(_posted(settings, hook, "sms.inbound", inbound, now))
    click.echo(
        "\n# A receipt for a text this service never sent: it is kept for three days, and does nothing:"
    )
    receipt = {
        "our_ref": None,
        "gateway_ref": "tried-by-hand",
        "stage": "delivered",
        "part": None,
        "code": {"scheme": "smpp", "value": 2},
        "at": _stamp(now),
        "final": True,
    }
    click.echo(_posted(settings, hook, "sms.progress", receipt, now))


def _outgoing(settings: Settings, number: str, text: str, now: datetime) -> str:
    try:
        destination = read_number(number, settings.region).e164
    except BadNumber as error:
        raise Refused(str(error)) from error
    outgoing = OutgoingText(
        our_ref=ids.Ids().reference(), destination=destination, text=text, valid_until=now + _AN_HOUR
    )
    body = outgoing_body(outgoing, settings.service_number)
    way_out = http(settings, RealClock())
    return _curl(f"{way_out.target.url}{OUTGOING}", way_out.headers(outgoing.our_ref, body), body)


def _posted(settings: Settings, hook: str, kind: str, data: Mapping[str, object], now: datetime) -> str:
    post_id = ids.Ids().reference()
    post = {"type": kind, "id": post_id, "time": _stamp(now), "gateway": "http", "data": data}
    body = json.dumps(post, ensure_ascii=False).encode()
    signed = read_keys(settings.gateway_receive_keys).sign(id=post_id, at=now, body=body)
    return _curl(hook, {"Content-Type": "application/json", **signed}, body)


def _curl(url: str, headers: Mapping[str, str], body: bytes) -> str:
    """Return a call as one line for a shell."""
    named = [f"-H {shlex.quote(f'{name}: {value}')}" for name, value in headers.items()]
    return " ".join(
        ["curl --fail-with-body", *named, f"--data-binary {shlex.quote(body.decode())}", shlex.quote(url)]
    )


def _stamp(instant: datetime) -> str:
    return instant.isoformat(timespec="seconds").replace("+00:00", "Z")
