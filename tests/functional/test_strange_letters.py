"""Names with letters that the alphabet of texts lacks: no text costs more for them.

Which letters those are: 3GPP TS 23.038, section 6.2.1, the GSM 7 bit default alphabet.
"""

import pytest
from sqlalchemy import update

from flows.alphabet import Alphabet, alphabet_of
from service.db.tables.people import district, farmer
from service.use_cases.officers import add_officer
from tests.village import Village

STRANGE = "Žarovi Ш"


@pytest.mark.parametrize(("words", "answer"), [("RECORDS", "1"), ("TAARIFA", "1")], ids=["en", "sw"])
def test_a_districts_letters_double_no_answer(village: Village, words: str, answer: str) -> None:
    """The answer that names the district is written in the alphabet of 160 letters a part."""
    phone = village.phone()
    phone.joins(language={"RECORDS": "en", "TAARIFA": "sw"}[words])
    with village.database.engine.begin() as connection:
        connection.execute(update(district).where(district.c.name == "Ketumali").values(name=STRANGE))
    phone.says(words)

    told = phone.says(answer)

    assert "Zarovi ?" in told
    assert Alphabet.GSM7 is alphabet_of(told)


def test_a_district_is_chosen_under_its_own_name(village: Village) -> None:
    """Joining offers it as texts write it; its number is that of the list."""
    with village.database.engine.begin() as connection:
        connection.execute(update(district).where(district.c.name == "Ketumali").values(name="Žarovi"))
    phone = village.phone()

    offered = phone.says("JOIN Neema 400 20/5/2026")
    number = offered.partition(" Zarovi")[0][-1]
    phone.says(number)
    phone.says("1")

    assert Alphabet.GSM7 is alphabet_of(offered)
    assert [{"name": "Žarovi"}] == village.rows(
        "SELECT district.name AS name FROM farmer JOIN district ON district.id = district_id"
    )


def test_an_officers_letters_double_no_answer(village: Village) -> None:
    """Who asks who texts here reads the officer's name as texts can write it."""
    phone = village.phone()
    phone.joins()
    with village.database.work() as work:
        rehema = add_officer(work, name="Řehema of the upper valley", code="x", now=village.clock.now())
    with village.database.engine.begin() as connection:
        connection.execute(update(farmer).values(added_by=rehema.id))

    told = phone.says("WHO")

    assert "Rehema of the up" in told
    assert Alphabet.GSM7 is alphabet_of(told)
