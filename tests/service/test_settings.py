"""Settings: where they come from, and one sentence for each mistake."""

from pathlib import Path

import pytest

from service.core.errors import SettingError
from service.settings import Settings, environment_for, given_settings, load_settings, unknown_variables

Variables = pytest.MonkeyPatch


@pytest.fixture
def variables(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Variables:
    """Variables of the test's own, and a working folder without a settings file."""
    monkeypatch.chdir(tmp_path)
    for name in ("TRUSSLINE_FILE", *(f"TRUSSLINE_{field.upper()}" for field in Settings.model_fields)):
        monkeypatch.delenv(name, raising=False)
    return monkeypatch


def _sentences() -> list[str]:
    with pytest.raises(SettingError) as refusal:
        load_settings()
    return str(refusal.value).splitlines()


def test_everything_has_a_default(variables: Variables) -> None:
    """A service without any setting keeps its data in a folder of the working folder."""
    settings = load_settings()

    assert "sqlite:///trussline-data/trussline.db" == settings.database
    assert Path("trussline-data/keys.json") == settings.keys
    assert not settings.demo


def test_the_environment_wins_over_the_file(variables: Variables) -> None:
    """The file in the working folder is read; a variable beats it; both beat the default."""
    Path("trussline.toml").write_text('programme = "Zaruvi"\nregion = "KE"\n', encoding="utf-8")
    variables.setenv("TRUSSLINE_REGION", "UG")

    settings = load_settings()

    assert ("Zaruvi", "UG", "en") == (settings.programme, settings.region, settings.language)


def test_arguments_win_over_both(variables: Variables) -> None:
    """What a command is told on its line counts most."""
    variables.setenv("TRUSSLINE_REGION", "UG")

    assert "RW" == load_settings(region="RW").region


def test_a_named_file_is_read_instead(variables: Variables, tmp_path: Path) -> None:
    """TRUSSLINE_FILE names another file."""
    (tmp_path / "other.toml").write_text("web_port = 8123\n", encoding="utf-8")
    variables.setenv("TRUSSLINE_FILE", str(tmp_path / "other.toml"))

    assert 8123 == load_settings().web_port


def test_given_settings_know_neither_variables_nor_files(variables: Variables) -> None:
    """A demo can never meet the data that the surroundings name."""
    Path("trussline.toml").write_text('database_url = "sqlite:///real.db"\nnonsense = 1\n', encoding="utf-8")
    variables.setenv("TRUSSLINE_KEY_FILE", "real-keys.json")

    settings = given_settings(data_dir=Path("demo"))

    assert "sqlite:///demo/trussline.db" == settings.database
    assert Path("demo/keys.json") == settings.keys


def test_a_child_sees_only_the_file_it_is_given(variables: Variables) -> None:
    """Variables of ours are not handed down, those of others are."""
    variables.setenv("TRUSSLINE_DATABASE_URL", "sqlite:///real.db")
    variables.setenv("LANG", "sw_TZ.UTF-8")

    environment = environment_for(Path("demo.toml"))

    assert ["TRUSSLINE_FILE"] == [name for name in environment if name.startswith("TRUSSLINE_")]
    assert ("demo.toml", "sw_TZ.UTF-8") == (environment["TRUSSLINE_FILE"], environment["LANG"])


MISTAKES = {
    "zone": ("TRUSSLINE_ZONE", "EAT", "write one like Africa/Dar_es_Salaam."),
    "region": ("TRUSSLINE_REGION", "TZA", "write two letters like TZ."),
    "language": ("TRUSSLINE_LANGUAGE", "fr", "input should be 'en' or 'sw'."),
    "programme": ("TRUSSLINE_PROGRAMME", "x" * 25, "string should have at most 24 characters."),
    "window": ("TRUSSLINE_SENDER_WINDOW", "0", "input should be greater than or equal to 1."),
    "rate": ("TRUSSLINE_SENDER_RATE", "0", "input should be greater than 0."),
    "port": ("TRUSSLINE_WEB_PORT", "eighty", "unable to parse string as an integer."),
    "gateway": ("TRUSSLINE_GATEWAY", "pigeon", "input should be 'simulator' or 'http'."),
}


@pytest.mark.parametrize(("variable", "value", "told"), MISTAKES.values(), ids=MISTAKES)
def test_a_mistake_is_one_sentence(variables: Variables, variable: str, value: str, told: str) -> None:
    """It names the setting, what it is for, what it was set to, and what would fit."""
    variables.setenv(variable, value)

    (sentence,) = _sentences()

    name = variable.removeprefix("TRUSSLINE_").lower()
    assert sentence.startswith(f"{name} ({Settings.model_fields[name].description}) is set to '{value}'")
    assert told in sentence
    assert sentence.endswith(".")


def test_all_mistakes_are_told_at_once(variables: Variables) -> None:
    """Nobody has to start three times to find three mistakes."""
    Path("trussline.toml").write_text('zone = "EAT"\nsend_rate = 3\nweb_threads = 0\n', encoding="utf-8")

    assert {"zone", "send_rate", "web_threads"} == {sentence.split()[0] for sentence in _sentences()}
    assert "send_rate is no setting of this service: remove it or correct its spelling." in _sentences()


def test_a_broken_file_is_named(variables: Variables) -> None:
    """The sentence says which file and which line."""
    Path("trussline.toml").write_text("zone = Africa\n", encoding="utf-8")

    (sentence,) = _sentences()

    assert sentence.startswith("trussline.toml is not well-formed TOML (")
    assert "line 1" in sentence


def test_a_named_file_that_is_missing_is_named(variables: Variables) -> None:
    """A wrong path is not silently no settings at all."""
    variables.setenv("TRUSSLINE_FILE", "away.toml")

    assert ["TRUSSLINE_FILE names away.toml, which is no file: correct the path or unset it."] == _sentences()


def test_misspelt_variables_are_found(variables: Variables) -> None:
    """What begins like ours and is none is listed; what is ours is not."""
    variables.setenv("TRUSSLINE_DATADIR", "x")
    variables.setenv("TRUSSLINE_DATA_DIR", "x")
    variables.setenv("TRUSSLINE_FILE", "x")

    assert "TRUSSLINE_DATADIR" in unknown_variables()
    assert not {"TRUSSLINE_DATA_DIR", "TRUSSLINE_FILE"} & set(unknown_variables())


def test_every_setting_is_described() -> None:
    """The README's table and the sentences above rest on it."""
    assert [] == [name for name, field in Settings.model_fields.items() if not field.description]


def test_a_number_may_stand_without_quotes_and_a_country_in_small_letters(
    variables: Variables, tmp_path: Path
) -> None:
    """Both can be meant in one way only."""
    file = tmp_path / "programme.toml"
    file.write_text('emergency_number = 114\nservice_number = 15077\nregion = "ke"\n', encoding="utf-8")
    variables.setenv("TRUSSLINE_FILE", str(file))

    settings = load_settings()

    assert ("114", "15077", "KE") == (settings.emergency_number, settings.service_number, settings.region)


@pytest.mark.parametrize("number", ["+255621234567", "0800 11-22", "114"])
def test_an_emergency_number_is_written_as_people_write_it(variables: Variables, number: str) -> None:
    """A plus, blanks and dashes between the figures are no second number."""
    variables.setenv("TRUSSLINE_EMERGENCY_NUMBER", number)

    assert number == load_settings().emergency_number


@pytest.mark.parametrize("number", ["112, or 115", "112/115", "call us", "112;115", "-114", "5"])
def test_a_second_number_or_words_are_no_emergency_number(variables: Variables, number: str) -> None:
    """It stands in texts of first aid, where nobody has time to choose."""
    variables.setenv("TRUSSLINE_EMERGENCY_NUMBER", number)

    (sentence,) = _sentences()

    assert "write one number, in figures, as it is dialled." in sentence


def test_a_currency_is_one_of_iso_4217(variables: Variables) -> None:
    """Small letters will do; three letters that are none are told."""
    variables.setenv("TRUSSLINE_CURRENCY", "kes")
    known = load_settings().currency
    variables.setenv("TRUSSLINE_CURRENCY", "TZZ")

    assert ("KES", ["currency"]) == (known, [sentence.split()[0] for sentence in _sentences()])
    assert "is no currency: write its three letters like TZS" in _sentences()[0]
