"""All settings, from the environment and one TOML file, checked at start.

The environment wins over the file. A mistake is told in one sentence that names the setting and what to write.
"""

import os
from collections.abc import Mapping
from pathlib import Path
from typing import Any, Literal

from pydantic import Field, ValidationError
from pydantic_settings import (
    BaseSettings,
    PydanticBaseSettingsSource,
    SettingsConfigDict,
    TomlConfigSettingsSource,
)

from service.core.errors import SettingError
from service.setting_checks import Address, CurrencyCode, OneNumber, Region, Zone

PREFIX = "TRUSSLINE_"
FILE_VARIABLE = "TRUSSLINE_FILE"
# What the tests tell each other stands in the environment too.
_FOR_TESTS = "TRUSSLINE_TEST_"
KILL_VARIABLE = "TRUSSLINE_TEST_KILL"
DEFAULT_FILE = Path("trussline.toml")


class Settings(BaseSettings):
    """What one programme's service runs with; each description is the line the README shows."""

    model_config = SettingsConfigDict(env_prefix=PREFIX, extra="forbid", frozen=True)

    programme: str = Field(
        "Strawberry Programme", max_length=24, description="the name farmers see, at most 24 letters"
    )
    region: Region = Field("TZ", description="ISO country of numbers written without a country code")
    zone: Zone = Field("Africa/Dar_es_Salaam", description="IANA time zone of districts that name none")
    currency: CurrencyCode = Field(
        "", description="ISO 4217 code of the money that sales, costs and prices are in; empty: the region's"
    )
    language: Literal["en", "sw"] = Field("en", description="language used until a farmer's is known")
    data_dir: Path = Field(
        Path("trussline-data"), description="folder for the database, the key file and logs"
    )
    database_url: str = Field("", description="sqlite:///FILE or postgresql://...; empty: a file in data_dir")
    postgres_programs: Path | None = Field(
        None, description="folder of pg_dump and pg_restore; empty: wherever the PATH finds them"
    )
    journal_dir: Path | None = Field(
        None, description="folder of the send journal, best on another disk; empty: journal in data_dir"
    )
    least_free_mb: int = Field(
        64, ge=16, le=100_000, description="megabytes free on the disk under which nothing is pushed"
    )
    key_file: Path | None = Field(
        None, description="file with the keys of sealed numbers; empty: keys.json in data_dir"
    )
    calendar_file: Path | None = Field(
        None,
        description="a crop calendar of your own, or what differs from the one shipped; empty: the one shipped",
    )
    calendars_dir: Path | None = Field(
        None,
        description="folder with what differs in single districts, in files like Ndaliro.toml; empty: nothing does",
    )
    gateway: Literal["simulator", "http"] = Field(
        "simulator", description="the way out to phones: simulator, or http for one that speaks signed HTTP"
    )
    http_gateway_url: str = Field("", description="address of the http gateway, https://HOST/PATH")
    http_gateway_send_keys: Path | None = Field(
        None, description="file with the keys texts are signed with; empty: gateway-send.keys in data_dir"
    )
    http_gateway_receive_keys: Path | None = Field(
        None, description="file with the keys hooks are signed with; empty: gateway-receive.keys in data_dir"
    )
    weather_keys_file: Path | None = Field(
        None, description="file with the keys weather posts are signed with; empty: weather.keys in data_dir"
    )
    http_gateway_allow_plain: bool = Field(
        default=False, description="allow an http gateway without encryption"
    )
    http_gateway_allow_private: bool = Field(
        default=False, description="allow an http gateway in a private network or on this machine"
    )
    trial: bool = Field(
        default=False, description="reach only trial_numbers, and the example peer, through a real gateway"
    )
    trial_numbers: tuple[str, ...] = Field(
        (), description='the phones that trial mode may reach, like ["+255621234560"]'
    )
    cap_day: int = Field(20_000, ge=1, description="parts of texts that may be pushed in a day")
    cap_alert: int = Field(20_000, ge=0, description="parts of texts that one alert may take")
    cap_officer: int = Field(
        20_000, ge=0, description="parts of texts that one officer's alerts may take a day"
    )
    cap_farmer: int = Field(10, ge=0, description="parts of texts that may be pushed to one farmer in a day")
    replies_an_hour: int = Field(
        5, ge=1, le=1000, description="answers to one number in an hour, before one notice and then silence"
    )
    replies_a_minute: int = Field(300, ge=1, description="answers to all numbers together in a minute")
    service_number: OneNumber = Field("15077", description="the number farmers text to")
    simulator_port: int = Field(8765, ge=1, le=65535, description="loopback port of the simulated network")
    sender_window: int = Field(8, ge=1, le=50, description="texts that may be without an answer at once")
    sender_rate: float = Field(10.0, gt=0, le=1000, description="texts a second at most")
    alert_wait_seconds: int = Field(
        120,
        ge=0,
        le=3600,
        description="seconds in which a confirmed alert waits before it leaves and can be called off whole",
    )
    delivery_wait_minutes: int = Field(
        10,
        ge=0,
        le=120,
        description="minutes in which what a clerk enters can be corrected before the farmer is texted",
    )
    alert_second_person_above: int = Field(
        200, ge=0, description="phones above which an officer's own words need a second person"
    )
    paper_consent: bool = Field(
        default=False, description="whether officers may attest a farmer's consent that was given on paper"
    )
    emergency_number: OneNumber = Field(
        "", max_length=13, description="poison or emergency number named in safety texts"
    )
    answer_days: int = Field(
        0,
        ge=0,
        le=14,
        description="days in which farmers are told that an officer answers; 0: no promise is made",
    )
    compost_handfuls: int = Field(
        2, ge=1, le=9, description="handfuls of compost for each plant at each feeding"
    )
    longest_hold_days: int = Field(
        30, ge=1, le=365, description="days without picking after a spray whose label nobody knows"
    )
    web_host: str = Field("127.0.0.1", description="address the pages are served on")
    web_port: int = Field(8080, ge=0, le=65535, description="port the pages are served on")
    web_threads: int = Field(4, ge=1, le=64, description="threads that serve pages")
    proxy: Address = Field(
        "",
        description="address of the reverse proxy before the pages, whose X-Forwarded headers are believed",
    )
    metrics_token: str = Field(
        "",
        repr=False,
        description="secret with which /metrics may be read from another machine; empty: from this one only",
    )
    demo: bool = Field(
        default=False, description="demo data and a clock that can be moved; only the simulator is reached"
    )

    @property
    def database(self) -> str:
        """Return the database URL, the file in data_dir where none is set."""
        return self.database_url or f"sqlite:///{self.data_dir / 'trussline.db'}"

    @property
    def journal(self) -> Path:
        """Return the folder of the send journal."""
        return self.journal_dir or self.data_dir / "journal"

    @property
    def keys(self) -> Path:
        """Return the key file's path."""
        return self.key_file or self.data_dir / "keys.json"

    @property
    def gateway_send_keys(self) -> Path:
        """Return the file with the keys that texts to the http gateway are signed with."""
        return self.http_gateway_send_keys or self.data_dir / "gateway-send.keys"

    @property
    def gateway_receive_keys(self) -> Path:
        """Return the file with the keys that the http gateway signs its posts with."""
        return self.http_gateway_receive_keys or self.data_dir / "gateway-receive.keys"

    @property
    def weather_keys(self) -> Path:
        """Return the file with the keys that machines sign the weather with which they post."""
        return self.weather_keys_file or self.data_dir / "weather.keys"

    @classmethod
    def settings_customise_sources(
        cls,
        settings_cls: type[BaseSettings],
        init_settings: PydanticBaseSettingsSource,
        env_settings: PydanticBaseSettingsSource,
        dotenv_settings: PydanticBaseSettingsSource,
        file_secret_settings: PydanticBaseSettingsSource,
    ) -> tuple[PydanticBaseSettingsSource, ...]:
        """Read arguments, then the environment, then the TOML file."""
        return init_settings, env_settings, TomlConfigSettingsSource(settings_cls, settings_file())


