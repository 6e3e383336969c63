"""What the setup asks, one row a question."""

import os
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Final

from service.core.errors import SettingError
from service.setting_file import Value
from service.settings import Settings, mistakes

Answers = dict[str, Any]


def _words(value: str) -> list[str]:
    return [word.strip() for word in value.split(",") if word.strip()]


def _districts(value: str) -> list[str]:
    words = _words(value)
    for word in words:
        read_district(word)
    return words


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


def read_district(word: str) -> tuple[str, int | None]:
    """Read a district's name and its metres above the sea.

    Raises:
        ValueError: no name is left without the figure.
    """
    name, _, last = word.strip().rpartition(" ")
    if last.lstrip("-").isdigit() and name:
        return name, int(last)
    if not any(char.isalpha() for char in word):
        raise ValueError("write a district's name, then its metres above the sea if you know them")
    return word.strip(), None


@dataclass(frozen=True, kw_only=True, slots=True)
class Question:
    """One question of the setup.

    Attributes:
        name: of the setting it fills, or of what else it is for.
        words: what a person is asked.
        read: what an answer that was typed means.
        default: what is offered where neither a file nor the settings say anything.
        when: whether it is asked at all, after the answers so far.
    """

    name: str
    words: str
    read: Callable[[str], Value] = str
    default: Value | None = None
    when: Callable[[Answers], bool] = field(default=lambda _answers: True)

    @property
    def is_setting(self) -> bool:
        """Whether the answer goes into the settings file."""
        return self.name in Settings.model_fields

    def offer(self, known: Mapping[str, object]) -> object:
        """Return the answer that stands if nothing is typed."""
        if self.name in known:
            return known[self.name]
        return Settings.model_fields[self.name].default if self.is_setting else self.default

    def understand(self, typed: object) -> Value:
        """Return what was typed as the answer.

        Raises:
            SettingError: it does not fit; the sentence says why.
        """
        words = ", ".join(map(str, typed)) if isinstance(typed, list | tuple) else str(typed).strip()
        try:
            value = self.read(words)
        except ValueError as error:
            raise SettingError(f"{words!r} does not fit: {error}.") from error
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
        read=_districts,
        default=[],
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
    Question(name="administrator", words="Your name: the first administrator"),
)
