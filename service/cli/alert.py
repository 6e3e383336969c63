"""Alerts from the terminal: written, sent, watched and called off."""

import json
from collections.abc import Callable, Mapping
from dataclasses import asdict
from datetime import UTC, date, datetime, timedelta
from typing import Any, Final
from zoneinfo import ZoneInfo

import click

from flows.templates import TEMPLATES
from service.bootstrap import House
from service.cli.alert_telling import figures, preview_json, preview_lines
from service.cli.arguments import DAY, MOMENT
from service.cli.opening import open_house
from service.core.alert_states import STATE_WORDS
from service.core.alerts import Alert, Audience
from service.core.errors import Refused
from service.core.staff import Officer
from service.db.work import Work
from service.use_cases.alerts import deciding, drafting, previewing
from service.use_cases.alerts.counting import count
from service.use_cases.alerts.drafting import Order

_OF_USE: Final = timedelta(hours=12)
_BY: Final = click.option(
    "--by", required=True, metavar="OFFICER", help="Who does it; their districts count."
)
_NUMBER: Final = click.argument("number", type=int)
_JSON: Final = click.option("--json", "as_json", is_flag=True, help="Print one JSON object.")


@click.group()
def alert() -> None:
    """Warn all farmers of a district by text.

    Example: trussline alert new --by "Grace in Ndaliro" --district Ndaliro --template frost --figure -1
    """


def _officer(work: Work, name: str) -> Officer:
    found = next((one for one in work.staff.officers() if one.name.casefold() == name.casefold()), None)
    if found is None:
        raise Refused(f"There is no officer {name!r}: add one with trussline officer add.")
    return found


def _districts(work: Work, names: tuple[str, ...]) -> frozenset[int]:
    known = {one.name.casefold(): one.id for one in work.people.districts()}
    unknown = [name for name in names if name.casefold() not in known]
    if unknown:
        raise Refused(f"There is no district {unknown[0]}: trussline district list shows those there are.")
    return frozenset(known[name.casefold()] for name in names)


def _words(given: tuple[str, ...], languages: tuple[str, ...]) -> Mapping[str, str]:
    words = {}
    for one in given:
        language, separator, text = one.partition("=")
        if not separator or language not in languages:
            raise click.BadParameter(f"write --text LANGUAGE=TEXT, with one of {', '.join(languages)}")
        words[language] = text
    return words


@alert.command()
@_BY
@click.option("--district", "districts", multiple=True, required=True, help="May be given several times.")
@click.option("--template", type=click.Choice(list(TEMPLATES)), help="A pre-approved text.")
@click.option(
    "--date", "on", type=DAY, metavar="DATE", help="The day the template speaks of. Default: today."
)
@click.option("--figure", type=int, help="The template's figure: °C, chance in % or mm.")
@click.option("--text", "texts", multiple=True, metavar="LANGUAGE=TEXT", help="Own words, for each language.")
@click.option("--language", "languages", multiple=True, help="Only farmers who read it.")
@click.option("--from-metres", type=int, help="Only plots at least so high.")
@click.option("--below-metres", type=int, help="Only plots lower than this.")
@click.option("--urgent", is_flag=True, help="Own words may leave in quiet hours.")
@click.option("--at", "send_at", type=MOMENT, metavar="TIME", help="Local time, like 2026-03-25T17:30.")
@click.option("--until", type=MOMENT, metavar="TIME", help="Of no use after it. Default: twelve hours later.")
@click.option("--key", metavar="WORD", help="Names this order: given twice, it makes one alert.")
@_JSON
def new(
    *,
    by: str,
    districts: tuple[str, ...],
    template: str | None,
    on: date | None,
    figure: int | None,
    texts: tuple[str, ...],
    languages: tuple[str, ...],
    from_metres: int | None,
    below_metres: int | None,
    urgent: bool,
    send_at: datetime | None,
    until: datetime | None,
    key: str | None,
    as_json: bool,
) -> None:
    """Write an alert as a draft, and show whom it would reach and what it would cost.

    Nothing is sent: `trussline alert send` does that.

    Example: trussline alert new --by Grace --district Ndaliro --template frost --figure -1
    """
    with open_house() as house:
        now, zone = house.service_clock.now(), ZoneInfo(house.settings.zone)
        begins = _instant(send_at, zone)
        with house.database.work() as work:
            order = Order(
                idem_key=key or house.tools.ids.reference(),
                audience=Audience(
                    districts=_districts(work, districts),
                    languages=frozenset(languages),
                    metres_from=from_metres,
                    metres_below=below_metres,
                ),
                template=template,
                on=on or now.astimezone(zone).date(),
                figure=figure,
                words=_words(texts, house.tools.packs.languages),
                urgent=urgent,
                send_at=begins,
                useless_after=_instant(until, zone) or (begins or now) + _OF_USE,
            )
            made = drafting.draft(work, house.tools, _officer(work, by), order, now)
        with house.database.look() as work:
            preview = previewing.preview(work, house.tools, made, now)
    click.echo(preview_json(made, preview) if as_json else preview_lines(made, preview))


