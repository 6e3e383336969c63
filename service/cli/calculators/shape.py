"""What all calculators have in common: arguments with units, a function, and an answer.

A calculator needs no database and no settings. Its answer is told in sentences or, with --json, as one object, in
which units stand in the names. What was taken for a figure nobody gave stands in `assumed`, always. A value that
cannot be ends with one sentence and exit code 2.
"""

import json
import math
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import IO, Any, Final, NamedTuple

import click

from service.core.errors import Refused

# More figures than these are noise: nobody knows weather or plots better.
_DECIMALS: Final = 4


class Number(click.ParamType[float]):
    """A number, as `float` reads it, but for what is no number or has no end."""

    name = "number"

    def convert(self, value: object, param: click.Parameter | None, ctx: click.Context | None) -> float:
        """Return the number that was written."""
        try:
            number = float(str(value))
        except ValueError:
            number = math.nan
        if not math.isfinite(number):
            self.fail(f"{value!r} is no number", param, ctx)
        return number


class Whole(click.ParamType[int]):
    """A whole number."""

    name = "whole number"

    def convert(self, value: object, param: click.Parameter | None, ctx: click.Context | None) -> int:
        """Return the whole number that was written."""
        try:
            return int(str(value))
        except ValueError:
            self.fail(f"{value!r} is no whole number", param, ctx)


NUMBER: Final = Number()
WHOLE: Final = Whole()


class Pair(NamedTuple):
    """Two things written as one word."""

    left: Any
    right: Any


class Pairs(click.ParamType[Pair]):
    """Two values with a sign between them, like 2026-03-25=12.5."""

    def __init__(self, left: click.ParamType[Any], sign: str, right: click.ParamType[Any], like: str) -> None:
        """Join what is read by `left` and by `right`; `like` is an example."""
        self.left, self.sign, self.right, self.like = left, sign, right, like
        self.name = f"{left.name}{sign}{right.name}"

    def convert(self, value: object, param: click.Parameter | None, ctx: click.Context | None) -> Pair:
        """Return both values that were written."""
        left, sign, right = str(value).rpartition(self.sign)
        if not (left and sign and right):
            self.fail(f"{value!r} lacks one side of {self.sign}: write it like {self.like}.", param, ctx)
        return Pair(self.left.convert(left, param, ctx), self.right.convert(right, param, ctx))


@dataclass(frozen=True, kw_only=True, slots=True)
class Argument:
    """One figure a calculator is given.

    Attributes:
        flag: what is typed, without the dashes.
        name: what the function calls it, the unit included.
        what: what it is, within a sentence.
        unit: its unit, empty for what has none.
        type: how it is read.
        needed: whether nothing can be computed without it.
        many: whether it may be given several times.
        usual: what is taken where it is not given, and told as assumed.
    """

    flag: str
    name: str
    what: str
    unit: str = ""
    type: click.ParamType[Any] = NUMBER
    needed: bool = False
    many: bool = False
    usual: float | None = None

    @property
    def asked(self) -> str:
        """What is asked for: with its unit, as it stands in the help and in refusals."""
        return f"{self.what}, in {self.unit}" if self.unit else self.what

    def option(self) -> click.Option:
        """Return it as the terminal has it."""
        more = [f"{self.asked[0].upper()}{self.asked[1:]}."]
        if self.many:
            more.append("May be repeated.")
        if self.usual is not None:
            more.append(f"Not given: {self.usual:g}.")
        return click.Option(
            [f"--{self.flag}", self.name],
            type=self.type,
            required=self.needed,
            multiple=self.many,
            help=" ".join(more),
        )


@dataclass(frozen=True, kw_only=True, slots=True)
class Answer:
    """What a calculator found.

    Attributes:
        values: the figures by their names with units, as programs read them.
        lines: the same in sentences.
        assumed: what was taken for figures nobody gave, by their names with units.
    """

    values: Mapping[str, object]
    lines: Iterable[str]
    assumed: Mapping[str, object] = field(default_factory=dict)

    def told(self) -> str:
        """Return the answer in sentences."""
        assumed = ", ".join(f"{name} {_short(value)}" for name, value in self.assumed.items())
        return "\n".join([*self.lines, f"Assumed: {assumed or 'nothing'}."])

    def json(self) -> str:
        """Return the answer as one object."""
        return json.dumps(
            _rounded({**self.values, "assumed": dict(self.assumed)}), default=str, allow_nan=False
        )


@dataclass(frozen=True, kw_only=True, slots=True)
class Calculator:
    """One calculator: a row of the table in `service/cli/calc.py`.

    Attributes:
        name: its command.
        about: what it computes, for the help; an example at the end.
        arguments: what it is given.
        compute: takes the arguments by their names. It may refuse.
    """

    name: str
    about: str
    arguments: tuple[Argument, ...]
    compute: Callable[..., Answer]

    def command(self) -> click.Command:
        """Return it as a command."""

        def run(*, as_json: bool, **given: object) -> None:
            usual = {argument.name: argument.usual for argument in self.arguments}
            taken = {
                name: value for name, value in usual.items() if value is not None and given[name] is None
            }
            answer = self.compute(**given | taken)
            answer = replace(answer, assumed={**taken, **answer.assumed})
            click.echo(answer.json() if as_json else answer.told())

        as_json = click.Option(
            ["--json", "as_json"], is_flag=True, help="One JSON object, with units in its names."
        )
        options: list[click.Parameter] = [argument.option() for argument in self.arguments]
        command = _Command(self.name, help=self.about, params=[*options, as_json], callback=run)
        command.asked = {argument.name: argument for argument in self.arguments}
        return command


class WrongValue(click.ClickException):
    """A value that cannot be, told in one sentence without a word around it."""

    exit_code = 2

    def show(self, file: IO[str] | None = None) -> None:
        """Write the sentence to `file`, standard error where none is given."""
        click.echo(self.format_message(), file=file, err=file is None)


class _Command(click.Command):
    """A command whose refusals are sentences, be it the terminal or the calculator that refuses."""

    asked: Mapping[str, Argument]

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """Read what was typed."""
        try:
            return super().parse_args(ctx, args)
        except click.UsageError as fault:
            raise WrongValue(self._sentence(ctx, fault)) from fault

    def invoke(self, ctx: click.Context) -> object:
        """Compute, unless a figure cannot be."""
        try:
            return super().invoke(ctx)
        except Refused as refusal:
            raise WrongValue(str(refusal)) from refusal

    def _sentence(self, ctx: click.Context, fault: click.UsageError) -> str:
        named = isinstance(fault, click.BadParameter) and fault.param is not None and fault.param.name
        argument = self.asked.get(named or "")
        if argument is None:
            return f"{fault.format_message().rstrip('.?')}: see `{ctx.command_path} --help`."
        asked = f"--{argument.flag} ({argument.asked})"
        if isinstance(fault, click.MissingParameter):
            return f"{asked} is missing: give it."
        # A whole sentence says by itself what to write instead.
        return f"{asked}: {fault.message}{'' if fault.message.endswith('.') else ', correct it.'}"


def _rounded(value: object) -> object:
    if isinstance(value, Mapping):
        return {name: _rounded(part) for name, part in value.items()}
    if isinstance(value, list | tuple):
        return [_rounded(part) for part in value]
    return round(value, _DECIMALS) if isinstance(value, float) else value


def _short(value: object) -> str:
    return f"{value:.3g}" if isinstance(value, float) else str(value)
