"""The register of farmers: what finds whom."""

import re
from datetime import timedelta

import pytest

from tests.stand_in_house import NOW, Planter
from tests.web_desk import Desk


@pytest.fixture
def shelf(planter: Planter) -> dict[str, int]:
    """Five farmers who differ in all that can be asked for, and the ids of places."""
    places = {
        "lower": planter.village("Lower Field"),
        "upper": planter.village("Upper Field", "Ketumali"),
        "basket": planter.group("Basket Group"),
        **planter.districts,
    }
    asha, _ = planter.farmer("Asha", village_id=places["lower"], group_id=places["basket"])
    baraka, _ = planter.farmer("Baraka", district="Ketumali", village_id=places["upper"], language="en")
    juma, _ = planter.farmer("Juma", state="pending")
    neema, shared = planter.farmer("Neema", state="stopped", district="Zaruvi")
    tatu, _ = planter.farmer("Tatu", district="Zaruvi", phone=shared)
    planter.plot(asha, age=212)
    planter.plot(baraka, age=20)
    planter.plot(baraka, age=500)
    planter.plot(juma, age=-12, live=False)
    planter.plot(neema, age=1095, live=False)
    planter.plot(tatu, age=120)
    return places


def found(desk: Desk, query: str) -> list[str]:
    """Return who is found."""
    return re.findall(r'href="/farmers/\d+">(.*?)</a>', desk.text(f"/farmers?{query}"))


@pytest.mark.parametrize(
    ("query", "names"),
    [
        ("", ["Asha", "Baraka", "Juma", "Neema", "Tatu"]),
        ("name=560", ["Asha"]),
        ("name=%2B255 621 234 561", ["Baraka"]),
        ("name=563", ["Neema", "Tatu"]),
        ("name=999", []),
        ("name=56", []),
        ("name=63", ["Neema", "Tatu"]),
        ("name=tatu 63", ["Tatu"]),
        ("name=3", []),
        ("name=UPPER", ["Baraka"]),
        ("name=zaruvi", ["Neema", "Tatu"]),
        ("name=asha lower", ["Asha"]),
        ("name=asha upper", []),
        ("name=basket", ["Asha"]),
        ("name=ASH%C3%81", ["Asha"]),
        ("name=a'sha", ["Asha"]),
        ("district={Zaruvi}", ["Neema", "Tatu"]),
        ("village={lower}", ["Asha"]),
        ("group={basket}", ["Asha"]),
        ("state=pending", ["Juma"]),
        ("state=paused", []),
        ("name=nema", ["Neema"]),
        ("name=nemea", ["Neema"]),
        ("name=barakka", ["Baraka"]),
        ("name=nema&state=active", []),
        ("name=neemma ketumali", []),
        ("language=en", ["Baraka"]),
        ("stage=ahead", ["Juma"]),
        ("stage=root", ["Baraka"]),
        ("stage=pick", ["Asha", "Baraka"]),
        ("stage=stay", ["Tatu"]),
        ("stage=past", ["Neema"]),
        ("district={Ndaliro}&state=active", ["Asha"]),
        ("village={upper}&language=sw", []),
        ("name=a&state=active&district={Ketumali}&stage=root&language=en", ["Baraka"]),
        ("district=&village=&stage=&state=", ["Asha", "Baraka", "Juma", "Neema", "Tatu"]),
    ],
)
def test_filters_find(query: str, names: list[str], desk: Desk, shelf: dict[str, int]) -> None:
    """A name, the last digits of a number, and every filter find theirs; together they all hold."""
    assert names == found(desk, query.format(**shelf))


def test_what_was_asked_for_is_shown_again(desk: Desk, shelf: dict[str, int]) -> None:
    """The filters stand open with what was chosen, and lead back to all; without any they stay folded."""
    page = desk.text(f"/farmers?district={shelf['Zaruvi']}&stage=stay")
    plain = desk.text("/farmers?name=asha")

    assert f'<option value="{shelf["Zaruvi"]}" selected>Zaruvi</option>' in page
    assert '<option value="stay" selected>flowers stay</option>' in page
    assert "<details open>" in page
    assert "<details open>" not in plain
    assert 'href="/farmers">all farmers' in plain


def test_accents_and_apostrophes_do_not_matter(desk: Desk, planter: Planter) -> None:
    """A name written with accents is found without them, and the other way round."""
    planter.farmer("Zo\u00e9 Ng\u2019ombe")

    for typed in ("zoe", "ZO\u00c9", "ngombe", "ng'ombe", "Zoe\u0301 ngo"):
        assert ["Zo\u00e9 Ng\u2019ombe"] == found(desk, f"name={typed}"), typed


def test_who_has_paused_is_found(desk: Desk, planter: Planter) -> None:
    """A pause that is over is none."""
    planter.farmer("Resting", paused_until=NOW + timedelta(days=3))
    planter.farmer("Rested", paused_until=NOW - timedelta(days=3))

    assert ["Resting"] == found(desk, "state=paused")


def test_a_near_name_is_told_as_such(desk: Desk, shelf: dict[str, int]) -> None:
    """One wrong letter is borne only where nobody has the name as it was typed."""
    assert "Nobody is called “Nema”. The nearest names: 1 farmer" in desk.text("/farmers?name=Nema")
    assert "nearest" not in desk.text("/farmers?name=Neem")


def test_how_many_are_found_is_told(desk: Desk, shelf: dict[str, int]) -> None:
    """The count stands above the list; where nobody fits, the page says what to try."""
    some, filtered = desk.text("/farmers?name=zaruvi"), desk.text("/farmers?name=Xx&state=active")

    assert '<p class="soft" role="status">2 farmers found.</p>' in some
    assert "Try fewer letters" in filtered
    assert 'href="/farmers?name=Xx">look among all' in filtered
    assert 'href="/farmers/new">added' in filtered


def test_places_are_told(desk: Desk, shelf: dict[str, int]) -> None:
    """A line tells district, village and group; the farmer's own page too."""
    page = desk.text(f"/farmers?village={shelf['lower']}")
    own = desk.text(re.findall(r'href="(/farmers/\d+)"', page)[0])

    assert "Ndaliro, Lower Field, Basket Group" in page
    assert "Ndaliro, Lower Field, Basket Group" in " ".join(own.split())
