"""Adding a farmer on the page."""

import re

import pytest

from service.core.rights import Role
from service.web.app import create_app
from tests.stand_in_house import Planter, StandInHouse, make_house
from tests.web_desk import Desk

NUMBER = "0621 234 577"


def fields(planter: Planter, **changed: str) -> dict[str, str]:
    """Return a form filled in, with some fields changed."""
    return {
        "number": NUMBER,
        "name": "Neema",
        "language": "sw",
        "district": str(planter.districts["Ndaliro"]),
        "plants": "1,250",
        "planted": "2026-09-25",
        "precision": "about",
        "way": "text",
        **changed,
    }


def texts(house: StandInHouse) -> list[tuple[str, str, str]]:
    """Return kind, id and state of all texts queued."""
    with house.database.engine.connect() as connection:
        rows = connection.exec_driver_sql("SELECT kind, text_id, state FROM message").all()
    return [tuple(row) for row in rows]


def test_farmer_is_added_and_asked(desk: Desk, planter: Planter, house: StandInHouse) -> None:
    """What was typed stands on the farmer's page, and one text waits that asks for a yes."""
    village = planter.village("Upper Field")
    response = desk.send("/farmers/new", **fields(planter, village=str(village)))
    page = " ".join(desk.text(response.location).split())

    assert 303 == response.status_code
    for told in (
        "<h1>Neema</h1>",
        "Ndaliro, Upper Field, 1,250 plants, planted about 25 September 2026",
        "Has not said yes yet.",
        "<dt>Language</dt><dd>Swahili</dd>",
        "ending …577",
    ):
        assert told in page, told
    assert [("invitation", "welcome_consent", "due")] == texts(house)


def test_double_click_adds_one(desk: Desk, planter: Planter, house: StandInHouse) -> None:
    """The same form sent twice adds one farmer, asks once, and leads to their page; insisting changes nothing."""
    first, second = (desk.send("/farmers/new", **fields(planter)) for _ in range(2))
    third = desk.send("/farmers/new", **fields(planter, sharing="yes"))

    assert (303, 409, 400) == (first.status_code, second.status_code, third.status_code)
    assert f'href="{first.location}">It is Neema: open their page' in second.text
    assert "Neema is registered with this number already." in third.text
    assert 1 == len(texts(house))


def known(planter: Planter, house: StandInHouse, district: str = "Ndaliro") -> dict[str, str]:
    """Let Asha have a number, and return a form that adds Neema with it."""
    village = planter.village("Lower Field", district)
    planter.farmer("Asha", district=district, village_id=village)
    return fields(planter, number="0621 234 560")


def test_known_number_is_shown_with_who_has_it(desk: Desk, planter: Planter, house: StandInHouse) -> None:
    """Before anybody is added the page says who has the number; the officer says that it is another person."""
    form = known(planter, house)
    stopped = desk.send("/farmers/new", **form)
    before = texts(house)
    back = desk.send("/farmers/new", **form, back="yes")
    added = desk.send("/farmers/new", **form, sharing="yes")
    hidden = dict(re.findall(r'<input type="hidden" name="(\w+)" value="([^"]*)">', stopped.text))

    assert 409 == stopped.status_code
    assert "<strong>Asha</strong>, Lower Field, Ndaliro" in stopped.text
    assert "another person on the same phone" in stopped.text
    assert form.items() <= {**hidden, "token": ""}.items()
    assert [] == before
    assert (200, True) == (back.status_code, 'value="Neema"' in back.text)
    assert 303 == added.status_code
    assert [("invitation", "welcome_consent", "due")] == texts(house)
    assert "<h1>Neema</h1>" in desk.text(added.location)


def test_known_number_elsewhere_tells_no_name(desk: Desk, planter: Planter, house: StandInHouse) -> None:
    """Of a farmer in another district only this is told: that the number is known."""
    form = known(planter, house, "Zaruvi")
    other = Desk(house=house, app=desk.app)
    other.sign_in("Grace", role=Role.OFFICER, districts=frozenset({planter.districts["Ndaliro"]}))
    page = other.send("/farmers/new", **form)

    assert 409 == page.status_code
    assert "1 farmer of a district that is not yours has this number" in " ".join(page.text.split())
    assert not [word for word in ("Asha", "Lower Field", ">Zaruvi<", "Zaruvi,") if word in page.text]
    assert [] == texts(house)


