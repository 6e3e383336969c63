"""Stories of money: what was sold and spent, what a kilo brings, and a year in figures."""

from datetime import timedelta

import pytest

from service.core.money_ports import NewPrice
from tests.village import Phone, Village


@pytest.fixture
def phone(village: Village) -> Phone:
    """The phone of a farmer with 400 plants, 200 days old, who has told nothing yet."""
    phone = village.phone()
    phone.joins(plants=400, days_ago=200)
    return phone


def sales(village: Village) -> list[tuple[object, ...]]:
    """Return what is kept of sales and was not taken back."""
    rows = village.rows("SELECT sold_on, grams, minor, buyer FROM sale WHERE voided_by IS NULL ORDER BY id")
    return [(str(row["sold_on"]), row["grams"], row["minor"], row["buyer"]) for row in rows]


def costs(village: Village) -> list[tuple[object, ...]]:
    """Return what is kept of costs and was not taken back."""
    rows = village.rows("SELECT spent_on, kind, minor FROM cost WHERE voided_by IS NULL ORDER BY id")
    return [(str(row["spent_on"]), row["kind"], row["minor"]) for row in rows]


def quote(
    village: Village,
    minor: int,
    *,
    market: str = "Soko Kuu",
    crop_class: str = "",
    days_ago: int = 0,
    district: str = "Ketumali",
) -> None:
    """Let an officer note a price."""
    with village.database.work() as work:
        place = next(one for one in work.people.districts() if one.name == district)
        new = NewPrice(
            id=village.tools.ids.row(),
            district_id=place.id,
            market=market,
            crop_class=crop_class,
            minor=minor,
            currency="TZS",
            quoted_on=village.today - timedelta(days=days_ago),
            officer_id=None,
            at=village.clock.now(),
        )
        work.prices.add(new)
        work.commit()


@pytest.mark.parametrize(
    ("reply", "minor"),
    [
        ("1", 360_000),
        ("2", 30_000),
        ("for all of them", 30_000),
        ("kwa kila kilo", 360_000),
        ("jumla", 30_000),
        ("zote", 30_000),
        ("each", 360_000),
    ],
)
def test_each_or_all_is_asked(village: Village, phone: Phone, reply: str, minor: int) -> None:
    """12 kg and 30000 may be 2,500 a kilo or 30,000 a kilo: nothing is kept until the farmer says which."""
    question = phone.says("sold 12 kg 30000")
    before = sales(village)

    answer = phone.says(reply)

    assert (
        "You sold 12 kg of strawberries and wrote TZS 30,000. Was that 1 for each kilo 2 for all of them 3 neither?"
        == question
    )
    assert ([], [("2026-11-25", 12_000, minor, None)]) == (before, sales(village))
    assert f"12 kg of strawberries sold for TZS {minor:,}, TZS {minor // 12:,} a kilo." in answer


def test_a_sale_told_anew_takes_the_place_of_the_one_in_question(village: Village, phone: Phone) -> None:
    """The question is over: a number afterwards keeps nothing more. Costs alike."""
    phone.says("sold 12 kg 30000")
    phone.says("sold 12 kg 30000 for all")
    phone.says("2")
    phone.says("cost 15000")
    phone.says("cost manure 15000")
    phone.says("2")

    assert ([30_000], ["manure"]) == (
        [sale[2] for sale in sales(village)],
        [cost[1] for cost in costs(village)],
    )


@pytest.mark.parametrize("reply", ["3", "neither", "undo"])
def test_neither_keeps_nothing(village: Village, phone: Phone, reply: str) -> None:
    """What was written may have been something else."""
    phone.says("sold 12 kg 30000")

    answer = phone.says(reply)

    assert "Nothing was noted. To note a sale text SOLD" in answer
    assert [] == sales(village)


def test_a_buyer_outlasts_the_question(village: Village, phone: Phone) -> None:
    """What was said beside it is kept with the sale."""
    phone.says("nimeuza kilo 12 kwa Juma 30000 jana")
    phone.says("2")

    assert [("2026-11-24", 12_000, 30_000, "Juma")] == sales(village)


@pytest.mark.parametrize(
    ("words", "minor"),
    [
        ("sold 12 kg 30000 for all", 30_000),
        ("nimeuza kilo 12 kwa 2500 kila kilo", 30_000),
        ("sold 12 kg 2500 each", 30_000),
        ("sold 12 kg 2500 30000", 30_000),
    ],
)
def test_where_it_was_said_nothing_is_asked(village: Village, phone: Phone, words: str, minor: int) -> None:
    """The answer repeats kilos, money and what a kilo brought."""
    answer = phone.says(words)

    assert [("2026-11-25", 12_000, minor, None)] == sales(village)
    assert "12 kg of strawberries sold for TZS 30,000, TZS 2,500 a kilo. If wrong text UNDO." in answer


