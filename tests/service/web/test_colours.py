"""The colours of the style sheet can be read, by day and by night."""

import re
from itertools import product
from pathlib import Path

import pytest

import service.web

SHEET = (Path(service.web.__file__).parent / "static" / "console.css").read_text(encoding="utf-8")
LEAST = 4.5
# Letters, and what they stand on.
PAIRS = (
    *product(("ink", "soft", "berry", "green"), ("paper", "leaf")),
    ("berry", "blush"),
    ("ink", "blush"),
    ("soft", "blush"),
    *product(("ink",), ("root", "off", "stay", "pick", "renew")),
    ("soft", "off"),
    ("soft", "root"),
    ("leaf", "green"),
    ("leaf", "ink"),
)


def _colours(block: str) -> dict[str, str]:
    return dict(re.findall(r"--(\w+): #([0-9a-f]{6})", block))


DAY, NIGHT = (_colours(block) for block in re.findall(r":root \{(.*?)\}", SHEET, re.DOTALL)[:2])


def _luminance(colour: str) -> float:
    channels = [int(colour[at : at + 2], 16) / 255 for at in (0, 2, 4)]
    linear = [one / 12.92 if one <= 0.04045 else ((one + 0.055) / 1.055) ** 2.4 for one in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    """Return the contrast ratio of WCAG 2.2, from 1 to 21."""
    dark, light = sorted((_luminance(one), _luminance(other)))
    return (light + 0.05) / (dark + 0.05)


def test_contrast_is_measured_as_published() -> None:
    """Black on white is 21, and #767676 on white just passes (WCAG 2.2, technique G18)."""
    assert 21 == round(contrast("000000", "ffffff"), 2)
    assert 4.54 == round(contrast("767676", "ffffff"), 2)


@pytest.mark.parametrize("colours", [DAY, NIGHT], ids=["day", "night"])
@pytest.mark.parametrize(("letters", "ground"), PAIRS, ids="-".join)
def test_letters_stand_out(letters: str, ground: str, colours: dict[str, str]) -> None:
    """Letters have a contrast of at least 4.5 to what they stand on (WCAG 2.2, 1.4.3)."""
    assert contrast(colours[letters], colours[ground]) >= LEAST
