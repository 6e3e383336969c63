"""What the setup asks, one row a question."""

import os
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Final

from service.cli.district_words import read_districts, told_districts
from service.core.errors import SettingError
from service.setting_file import Value
from service.settings import Settings, mistakes
from service.use_cases.officers import LONGEST_NAME

Answers = dict[str, Any]


def _words(value: str) -> list[str]:
    return [word.strip() for word in value.split(",") if word.strip()]


def _name(value: str) -> str:
    """Read a person's name.

    Raises:
        ValueError: it is too long.
    """
    if len(value) > LONGEST_NAME:
        raise ValueError(f"a name has at most {LONGEST_NAME} letters")
    return value


def _folder(value: str) -> str:
    """Read a folder that can be made and written to.

    Raises:
        ValueError: it cannot.
    """
    folder = Path(value).absolute()
    there = next(path for path in (folder, *folder.parents) if path.exists())
    if not there.is_dir():
        raise ValueError(f"{there} is a file, so no folder can be there")
    if not os.access(there, os.W_OK | os.X_OK):
        raise ValueError(f"you may not write to {there}")
    return str(folder)


def _whole(value: str) -> int:
    """Read a whole number.

    Raises:
        ValueError: it is none.
    """
    try:
        return int(value)
    except ValueError as error:
        raise ValueError("write a whole number in figures") from error


def _is_http(answers: Answers) -> bool:
    return bool(answers["gateway"] == "http")


@dataclass(frozen=True, kw_only=True, slots=True)
class Question:
    """One question of the setup.

    Attributes:
        name: of the setting it fills, or of what else it is for.
        words: what a person is asked.
        read: what an answer that was typed means.
        default: what is offered where neither a file nor the settings say anything.
        when: whether it is asked at all, after the answers so far.
        needed: why a new programme cannot do without an answer; "" if it can.
        told: says what was understood, where that is not plain.
    """

    name: str
    words: str
    read: Callable[[str], Value] = str
    default: Value | None = None
    when: Callable[[Answers], bool] = field(default=lambda _answers: True)
    needed: str = ""
    told: Callable[[Any], str] | None = None

    @property
    def is_setting(self) -> bool:
        """Whether the answer goes into the settings file."""
        return self.name in Settings.model_fields

    def offer(self, known: Mapping[str, object]) -> object:
        """Return the answer that stands if nothing is typed."""
        if self.name in known:
            return known[self.name]
        return Settings.model_fields[self.name].default if self.is_setting else self.default

    def understand(self, typed: object, *, first: bool = False) -> Value:
        """Return what was typed as the answer.

        Args:
            typed: by a person, or in a file of answers.
            first: whether this makes a new programme.

        Raises:
            SettingError: it does not fit; the sentence says why.
        """
        several = typed if isinstance(typed, list | tuple) else [typed]
        if not all(isinstance(one, str | int | float | Path) for one in several):
            raise SettingError(
                f"{self.name} is {typed!r}, which does not fit: write one text or number, or a list of texts; "
                "trussline setup --help shows an example."
            )
        words = ", ".join(str(one).strip() for one in several)
        if first and self.needed and not words:
            raise SettingError(f"{self.name} is empty, which does not fit: {self.needed}.")
        try:
            value = self.read(words)
        except ValueError as error:
            raise SettingError(f"{self.name}: {words!r} does not fit: {error}.") from error
        found = mistakes(**{self.name: value}) if self.is_setting else ""
        if found:
            raise SettingError(found)
        return value


QUESTIONS: Final = (
    Question(name="programme", words="Name of the programme, as farmers see it in texts"),
    Question(name="region", words="Country of its phone numbers (two letters, like TZ)"),
    Question(name="zone", words="Time zone (like Africa/Dar_es_Salaam)"),
    Question(name="language", words="Language until a farmer's is known (en or sw)"),
    Question(
        name="districts",
        words="Districts with their metres above the sea (like Ndaliro 2150, Zaruvi 1650)",
        read=read_districts,
        default=[],
        needed="name at least one, since farmers name theirs when they join",
        told=told_districts,
    ),
    Question(
        name="emergency_number", words="Poison or emergency number for safety texts (empty: not known yet)"
    ),
    Question(name="service_number", words="The number farmers text to"),
    Question(name="cap_day", words="Budget: parts of texts that may be pushed in a day", read=_whole),
    Question(name="gateway", words="Gateway: simulator (no real phone is reached) or http"),
    Question(name="http_gateway_url", words="Address of the gateway (https://HOST/PATH)", when=_is_http),
    Question(
        name="trial_numbers",
        words="Phones to try it with before all others (numbers, with commas between; empty: none)",
        read=_words,
        when=_is_http,
    ),
    Question(name="data_dir", words="Folder for the database and the keys", read=_folder),
    Question(name="administrator", words="Your name: the first administrator", read=_name),
)