def test_one_kilo_is_each_and_all(village: Village, phone: Phone) -> None:
    """Of one kilo there is nothing to ask."""
    phone.says("sold 1 kg 2600")

    assert [("2026-11-25", 1_000, 2_600, None)] == sales(village)


def test_known_prices_leave_one_of_both(village: Village, phone: Phone) -> None:
    """At 2,400 a kilo in the market, 30,000 is no price of one kilo, and 2,500 none of twelve."""
    quote(village, 2_400)

    phone.says("sold 12 kg 30000")
    phone.says("sold 12 kg 2500")

    assert [30_000, 30_000] == [sale[2] for sale in sales(village)]


def test_own_sales_leave_one_of_both(village: Village, phone: Phone) -> None:
    """Where no market is known, what this farmer got before is."""
    phone.says("sold 2 kg 5000 for all")
    phone.says("sold 12 kg 30000")

    assert [5_000, 30_000] == [sale[2] for sale in sales(village)]


def test_prices_that_fit_both_leave_the_question(village: Village, phone: Phone) -> None:
    """2 kg for 5,000: with 2,400 a kilo around, either may be meant."""
    quote(village, 2_400)

    assert "1 for each kilo 2 for all of them" in phone.says("sold 2 kg 5000")
    assert [] == sales(village)


@pytest.mark.parametrize(
    ("words", "answer"),
    [
        ("sold", "To note a sale text SOLD, the kilos and the money"),
        ("sold 12 kg", "To note a sale text SOLD, the kilos and the money"),
        ("sold 8 trays 12000", "To note a sale text SOLD, the kilos and the money"),
        ("sold 12 kg 30000 for all tomorrow", "We note sales of one day in the last 12 months."),
        ("sold 12 kg 30000 for all last week", "We note sales of one day in the last 12 months."),
        ("sold 12 kg 30000 for all 1/10/2025", "We note sales of one day in the last 12 months."),
        ("sold 0 kg 30000 for all", "That cannot be a sale"),
        ("sold 12 kg 0 for all", "That cannot be a sale"),
        ("sold 9000 kg 9000000 each", "That cannot be a sale"),
        ("cost", "To note a cost text COST, what for and the whole sum"),
        ("cost manure", "To note a cost text COST, what for and the whole sum"),
        ("cost manure 15000 tomorrow", "We note costs of one day in the last 12 months."),
        ("cost manure 0", "That cannot be a sum"),
    ],
)
def test_what_cannot_be_kept_is_told(village: Village, phone: Phone, words: str, answer: str) -> None:
    """Each answer says what to text."""
    assert answer in phone.says(words)
    assert ([], []) == (sales(village), costs(village))


def test_sold_is_not_picked(village: Village, phone: Phone) -> None:
    """A sale without a weight is welcome, and adds nothing to what was picked."""
    phone.says("sold 12 kg 30000 for all")

    assert "Neema" in phone.says("total")
    assert [] == village.rows("SELECT id FROM harvest")


def test_a_cost_is_kept_and_repeated(village: Village, phone: Phone) -> None:
    """In Swahili as well as in English, on a day that was named or today."""
    answers = [phone.says("cost manure 15000"), phone.says("gharama nauli 2,000 jana")]

    assert ["Noted for Wed 25/11: TZS 15,000 for manure or fertiliser. If it is wrong text UNDO."] == answers[
        :1
    ]
    assert [("2026-11-25", "manure", 15_000), ("2026-11-24", "transport", 2_000)] == costs(village)


@pytest.mark.parametrize(("reply", "kind"), [("4", "labour"), ("transport", "transport"), ("8", "other")])
def test_what_a_cost_was_for_is_asked(village: Village, phone: Phone, reply: str, kind: str) -> None:
    """A number or its word answers; nothing is kept before."""
    question = phone.says("cost 15000")
    before = costs(village)
    phone.says(reply)

    assert "What was TZS 15,000 for? 1 plants 2 manure, fertiliser" in question
    assert ([], [("2026-11-25", kind, 15_000)]) == (before, costs(village))


