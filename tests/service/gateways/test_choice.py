"""Which gateway the settings name, and what keeps a real one from being used."""

from pathlib import Path
from typing import Any

import pytest

from flows.catalogue import NEEDS_REVIEW, Catalogue, Entry, load_catalogue, read_catalogues
from service.clock import RealClock
from service.core.errors import SettingError
from service.gateways.choice import make_gateway, why_not
from service.gateways.http import HttpGateway
from service.gateways.signing import write_key
from service.gateways.simulator_link import SimulatorLink
from service.gateways.trial import TrialGateway
from service.settings import Settings, given_settings

PHONE = "0621 234 567"


def settings_of(folder: Path, **given: object) -> Settings:
    """Return settings with an http gateway that nothing is the matter with, but for what is given."""
    keys = folder / "gateway-send.keys"
    if not keys.exists():
        keys.write_text(write_key(b"k" * 32))
        keys.chmod(0o600)
    fine = {
        "gateway": "http",
        "http_gateway_url": "https://gateway.example/api",
        "data_dir": folder,
        "emergency_number": "112",
    }
    return given_settings(**{**fine, **given})


def approved() -> Catalogue:
    """Return the texts as they are when everybody has read them."""
    return Catalogue(
        {
            language: {
                text_id: Entry(text=entry.text, flags=entry.flags - {NEEDS_REVIEW}, forms=entry.forms)
                for text_id, entry in entries.items()
            }
            for language, entries in read_catalogues().items()
        }
    )


def test_the_settings_name_the_gateway(tmp_path: Path) -> None:
    """Each name leads to its adapter; in trial mode something stands before it."""
    made = [
        make_gateway(settings_of(tmp_path, **given), RealClock())
        for given in ({"gateway": "simulator"}, {}, {"trial": True, "trial_numbers": (PHONE,)})
    ]

    assert [SimulatorLink, HttpGateway, TrialGateway] == [type(one) for one in made]
    assert ["simulator", "http", "http"] == [one.name for one in made]


BROKEN: dict[str, tuple[dict[str, Any], str]] = {
    "no address": ({"http_gateway_url": ""}, "http_gateway_url"),
    "no keys": ({"http_gateway_send_keys": Path("none.keys")}, "trussline gateway key"),
    "a trial number that is none": ({"trial": True, "trial_numbers": ("15077",)}, "trial_numbers"),
}


@pytest.mark.parametrize(("given", "words"), BROKEN.values(), ids=BROKEN.keys())
def test_what_the_gateway_needs_and_lacks_is_told(tmp_path: Path, given: dict[str, Any], words: str) -> None:
    """One sentence names the setting."""
    with pytest.raises(SettingError, match=words):
        make_gateway(settings_of(tmp_path, **given), RealClock())


REFUSED: dict[str, tuple[dict[str, Any], bool, bool, list[str]]] = {
    "nothing is the matter": ({}, True, False, []),
    "no emergency number": ({"emergency_number": ""}, True, False, ["No emergency_number"]),
    "texts not approved": ({}, False, False, ["Safety texts wait"]),
    "both": ({"emergency_number": ""}, False, False, ["No emergency_number", "Safety texts wait"]),
    "trial of both": ({"emergency_number": "", "trial": True}, False, False, []),
    "demo data": ({}, True, True, ["This database holds"]),
    "demo data in a trial": ({"trial": True}, True, True, ["This database holds"]),
    "a demo's settings": ({"demo": True}, True, False, ["This database holds"]),
    "the simulator": ({"gateway": "simulator", "emergency_number": ""}, False, True, []),
}


@pytest.mark.parametrize(("given", "read", "demo", "expected"), REFUSED.values(), ids=REFUSED.keys())
def test_a_real_gateway_is_refused_until_all_is_seen_to(
    tmp_path: Path, given: dict[str, Any], expected: list[str], *, read: bool, demo: bool
) -> None:
    """Each thing that forbids it is a sentence of its own; the simulator reaches nobody and needs none of it."""
    catalogue = approved() if read else load_catalogue()
    reasons = why_not(settings_of(tmp_path, **given), catalogue, demo_data=demo)

    assert expected == [reason[: len(start)] for reason, start in zip(reasons, expected, strict=True)]