@pytest.mark.parametrize(
    ("changed", "told"),
    [
        ({"number": "12"}, "That is not a phone number"),
        ({"number": "O621 234 577"}, "has digits only"),
        ({"name": "7"}, "Write the farmer&#39;s name."),
        ({"plants": "many"}, "Write how many plants there are"),
        ({"plants": "0"}, "counted from 1"),
        ({"planted": "25/9/2026"}, "Write the planting date"),
        ({"planted": "2019-09-25"}, "within the last three years"),
        ({"district": ""}, "one of your own districts"),
        ({"language": "fr"}, "Choose the language"),
        ({"village": "999"}, "a village and a group of Ndaliro"),
        ({"way": "paper"}, "takes no consent on paper"),
    ],
    ids=lambda value: str(value)[:24],
)
def test_slip_is_told_and_what_was_typed_stays(
    changed: dict[str, str], told: str, desk: Desk, planter: Planter, house: StandInHouse
) -> None:
    """A slip is told in a sentence, the form keeps what was typed, and nobody is added."""
    response = desk.send("/farmers/new", **fields(planter, **changed))

    assert 400 == response.status_code
    assert told in response.text
    assert f'value="{fields(planter, **changed)["number"]}"' in response.text
    assert [] == texts(house)


def test_only_own_districts_are_offered_and_taken(desk: Desk, planter: Planter, house: StandInHouse) -> None:
    """An officer sees own districts and places; another's district is not there, however it is asked for."""
    planter.village("Upper Field", "Ketumali")
    mine = planter.village("Lower Field")
    other = Desk(house=house, app=desk.app)
    other.sign_in("Grace", role=Role.OFFICER, districts=frozenset({planter.districts["Ndaliro"]}))
    page = other.text("/farmers/new")
    foreign = other.send("/farmers/new", **fields(planter, district=str(planter.districts["Ketumali"])))

    offered = re.findall(r'<option value="\d+">(.*?)</option>', page)

    assert ["Ndaliro", "Lower Field, Ndaliro"] == offered
    assert f'<option value="{mine}">Lower Field, Ndaliro</option>' in page
    assert 404 == foreign.status_code
    assert [] == texts(house)


def test_fields_that_do_not_belong_are_ignored(desk: Desk, planter: Planter, house: StandInHouse) -> None:
    """Whatever else a form brings along changes nothing (OWASP ASVS 5.0.0, 15.3.3)."""
    more = {"state": "active", "id": "7", "added_by": "99", "lead": "true", "farmer_id": "1"}
    response = desk.send("/farmers/new", **fields(planter), **more)
    with house.database.engine.connect() as connection:
        (row,) = connection.exec_driver_sql("SELECT state, added_by, lead FROM farmer").all()

    assert 303 == response.status_code
    assert ("pending", False) == (row.state, bool(row.lead))
    assert 99 != row.added_by


def test_paper_is_offered_where_it_is_taken(desk: Desk, planter: Planter, house: StandInHouse) -> None:
    """Only with the setting can an officer attest a paper; then the farmer is texted at once."""
    without = desk.text("/farmers/new")
    allowed = make_house(house.settings.database, house.settings.data_dir, paper_consent=True)
    # Two houses of a test count their rows alike.
    tuple(allowed.ids.rows(1000))
    other = Desk(house=allowed, app=create_app(allowed))
    other.sign_in("Officer Mto", role=Role.ADMINISTRATOR)
    with_it = other.text("/farmers/new")
    response = other.send("/farmers/new", **fields(planter, way="paper"))
    allowed.database.close()

    assert "On paper" not in without
    assert "On paper" in with_it
    assert 303 == response.status_code
    assert [("invitation", "welcome_paper", "due")] == texts(house)


def test_a_name_that_texts_cannot_write_is_said_before_it_is_kept(
    desk: Desk, planter: Planter, house: StandInHouse
) -> None:
    """The letter and what texts make of it are said once; sent again the name is kept as it is."""
    name = "\u017divka \u0428"
    first = desk.send("/farmers/new", **fields(planter, name=name))
    nobody_yet = texts(house)
    second = desk.send("/farmers/new", **fields(planter, name=name, written=name))

    assert (400, 303) == (first.status_code, second.status_code)
    assert "“\u017d” and “\u0428” would double the cost" in first.text
    assert "texts will say “Zivka”" in first.text
    assert f'name="written" value="{name}"' in first.text
    assert [] == nobody_yet
    assert f"<h1>{name}</h1>" in desk.text(second.location)


@pytest.mark.parametrize("name", ["Zoé", "Ng\u2019ombe", "Nuñez"])
def test_a_name_that_texts_can_write_is_kept_at_once(name: str, desk: Desk, planter: Planter) -> None:
    """Letters of the alphabet of texts, and marks that only look otherwise, are no reason to ask."""
    assert 303 == desk.send("/farmers/new", **fields(planter, name=name)).status_code
