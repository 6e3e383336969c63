"""Names given in a command: one that texts cannot write is kept only when that is wanted."""

from collections.abc import Callable
from typing import Final

import click

from service.core.errors import Refused
from service.use_cases.names_in_texts import told_of_name

as_written: Final = click.option(
    "--as-written", is_flag=True, help="Keep a name even if texts cannot write one of its letters."
)


def refuse_strange_letters(name: str, in_texts: Callable[[str], str], *, as_written: bool) -> None:
    """Stop before a name is kept that texts cannot write, unless it is to be kept as written.

    Raises:
        Refused: it has such a letter.
    """
    told = told_of_name(name, in_texts, then="Write it so, or add --as-written to keep it as it is.")
    if told and not as_written:
        raise Refused(told)