@pytest.mark.parametrize(
    ("reply", "answer"), [("9", "What was TZS 15,000 for?"), ("undo", "Nothing was noted.")]
)
def test_a_cost_without_its_what_is_not_kept(village: Village, phone: Phone, reply: str, answer: str) -> None:
    """A number that is not offered is asked again, and UNDO lets it go."""
    phone.says("cost 15000")

    assert answer in phone.says(reply)
    assert [] == costs(village)


def test_undo_takes_back_what_was_told_last(village: Village, phone: Phone) -> None:
    """Sales and costs as they came, the last one first, and a weight between them stays."""
    phone.says("harvest 12")
    phone.says("sold 12 kg 30000 for all")
    phone.says("cost manure 15000")
    answers = [phone.says("undo"), phone.says("futa")]

    assert [
        "Taken back: TZS 15,000 for manure or fertiliser on Wed 25/11. It is no longer noted.",
        "Taken back: 12 kg sold for TZS 30,000 on Wed 25/11. It is no longer noted.",
    ] == answers
    assert ([], [], 1) == (sales(village), costs(village), len(village.rows("SELECT id FROM harvest")))


def test_prices_are_told_with_their_days(village: Village, phone: Phone) -> None:
    """The newest of each market, two at most, in one part; none is promised."""
    quote(village, 2_000, days_ago=2)
    quote(village, 2_500, days_ago=1)
    quote(village, 3_000, market="Soko la Juu", crop_class="large")
    quote(village, 1_000, market="Sokoni Ndaliro", district="Ndaliro")

    assert phone.says("price") == (
        "A kilo brought Soko la Juu large TZS 3,000 on Wed 25/11, Soko Kuu TZS 2,500 on Tue 24/11. "
        "Prices change, none is promised."
    )


@pytest.mark.parametrize("days_ago", [31, None])
def test_an_old_price_is_no_price(village: Village, phone: Phone, days_ago: int | None) -> None:
    """Where none of the last thirty days is known, the answer says what to do."""
    if days_ago:
        quote(village, 2_500, days_ago=days_ago)

    assert "No price of the last weeks is known for your district." in phone.says("bei")


def test_a_year_in_figures(village: Village, phone: Phone) -> None:
    """30 kg picked, 20 of them sold; 50,000 came in and 17,000 went out, so 33,000 are left."""
    phone.says("harvest 10 12/11")
    phone.says("harvest 20 24/11")
    phone.says("sold 12 kg 30000 for all 24/11")
    phone.says("sold 8 kg 2500 each")
    phone.says("cost manure 15000 5/9")
    phone.says("cost transport 2000")

    assert phone.says("my year") == (
        "Neema, 12 months as told: picked 30 kg, sold 20 kg, in TZS 50,000, out TZS 17,000, left TZS 33,000. "
        "No promise."
    )


def test_a_loss_is_said_as_one(village: Village, phone: Phone) -> None:
    """More went out than came in."""
    phone.says("cost seedlings 60000")

    assert "sold 0 kg, in TZS 0, out TZS 60,000, short of TZS 60,000." in phone.says("mwaka")


def test_a_year_of_nothing(village: Village, phone: Phone) -> None:
    """Nothing told yet: the answer says how to begin."""
    assert "Neema, you have told of no weight, sale or cost in 12 months." in phone.says("my year")


def test_two_farmers_of_one_phone(village: Village, phone: Phone) -> None:
    """A sale is asked for whom, and is that one's with the answer."""
    village.phone().joins(name="Asha", plants=100, days_ago=200)
    village.link("Asha", phone)
    question = phone.says("sold 2 kg 5000 for all")
    phone.says("Asha")

    owner = "SELECT farmer.name FROM sale JOIN plot ON plot.id = plot_id JOIN farmer ON farmer.id = farmer_id"
    assert "1 Neema" in question or "2 Neema" in question
    assert ["Asha"] == [row["name"] for row in village.rows(owner)]


def test_who_has_stopped_is_not_looked_up(village: Village, phone: Phone) -> None:
    """Of two who share a phone one has stopped on her own: the year is told of the other, without asking."""
    asha = village.phone()
    asha.joins(name="Asha", plants=100, days_ago=200)
    village.link("Asha", phone)
    asha.says("STOP")

    assert "Neema, you have told of no weight" in phone.says("my year")


def test_an_erased_farmer_leaves_no_money(village: Village, phone: Phone) -> None:
    """With the farmer go sales and costs."""
    phone.says("sold 12 kg 30000 for all")
    phone.says("cost manure 15000")
    for words in ("records", "2", "2"):
        phone.says(words)

    assert ([], []) == (village.rows("SELECT id FROM sale"), village.rows("SELECT id FROM cost"))
