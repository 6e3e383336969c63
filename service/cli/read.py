"""What the service would make of a text, at a terminal and for programs."""

import json
from collections.abc import Iterator, Mapping
from datetime import datetime
from typing import Any, Final, TextIO
from zoneinfo import ZoneInfo

import click

from flows.catalogue import load_catalogue
from service.bootstrap import gather_tools
from service.clock import RealClock
from service.core.errors import Refused
from service.ids import Ids
from service.settings import load_settings
from service.use_cases.tools import Tools
from service.use_cases.trying_texts import Tried, try_text

_PLANTS: Final = 400
_MOST_PLANTS: Final = 1_000_000
_KEYS: Final = frozenset({"text", "lang", "at", "plants"})


@click.command()
@click.argument("text", required=False)
@click.option("--lang", metavar="CODE", help="The farmer's language, like en or sw; else the programme's.")
@click.option("--at", metavar="TIME", help="When it comes in, local: 2026-11-25T10:00; else now.")
@click.option(
    "--plants",
    type=click.IntRange(1, _MOST_PLANTS),
    default=_PLANTS,
    show_default=True,
    help="How many plants the farmer has.",
)
@click.option(
    "--lines",
    type=click.File(encoding="utf-8"),
    help="A file with one text a line, or one JSON object with text, lang, at and plants; - is the input.",
)
@click.option("--json", "as_json", is_flag=True, help="For programs: one JSON object a line.")
def read(
    text: str | None, lang: str | None, at: str | None, plants: int, lines: TextIO | None, *, as_json: bool
) -> None:
    """Tell what the service would make of TEXT from a farmer who has joined and has told nothing before.

    Nothing is kept or sent, and no database is needed. Where a question goes back, nothing would be kept before it
    is answered.

    Example: trussline read "vuna kilo 8 na nusu jana" --lang sw --at 2026-11-25T10:00
    """
    if (text is None) == (lines is None):
        raise click.UsageError("Give one text, or --lines with a file of them.")
    tools = _tools()
    given = {"lang": lang, "at": at, "plants": plants}
    every = _every(lines) if lines else iter([{"text": text}])
    for number, one in enumerate(every, start=1):
        tried = _try(tools, {**given, **one}, f"line {number}" if lines else "--at")
        click.echo(json.dumps(_plain(tried), ensure_ascii=False) if as_json else "\n".join(_told(tried)))


def _tools() -> Tools:
    settings = load_settings()
    return gather_tools(settings, load_catalogue(default=settings.language), Ids())


def _every(lines: TextIO) -> Iterator[Mapping[str, Any]]:
    for number, line in enumerate(lines, start=1):
        typed = line.rstrip("\r\n")
        if typed.lstrip().startswith("{"):
            yield _object(typed, number)
        else:
            yield {"text": typed}


def _object(line: str, number: int) -> Mapping[str, Any]:
    try:
        given = json.loads(line)
    except json.JSONDecodeError as error:
        raise Refused(
            f"Line {number} begins like a JSON object and is none ({error.msg}): write it anew."
        ) from error
    if not isinstance(given.get("text"), str):
        raise Refused(f'Line {number} has no "text": write {{"text": "..."}} or the bare text.')
    return {key: value for key, value in given.items() if key in _KEYS and value is not None}


def _try(tools: Tools, given: Mapping[str, Any], where: str) -> Tried:
    at, plants = given["at"], given["plants"]
    if not isinstance(plants, int) or isinstance(plants, bool) or not 1 <= plants <= _MOST_PLANTS:
        raise Refused(
            f"The plants of {where} are no number from 1 to {_MOST_PLANTS}: write how many there are."
        )
    try:
        moment = datetime.fromisoformat(at) if at else _now(tools)
    except (TypeError, ValueError) as error:
        raise Refused(f"'{at}' ({where}) is no time: write it like 2026-11-25T10:00.") from error
    language = given["lang"] if isinstance(given["lang"], str) else None
    return try_text(tools, given["text"], language=language, on=moment.date(), plants=plants)


def _now(tools: Tools) -> datetime:
    return RealClock().now().astimezone(ZoneInfo(tools.programme.zone))


def _plain(tried: Tried) -> Mapping[str, Any]:
    return {
        "readings": [heard.plain() for heard in tried.readings],
        "ask": tried.ask,
        "why": list(tried.why),
    }


def _told(tried: Tried) -> Iterator[str]:
    for heard in tried.readings:
        yield " ".join(str(value) for value in heard.plain().values() if value is not None)
    if tried.ask is not None:
        yield f"Asks: {tried.ask}"
    yield f"Why: {'; '.join(tried.why)}"
