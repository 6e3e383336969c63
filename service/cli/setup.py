"""Making a programme of one's own: questions, a settings file, keys, a database, a first administrator."""

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any, Final

import click

from service.beginning import why_not_new
from service.bootstrap import House, build
from service.cli.district_words import read_district
from service.cli.gateway import key as make_gateway_key
from service.cli.setup_checks import refuse_before_writing
from service.cli.setup_questions import QUESTIONS, Answers, Question
from service.core.errors import Refused, SettingError
from service.core.rights import Role
from service.ids import one_time_code
from service.keys import recovery_sheet
from service.setting_file import Value, read_settings_file, write_settings_file
from service.settings import Settings, load_settings, mistakes, planned_settings, settings_file
from service.use_cases.districts import add_district
from service.use_cases.officers import CODE_LIFE, add_officer
from service.use_cases.recovery_sheet import SHEET_SHOWN_AT, keep_sheet_shown

# A line of its own: the question it answers is still on the screen.
_NOTHING_WRITTEN: Final = "\nNothing was changed or made: run trussline setup again when you are ready."


# The first character keeps click from filling the lines up as it does a paragraph.
_ANSWERS: Final = """\b
A file with answers is TOML, a line each, and may name any setting. What it
leaves out keeps its default, but a new programme needs a district:
  programme = "Zaruvi Berry Programme"
  districts = ["Ndaliro 2150", "Zaruvi 1650"]
  emergency_number = "114"
  cap_day = 5000
  data_dir = "/var/lib/trussline"
  administrator = "Grace in Ndaliro"
"""


@click.command(epilog=_ANSWERS)
@click.option(
    "--answers",
    "answers_file",
    type=click.Path(exists=True, dir_okay=False, path_type=Path),
    help="A TOML file with the answers, by the names of the settings; nothing is asked.",
)
@click.option("--change", is_flag=True, help="Let answers change what the settings file says.")
@click.option(
    "--new", is_flag=True, help="Begin anew although the keys or the journal of a programme are there."
)
@click.pass_context
def setup(context: click.Context, *, answers_file: Path | None, change: bool, new: bool) -> None:
    """Make a programme of your own, or change one: asks, writes the settings, makes keys and the database.

    The settings go into trussline.toml, or the file that TRUSSLINE_FILE names. Prints once: the recovery sheet with
    the keys, and a one-time code for the first administrator. Run again it changes only what you say.

    Example: trussline setup
    """
    file = settings_file()
    before = read_settings_file(file)
    answers = _ask(before) if answers_file is None else _given(read_settings_file(answers_file), before)
    changes = _changes(answers, before)
    _confirm(file, before, changes, asked=answers_file is None, change=change)
    planned = planned_settings(**changes)
    if not new:
        _ask_before_anew(planned, asked=answers_file is None)
    refuse_before_writing(planned, answers["districts"])
    _write(context, file, changes, answers)
    house = build(load_settings())
    try:
        _fill(house, answers)
    finally:
        house.close()
    click.echo(
        "\nNext: trussline up starts everything, trussline ready says what is still missing before farmers are texted."
    )


def _ask(before: Mapping[str, object]) -> Answers:
    """Ask a person; an answer that does not fit is told why, and asked for again."""
    answers: Answers = {}
    for question in QUESTIONS:
        if not question.when(answers):
            continue
        answers[question.name] = _prompt(question, before)
    return answers


def _prompt(question: Question, before: Mapping[str, object]) -> Any:  # noqa: ANN401 - an answer may be of any type
    """Ask one question.

    Raises:
        Refused: the person has had enough, or the input has ended.
    """
    offer = question.offer(before)
    shown = ", ".join(offer) if isinstance(offer, list | tuple) else offer
    try:
        answer = click.prompt(
            question.words,
            default="" if shown is None else shown,
            value_proc=_understanding(question, first=not before),
            show_default=bool(shown),
        )
    except click.Abort as abort:
        raise Refused(_NOTHING_WRITTEN) from abort
    if answer and question.told:
        click.echo(f"  Understood: {question.told(answer)}")
    return answer


def _understanding(question: Question, *, first: bool) -> Callable[[object], Value]:
    def understand(typed: object) -> Value:
        try:
            return question.understand(typed, first=first)
        except SettingError as error:
            raise click.BadParameter(str(error)) from error

    return understand