def _instant(wall: datetime | None, zone: ZoneInfo) -> datetime | None:
    return wall.replace(tzinfo=zone).astimezone(UTC) if wall else None


@alert.command()
@_NUMBER
@_BY
@click.option(
    "--anyway", metavar="REASON", help="Also to phones that get another alert that day; why it cannot wait."
)
@_JSON
def send(*, number: int, by: str, anyway: str | None, as_json: bool) -> None:
    """Let the draft NUMBER go, after the waiting time or once a second person has approved it.

    Example: trussline alert send 7 --by Grace
    """

    def confirm(house: House, work: Work, officer: Officer, now: datetime) -> Alert:
        draft = drafting.seen_by(work.alerts.look(number), officer)
        return deciding.confirm(
            work, house.tools, officer, number, digest=draft.digest, now=now, anyway=anyway
        )

    _decide(by, confirm, as_json=as_json)


@alert.command()
@_NUMBER
@_BY
@_JSON
def approve(*, number: int, by: str, as_json: bool) -> None:
    """Be the second person for alert NUMBER; its texts are shown.

    Example: trussline alert approve 7 --by Asha
    """
    with open_house() as house:
        with house.database.look() as work:
            waiting = drafting.seen_by(work.alerts.look(number), _officer(work, by))
        for text in waiting.texts:
            click.echo(f"{text.language}: {text.text}", err=True)
        click.confirm("Approve these texts?", abort=True, err=True)
        now, digest = house.service_clock.now(), waiting.digest
        with house.database.work() as work:
            done = deciding.approve(work, house.tools, _officer(work, by), number, digest=digest, now=now)
        _tell(house, done, as_json=as_json)


@alert.command("take-over")
@_NUMBER
@_BY
@_JSON
def take_over(*, number: int, by: str, as_json: bool) -> None:
    """Stand for the parked alert NUMBER, whose officer may send it no more; its texts stay as they are.

    Example: trussline alert take-over 7 --by Asha
    """

    def taken(house: House, work: Work, officer: Officer, now: datetime) -> Alert:
        parked = drafting.seen_by(work.alerts.look(number), officer)
        return deciding.take_over(work, house.tools, officer, number, digest=parked.digest, now=now)

    _decide(by, taken, as_json=as_json)


@alert.command()
@_NUMBER
@_BY
@_JSON
def pause(*, number: int, by: str, as_json: bool) -> None:
    """Let nothing more of alert NUMBER leave until it is resumed.

    Example: trussline alert pause 7 --by Grace
    """
    _decide(by, lambda _house, work, who, now: deciding.pause(work, who, number, now), as_json=as_json)


@alert.command()
@_NUMBER
@_BY
@_JSON
def resume(*, number: int, by: str, as_json: bool) -> None:
    """Send the rest of the paused alert NUMBER.

    Example: trussline alert resume 7 --by Grace
    """
    _decide(
        by,
        lambda house, work, who, now: deciding.resume(work, house.tools, who, number, now),
        as_json=as_json,
    )


@alert.command("call-off")
@_NUMBER
@_BY
@_JSON
def call_off(*, number: int, by: str, as_json: bool) -> None:
    """Call off what of alert NUMBER has not left.

    Example: trussline alert call-off 7 --by Grace
    """
    _decide(by, lambda _house, work, who, now: deciding.call_off(work, who, number, now), as_json=as_json)


_Deed = Callable[[House, Work, Officer, datetime], Alert]


def _decide(by: str, deed: _Deed, *, as_json: bool) -> None:
    with open_house() as house:
        with house.database.work() as work:
            done = deed(house, work, _officer(work, by), house.service_clock.now())
        _tell(house, done, as_json=as_json)


@alert.command()
@_NUMBER
@_JSON
def status(*, number: int, as_json: bool) -> None:
    """Show how alert NUMBER goes; the figures add up to its audience.

    Example: trussline alert status 7 --json
    """
    with open_house() as house:
        _tell(house, _kept(house, number), as_json=as_json)


@alert.command()
@_NUMBER
@_JSON
def report(*, number: int, as_json: bool) -> None:
    """Show alert NUMBER with its texts and what farmers answered.

    Example: trussline alert report 7
    """
    with open_house() as house:
        shown = _kept(house, number)
        if not as_json:
            for text in shown.texts:
                click.echo(f"{text.language}, {text.parts} part(s): {text.text}")
        _tell(house, shown, as_json=as_json)


def _kept(house: House, number: int) -> Alert:
    with house.database.look() as work:
        kept = work.alerts.look(number)
    if kept is None:
        raise Refused(f"There is no alert {number}.")
    return kept


def _tell(house: House, told: Alert, *, as_json: bool) -> None:
    with house.database.look() as work:
        counted = count(work, told.id, told.state)
    if as_json:
        told_of: dict[str, Any] = {"alert": told.id, "state": told.state, **asdict(counted)}
        click.echo(json.dumps(told_of))
        return
    click.echo(f"Alert {told.id} is {STATE_WORDS[told.state]}{f': {told.why}' if told.why else ''}.")
    for name, phones in figures(counted):
        click.echo(f"  {name:<24}{phones:>8}")
