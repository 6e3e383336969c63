"""Counting by cohort, on both engines: days from a text to its job, and kilos a plant farmer by farmer."""

from datetime import timedelta

from sqlalchemy import update

from service.core.cohorts import By, JobsOn, Window
from service.db.tables.people import farmer
from tests.village import Village


def window(village: Village) -> Window:
    """Four weeks up to today."""
    today = village.today
    return Window(first=today - timedelta(days=28), last=today, planted_by=today, districts=None)


def test_jobs_are_counted_by_how_long_after_their_text_they_were_done(village: Village) -> None:
    """Of eight jobs that a text told one is done a day later, one after two; a job put off is not done."""
    phone = village.phone()
    phone.joins()
    village.pass_hours(24)
    phone.says("done 3")
    phone.says("not yet 4")
    village.pass_hours(24)
    phone.says("done 5")
    with village.database.look() as work:
        found = work.cohorts.jobs(By.DISTRICT, window(village))

    assert {
        JobsOn(cohort="Ketumali", after=after, jobs=jobs) for after, jobs in ((1, 1), (2, 1), (None, 6))
    } == set(found)


def test_kilos_are_added_up_farmer_by_farmer(village: Village) -> None:
    """12 and 8 kg of 400 plants are 0.05 kg a plant; a farmer without a weight is none of them."""
    phones = [village.phone() for _ in range(3)]
    for phone, name in zip(phones, ("Neema", "Tatu", "Juma"), strict=True):
        phone.joins(name=name, days_ago=200)
    for words in ("harvest 12", "harvest 8 yesterday"):
        phones[0].says(words)
    phones[1].says("harvest 8")
    with village.database.engine.begin() as connection:
        connection.execute(update(farmer).where(farmer.c.name == "Tatu").values(held_out=True))
    with village.database.look() as work:
        texted, held_out = work.cohorts.kilos_by_lot(window(village), village.clock.now() - timedelta(days=1))

    assert (1, 1) == (texted.of, held_out.of)
    assert (0.05, 0.02) == (round(texted.sum, 6), round(held_out.sum, 6))
    assert (0.0025, 0.0004) == (round(texted.squares, 8), round(held_out.squares, 8))