def _given(given: Mapping[str, object], before: Mapping[str, object]) -> Answers:
    """Take the answers from a file; what it does not name stays as it is.

    Raises:
        SettingError: it names something that is not asked, or answers do not fit, a sentence for each.
    """
    names = {question.name for question in QUESTIONS} | Settings.model_fields.keys()
    unknown = sorted(given.keys() - names)
    if unknown:
        raise SettingError(
            f"The answers name {', '.join(unknown)}, which nobody asks for: correct the spelling."
        )
    asked = {question.name for question in QUESTIONS}
    found = [mistakes(**{name: value for name, value in given.items() if name not in asked})]
    answers: Answers = {}
    for question in QUESTIONS:
        if not question.when({**answers, **given}):
            continue
        try:
            answers[question.name] = question.understand(
                given.get(question.name, question.offer(before) or ""), first=not before
            )
        except SettingError as error:
            found.append(str(error))
    if any(found):
        raise SettingError("\n".join(filter(None, found)))
    return {**given, **answers}


def _changes(answers: Answers, before: Mapping[str, object]) -> dict[str, Value]:
    """Return the settings whose answers differ from what holds now."""
    changes: dict[str, Value] = {}
    for name, value in answers.items():
        if name not in Settings.model_fields:
            continue
        plain = _plain(value)
        # What somebody was asked for stands in the file although it is the default: now it is chosen.
        if name not in before or before[name] != plain:
            changes[name] = plain
    if answers.get("trial_numbers") and before.get("trial") is not True:
        changes["trial"] = True
    return changes


def _plain(value: Any) -> Value:  # noqa: ANN401 - a setting may be of any type
    """Return a setting as the file says it; a folder with its whole path, wherever it is read from."""
    match value:
        case Path():
            return str(value.absolute())
        case tuple():
            return list(value)
        case str() | int() | float() | bool() | list():
            return value
        case _:
            raise TypeError(f"{value!r} is no value of a settings file")


def _confirm(
    file: Path, before: Mapping[str, object], changes: Mapping[str, Value], *, asked: bool, change: bool
) -> None:
    """Show what would change in a file that is there, and let it change only if that is wanted.

    Raises:
        Refused: it is not.
    """
    differing = [
        f"  {name}: {before[name]!r} becomes {value!r}" for name, value in changes.items() if name in before
    ]
    if not differing or change:
        return
    click.echo("\n".join([f"{file} would change:", *differing]))
    if not asked:
        raise Refused("Nothing was changed: say --change if that is wanted.")
    if not _agrees("Change it?"):
        raise Refused(_NOTHING_WRITTEN)


def _ask_before_anew(settings: Settings, *, asked: bool) -> None:
    """Make no empty database in the place of one that was lost, unless that is meant.

    Raises:
        Refused: it is not, or nobody can be asked.
    """
    lost = why_not_new(settings)
    if lost is None:
        return
    if not asked:
        raise Refused(lost)
    click.echo(lost)
    if not _agrees("Make a new, empty database?"):
        raise Refused(_NOTHING_WRITTEN)


def _agrees(question: str) -> bool:
    try:
        return click.confirm(question)
    except click.Abort as abort:
        raise Refused(_NOTHING_WRITTEN) from abort


def _write(context: click.Context, file: Path, changes: Mapping[str, Value], answers: Answers) -> None:
    if changes:
        write_settings_file(file, changes)
        click.echo(f"The settings are in {file}.")
    if answers["gateway"] == "http":
        settings = load_settings()
        settings.data_dir.mkdir(mode=0o700, parents=True, exist_ok=True)
        for keys in (settings.gateway_send_keys, settings.gateway_receive_keys):
            if not keys.exists():
                context.invoke(make_gateway_key, file=keys)


def _fill(house: House, answers: Answers) -> None:
    """Make the database and what stands in it first, and tell once what is told only once."""
    house.ready_database()
    for word in answers["districts"]:
        name, elevation = read_district(word)
        with house.database.work() as work:
            add_district(work, name=name, zone=house.settings.zone, elevation_m=elevation)
    click.echo(f"The database is ready, at version {house.schema_head}.")
    _show_sheet(house)
    with house.database.look() as work:
        known = bool(work.staff.officers())
    if not known:
        _invite(house, str(answers["administrator"] or "Administrator"))


def _show_sheet(house: House) -> None:
    """Show the sheet unless that was done, whoever made the keys and whatever broke an earlier setup off."""
    with house.database.look() as work:
        shown = work.staff.setting(SHEET_SHOWN_AT)
    if shown:
        click.echo(f"The recovery sheet was shown on {shown[:10]}; to see it again: trussline keys")
        return
    click.echo(f"\n{recovery_sheet(house.settings.keys)}")
    with house.database.work() as work:
        keep_sheet_shown(work, house.real_clock.now())


def _invite(house: House, name: str) -> None:
    code = one_time_code()
    with house.database.work() as work:
        added = add_officer(work, name=name, code=code, now=house.real_clock.now(), role=Role.ADMINISTRATOR)
    hours = round(CODE_LIFE.total_seconds() / 3600)
    click.echo(f"One-time code for {added.name}, administrator, good once within {hours} hours: {code}")
