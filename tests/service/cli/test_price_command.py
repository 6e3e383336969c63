"""Prices from the terminal: a list looked at, refused line by line, kept whole and shown."""

from datetime import date, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from click.testing import CliRunner, Result

from service.cli.price import price
from service.clock import RealClock
from service.core.errors import Refused
from service.settings import Settings


@pytest.fixture
def today(settings: Settings) -> date:
    """The district's day."""
    return RealClock().now().astimezone(ZoneInfo(settings.zone)).date()


def run(settings: Settings, *arguments: str) -> Result:
    """Type a command of `trussline price`."""
    return CliRunner(env={"TRUSSLINE_DATA_DIR": str(settings.data_dir)}).invoke(price, arguments)


def said(settings: Settings, *arguments: str) -> str:
    """Return what a command that must do its work prints."""
    result = run(settings, *arguments)
    assert 0 == result.exit_code, result.output
    return result.stdout


def sheet(tmp_path: Path, text: str) -> str:
    """Write a file and return its path."""
    made = tmp_path / "prices.csv"
    made.write_text(text, encoding="utf-8")
    return str(made)


def test_looked_at_kept_and_shown(settings: Settings, tmp_path: Path, today: date) -> None:
    """Nothing is kept before --apply; brought again, each line is known."""
    text = (
        f"market;price;day;class\nSoko Kuu;2500;{today};\nSoko Kuu;4000;{today - timedelta(days=1)};large\n"
    )
    bring = ("import", sheet(tmp_path, text), "--district", "ndaliro")
    looked_at = said(settings, *bring)
    before = said(settings, "show", "--district", "Ndaliro")
    kept = said(settings, *bring, "--apply")
    again = said(settings, *bring, "--apply")
    shown = said(settings, "show", "--district", "Ndaliro")

    assert "2 lines: 2 add, 0 are known.\nNothing is kept yet: give --apply as well.\n" in looked_at
    assert "No price of the last 30 days is known: farmers who ask are told so.\n" == before
    assert kept.endswith("2 lines: 2 add, 0 are known.\nKept.\n")
    assert "2 lines: 0 add, 2 are known.\nKept.\n" == again
    assert [
        f"{today}  Soko Kuu: TZS 2,500 a kilo",
        f"{today - timedelta(days=1)}  Soko Kuu large: TZS 4,000 a kilo",
    ] == shown.splitlines()


def test_one_wrong_line_keeps_nothing(settings: Settings, tmp_path: Path, today: date) -> None:
    """Every fault is told by its line, those of the file and those of its prices alike."""
    lines = (
        f"Soko Kuu,2500,{today}",
        f",2500,{today}",
        f"Soko,cheap,{today}",
        "Soko,2500,today",
        "Soko,2500",
        f"Soko,NaN,{today}",
    )
    text = "market,price,day\n" + "\n".join((*lines, f"Soko Kuu,25000,{today}")) + "\n"
    result = run(settings, "import", sheet(tmp_path, text), "--district", "Ndaliro", "--apply")

    assert isinstance(result.exception, Refused)
    assert [
        "Line 3: Write the market's name.",
        "Line 4: “cheap” is no price: write figures alone, like 2500.",
        "Line 5: “today” is no day: write it like 2026-11-25.",
        "Line 6: it has 2 cells, and the first line names 3 columns: correct it.",
        "Line 7: “NaN” is no price: write figures alone, like 2500.",
        (
            "Line 8: The last price there was TZS 2,500: this one is more than 3 times off. "
            "Correct it, or say that it is right."
        ),
        "Nothing was kept.",
    ] == str(result.exception).splitlines()
    assert "No price of the last 30 days" in said(settings, "show", "--district", "Ndaliro")


def test_a_far_price_is_kept_by_who_is_sure(settings: Settings, tmp_path: Path, today: date) -> None:
    """The last line of a market and day holds."""
    text = f"market,price,day\nSoko Kuu,2500,{today}\nSoko Kuu,25000,{today}\n"
    said(settings, "import", sheet(tmp_path, text), "--district", "Ndaliro", "--sure", "--apply")

    assert f"{today}  Soko Kuu: TZS 25,000 a kilo\n" == said(settings, "show", "--district", "Ndaliro")


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("", "The file is empty: its first line names the columns, like market,class,price,day."),
        ("market,price\nSoko,2500\n", "The first line has to name the columns"),
        ("market,price,day,colour\n", "The first line has to name the columns"),
        ("market,price,day,day\n", "The first line has to name the columns"),
        ('market,price,day\n"Soko,2500\n', "The file cannot be cut into cells"),
        ("market,price,day\n" + "Soko,1,2026-11-25\n" * 1000, "The file has more than 1,000 lines"),
    ],
    ids=["empty", "no-day", "odd", "twice", "quotes", "long"],
)
def test_what_is_no_list_of_prices_is_refused(
    settings: Settings, tmp_path: Path, text: str, sentence: str
) -> None:
    """In one sentence that says what is wanted."""
    result = run(settings, "import", sheet(tmp_path, text), "--district", "Ndaliro")

    assert isinstance(result.exception, Refused)
    assert sentence in str(result.exception)


def test_a_district_must_be_there(settings: Settings) -> None:
    """The refusal says how to list them."""
    result = run(settings, "show", "--district", "Nowhere")

    assert isinstance(result.exception, Refused)
    assert "trussline district list" in str(result.exception)