class _Given(Settings):
    """Settings that are given as arguments, all others at their defaults."""

    @classmethod
    def settings_customise_sources(
        cls,
        settings_cls: type[BaseSettings],
        init_settings: PydanticBaseSettingsSource,
        env_settings: PydanticBaseSettingsSource,
        dotenv_settings: PydanticBaseSettingsSource,
        file_secret_settings: PydanticBaseSettingsSource,
    ) -> tuple[PydanticBaseSettingsSource, ...]:
        """Read the arguments alone."""
        return (init_settings,)


def given_settings(**given: Any) -> Settings:
    """Return settings that no variable and no file has a part in, so that a demo never meets real data."""
    return _Given(**given)


def environment_for(file: Path) -> dict[str, str]:
    """Return this process's environment with `file` as the only source of settings."""
    others = {name: value for name, value in os.environ.items() if not name.startswith(PREFIX)}
    return {**others, FILE_VARIABLE: str(file)}


def environment_with(more: Mapping[str, str]) -> dict[str, str]:
    """Return this process's environment with `more` in it, for a program that is not ours."""
    return {**os.environ, **more}


def settings_file() -> Path:
    """Return the settings file: what TRUSSLINE_FILE names, else trussline.toml in the working folder."""
    return Path(os.environ.get(FILE_VARIABLE, DEFAULT_FILE))


