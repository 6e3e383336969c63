"""Stories of plants that are counted anew: what is kept, what is asked about, and what goes by it."""

import pytest

from tests.village import Phone, Village


@pytest.fixture
def phone(village: Village) -> Phone:
    """The phone of a farmer with 400 plants of 60 days."""
    phone = village.phone()
    phone.joins()
    return phone


def plants(village: Village) -> list[object]:
    """Return how many plants stand on each plot."""
    return [row["plants"] for row in village.rows("SELECT plants FROM plot ORDER BY id")]


@pytest.mark.parametrize(
    "words",
    ["counted 280", "COUNTED 280 plants", "count 280", "counts 280", "hesabu 280", "nimehesabu miche 280"],
)
def test_a_count_becomes_the_plots_plants(village: Village, phone: Phone, words: str) -> None:
    """It is repeated, kept with what was noted before, and every later figure goes by it."""
    answer = phone.says(words)
    (change,) = village.rows("SELECT who, before, after FROM plot_change")
    water = phone.says("water")

    assert "280" in answer
    assert [280] == plants(village)
    assert "counted" in str(change["who"])
    assert ("400" in str(change["before"]), "280" in str(change["after"])) == (True, True)
    assert "for 280 plants" in water


@pytest.mark.parametrize(
    ("told", "reply", "kept"),
    [
        pytest.param(150, "1", 150, id="few-and-right"),
        pytest.param(150, "no", 400, id="few-and-wrong"),
        pytest.param(4000, "2", 400, id="a-digit-too-many"),
        pytest.param(450, "yes", 450, id="more-and-right"),
        pytest.param(450, "hm", 400, id="no-answer"),
    ],
)
def test_what_is_far_from_what_is_noted_is_asked_about(
    village: Village, phone: Phone, told: int, reply: str, kept: int
) -> None:
    """Less than half, or more than a tenth above it, is kept only after a plain yes."""
    asked = phone.says(f"counted {told}")
    before = plants(village)
    phone.says(reply)

    assert f"400 plants were noted for you. You now have {told}? Reply 1 YES or 2 NO" in asked
    assert [400] == before
    assert [kept] == plants(village)


@pytest.mark.parametrize("count", [200, 399, 440])
def test_what_is_near_is_kept_at_once(village: Village, phone: Phone, count: int) -> None:
    """Half of them may have died, and a tenth may have been miscounted."""
    assert phone.says(f"counted {count}").startswith(f"Noted: {count} living plants.")
    assert [count] == plants(village)


def test_the_job_asks_and_a_bare_number_answers(village: Village) -> None:
    """On day 120 the plants are counted: done without a number is asked for it, and the job is closed by it."""
    phone = village.phone()
    phone.joins(days_ago=118)
    village.pass_days(9)
    jobs = phone.says("jobs")
    place = next(part.split()[-1] for part in jobs.split("Count plants")[:1])
    asked = phone.says(f"done {place}")
    noted = phone.says("390")

    assert asked == "How many living plants do you have now? Reply with the number, like 280."
    assert noted.startswith("Noted: 390 living plants.")
    assert [390] == plants(village)
    assert "Count plants" not in phone.says("jobs")
    assert {"answered"} == {
        row["state"] for row in village.rows("SELECT state FROM reminder WHERE task = 'recount'")
    }


def test_all_that_is_done_leaves_the_count_to_be_told(village: Village) -> None:
    """Whoever reports everything as done is still asked how many plants live, and no plants is no answer."""
    phone = village.phone()
    phone.joins(days_ago=118)
    village.pass_days(9)
    phone.says("done check pests")
    phone.says("5")
    asked = phone.says("done all")
    again = phone.says("0")
    noted = phone.says("385")

    assert "How many living plants do you have now?" in asked
    assert "How many living plants do you have now?" in again
    assert noted.startswith("Noted: 385 living plants.")
    assert [385] == plants(village)


def test_one_thing_is_asked_at_a_time(village: Village) -> None:
    """While it is asked what was seen on the plants, their count stays a job that is open."""
    phone = village.phone()
    phone.joins(days_ago=118)
    village.pass_days(9)
    phone.says("jobs")
    noted = phone.says("done all")
    phone.says("5")

    assert "What did you see?" in noted
    assert "Count plants" not in noted
    assert phone.says("jobs").startswith("Your jobs: 4 Count plants.")


def test_a_count_closes_the_job_that_asked_for_it(village: Village) -> None:
    """Whoever texts the count needs not report the job besides."""
    phone = village.phone()
    phone.joins(days_ago=118)
    village.pass_days(9)
    before = phone.says("jobs")
    phone.says("counted 380")

    assert "Count plants" in before
    assert "Count plants" not in phone.says("jobs")


@pytest.mark.parametrize("words", ["counted", "hesabu", "counted 0"])
def test_a_count_without_a_number_is_asked_for(village: Village, phone: Phone, words: str) -> None:
    """Nothing is kept until there is one."""
    asked = phone.says(words)
    phone.says("many")

    assert "280" in asked
    assert [400] == plants(village)


@pytest.mark.parametrize("words", ["counted 12 kg", "counted 280 yesterday they are dying", "count me in"])
def test_a_sentence_about_counting_is_none(village: Village, phone: Phone, words: str) -> None:
    """Weights, days and other words are not plants."""
    phone.says(words)

    assert [400] == plants(village)


def test_seedlings_to_order_are_told_when_renewal_nears(village: Village) -> None:
    """In the third year: as many as stand, and those that die at replanting (one in ten) on top."""
    phone = village.phone()
    phone.joins(days_ago=729)
    phone.says("counted 360")
    village.pass_days(9)
    jobs = phone.says("jobs")
    place = next(part.split()[-1] for part in jobs.split("Order plants")[:1])
    told = phone.says(f"jobs {place}")

    assert "Order 400 healthy ones" in told