def load_settings(**given: Any) -> Settings:
    """Read and check all settings; arguments given here win over environment and file.

    Raises:
        SettingError: with one sentence for each mistake, a line each.
    """
    named = os.environ.get(FILE_VARIABLE)
    if named and not Path(named).is_file():
        raise SettingError(f"{FILE_VARIABLE} names {named}, which is no file: correct the path or unset it.")
    return planned_settings(**given)


def planned_settings(**given: Any) -> Settings:
    """Return the settings as they will be once `given` stands in the settings file, which need not be there yet.

    Raises:
        SettingError: with one sentence for each mistake, a line each.
    """
    try:
        return Settings(**given)
    except ValidationError as error:
        raise SettingError("\n".join(_sentence(mistake) for mistake in error.errors())) from error
    except ValueError as error:
        raise SettingError(
            f"{settings_file()} is not well-formed TOML ({error}): correct that line."
        ) from error


def mistakes(**given: Any) -> str:
    """Return what is wrong with settings that are given as arguments, a sentence a line; "" if they fit."""
    try:
        given_settings(**given)
    except ValidationError as error:
        return "\n".join(_sentence(mistake) for mistake in error.errors())
    return ""


def _sentence(mistake: Any) -> str:
    name = ".".join(str(part) for part in mistake["loc"])
    if mistake["type"] == "extra_forbidden":
        return f"{name} is no setting of this service: remove it or correct its spelling."
    field = Settings.model_fields.get(name)
    wanted = f" ({field.description})" if field and field.description else ""
    said = mistake["msg"].removeprefix("Value error, ")
    return f"{name}{wanted} is set to {mistake['input']!r}, which does not fit: {said[:1].lower()}{said[1:]}."


def unknown_variables() -> tuple[str, ...]:
    """Return environment variables that look like settings of ours and are none."""
    known = {PREFIX + name.upper() for name in Settings.model_fields} | {FILE_VARIABLE}
    ours = (name for name in os.environ if name.startswith(PREFIX) and not name.startswith(_FOR_TESTS))
    return tuple(sorted(name for name in ours if name not in known))


def kill_point() -> str:
    """Return where a test wants this process to die, as NAME:COUNT; empty in all real use."""
    return os.environ.get(KILL_VARIABLE, "")
