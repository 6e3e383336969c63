"""Today, the list of farmers, and a farmer's own page."""

import re
from datetime import timedelta
from itertools import chain

import pytest

from service.db.tables import people
from tests.stand_in_house import NOW, Planter, StandInHouse, fill
from tests.web_desk import Desk

HOSTILE = '<img src=x onerror="alert(1)"></title></script><script>alert(1)</script>{{7*7}}'


def test_empty_programme_says_what_comes_next(desk: Desk) -> None:
    """Before anybody has joined, the page says so instead of drawing nothing."""
    page = desk.text("/")

    assert "Nothing needs a person now" in page
    assert "The first farmer joins by texting JOIN" in page
    assert "<svg" not in page.partition("<main")[2]


def test_emergency_stands_first(desk: Desk, planter: Planter) -> None:
    """What needs a person is listed by urgency and then by how long it waits, each with where it leads."""
    farmer, phone = planter.farmer("Asha")
    plot = planter.plot(farmer)
    planter.text_out(phone, "in doubt", ago=timedelta(hours=1), farmer_id=farmer, state="in_doubt")
    planter.weight(plot, phone, ago=0, grams=90_000, state="in_question")
    planter.question(phone, "not understood", ago=timedelta(days=3), urgency="not_understood")
    planter.question(phone, "ordinary, older", ago=timedelta(hours=40), farmer_id=farmer)
    planter.question(phone, "ordinary, newer", ago=timedelta(hours=4), farmer_id=farmer)
    planter.question(phone, "amekunywa sumu", ago=timedelta(minutes=2), farmer_id=farmer, urgency="emergency")
    page = desk.text("/")
    needs = page.partition('<ol class="needs">')[2].partition("</ol>")[0]
    waits = re.findall(r"<b>(.*?)</b> <span>(.*?)</span>", needs)

    assert "6 things" in page
    assert [
        ("2 minutes", "emergency"),
        ("40 hours", "question"),
        ("4 hours", "question"),
        ("3 days", "not understood"),
        ("90.00 kg", "weight in question"),
        ("1 hour", "text in doubt"),
    ] == waits
    assert 1 == needs.count('class="alarm"')
    assert f'href="/farmers/{farmer}"' in needs
    assert "200 g a plant" in needs


def test_only_what_is_open_needs_a_person(desk: Desk, planter: Planter) -> None:
    """Counted weights, delivered texts and erased farmers need nobody."""
    farmer, phone = planter.farmer("Asha")
    planter.weight(planter.plot(farmer), phone, ago=0, grams=4000)
    planter.text_out(phone, "done", ago=timedelta(hours=1), farmer_id=farmer)
    gone, _ = planter.farmer("", state="erased")
    page = desk.text("/")

    assert "Nothing waits for an answer now" in page
    assert f'"/farmers/{gone}"' not in page
    assert 404 == desk.get(f"/farmers/{gone}").status_code


def test_long_lists_are_counted_in_full(desk: Desk, planter: Planter) -> None:
    """Only the first dozen is shown; how many there are in all is still told."""
    phone = planter.phone()
    for number in range(15):
        planter.question(phone, f"question {number}", ago=timedelta(hours=number + 1))
    page = desk.text("/")

    assert "15 things" in page
    assert 12 == page.count("code Q")
    assert "And 3 more things: 15 questions, 0 weights and 0 texts in doubt in all." in page


def test_list_shows_where_each_farmer_stands(desk: Desk, planter: Planter) -> None:
    """A line holds name, district, plants, day, stage and last counted weight."""
    farmer, phone = planter.farmer("Asha Mwarobi", district="Ketumali")
    plot = planter.plot(farmer, age=212, plants=1450)
    planter.weight(plot, phone, ago=9, grams=9000)
    planter.weight(plot, phone, ago=2, grams=4250)
    planter.weight(plot, phone, ago=1, grams=99_000, state="in_question")
    line = desk.text("/farmers").partition('<table class="register">')[2].partition("</table>")[0]
    plain = " ".join(re.sub(r"<[^>]+>", " ", line).split())

    assert "Asha Mwarobi Ketumali 1,450 plants day 212 picking 4.25 kg Mon 23 Nov" in plain


@pytest.mark.parametrize(
    ("age", "state", "stage"),
    [
        (-12, "active", "not planted yet"),
        (0, "active", "taking root"),
        (119, "active", "flowers off"),
        (120, "active", "flowers stay"),
        (144, "active", "picking"),
        (910, "active", "renewal"),
        (1095, "active", "past its three years"),
        (300, "stopped", "has stopped all texts"),
        (300, "pending", "has not said yes yet"),
    ],
)
def test_stage_in_words(age: int, state: str, stage: str, desk: Desk, planter: Planter) -> None:
    """The stage is told in words, and a farmer who gets no texts is told apart."""
    farmer, _ = planter.farmer("Asha", state=state)
    planter.plot(farmer, age=age)

    assert f"<span>{stage}</span>" in desk.text("/farmers")


def test_search_takes_names_literally(desk: Desk, planter: Planter) -> None:
    """A part of a name finds it in any case; marks of the database's own are letters like others."""
    for name in ("Asha Mwarobi", "Juma Lusinde", "Per_cent 100%"):
        planter.farmer(name)
    found = {
        named: re.findall(r'href="/farmers/\d+">(.*?)</a>', desk.text(f"/farmers?name={named}"))
        for named in ("mwa", "JUMA", "%25", "_", "nobody")
    }

    assert {
        "mwa": ["Asha Mwarobi"],
        "JUMA": ["Juma Lusinde"],
        "%25": ["Per_cent 100%"],
        "_": ["Per_cent 100%"],
        "nobody": [],
    } == found


def test_list_comes_in_pages_of_fifty(desk: Desk, planter: Planter) -> None:
    """Fifty names a page, each on one page only, and the search is kept from page to page."""
    phone = planter.phone()
    for number in range(103):
        planter.farmer(f"Farmer {number:03d}", phone=phone)
    pages = [
        re.findall(r">(Farmer \d+)</a>", desk.text(f"/farmers?page={page}&name=farmer"))
        for page in (1, 2, 3, 4)
    ]

    assert [50, 50, 3, 0] == [len(page) for page in pages]
    assert [f"Farmer {number:03d}" for number in range(103)] == [*chain(*pages)]
    assert "/farmers?page=3&amp;name=farmer" in desk.text("/farmers?page=2&name=farmer")


@pytest.mark.parametrize(
    "query",
    [
        "page=0",
        "page=-3",
        "page=x",
        "page=99999999999999999999",
        "name=" + "x" * 5000,
        "name=%00",
        "district=9" * 9,
        "village=x",
        "stage=none&state=none",
        "group=" + "9" * 40,
    ],
)
def test_odd_queries_are_harmless(query: str, desk: Desk) -> None:
    """A page number or a name that nobody would type is taken as well as it can be."""
    assert 200 == desk.get(f"/farmers?{query}").status_code


def test_person_page_tells_the_whole_story(desk: Desk, house: StandInHouse) -> None:
    """A farmer's page has the strip, jobs past and to come, weights, and texts both ways with their why."""
    page = desk.text(f"/farmers/{fill(house)['asha']}")

    for told in (
        "<h1>Asha Mwarobi</h1>",
        "Ndaliro, 450 plants, planted  27 April 2026",
        "day 212, Wed 25 Nov",
        "<td>Pick, weigh · Check pests · Water · Runners · Old leaves · Weeds · Compost · Cover soil</td>",
        "not texted: its useful days have passed",
        "read as a harvest 7.25 kg of 24 November 2026; starts with vuna: harvest; 7.25 is kilos; idle: the weight",
        "answer, delivered",
        "answer, sent or not, nobody knows yet",
        "1 part, 38 of 160; no answer came",
        "stored, not read yet",
        "on Mondays and Thursdays from 7:00",
        "<dt>Language</dt><dd>Swahili</dd>",
        "ending …560",
    ):
        assert told.replace("  ", " ") in " ".join(page.split()), told


def test_totals_hold_only_what_counts(desk: Desk, planter: Planter) -> None:
    """Weights in question and taken back stand in the list but in no total; the year is twelve months."""
    farmer, phone = planter.farmer("Asha")
    plot = planter.plot(farmer, age=700, plants=100)
    for ago, grams, state in (
        (500, 10_000, "counted"),
        (364, 2_000, "counted"),
        (1, 3_125, "counted"),
        (1, 50_000, "in_question"),
        (2, 60_000, "voided"),
        (3, 0, "counted"),
    ):
        planter.weight(plot, phone, ago=ago, grams=grams, state=state)
    page = " ".join(desk.text(f"/farmers/{farmer}").split())

    assert "<dd>15.13 kg</dd>" in page
    assert "<dd>5.13 kg</dd>" in page
    assert "<dd>151 g</dd>" in page
    assert '<td>in question</td><td class="r">50.00 kg</td>' in page
    assert "<td>nothing ripe</td>" in page


def test_shared_phone_shows_only_this_farmers_texts(desk: Desk, planter: Planter) -> None:
    """On a phone of two, each page has its farmer's texts and those that name nobody, the newest first."""
    asha, phone = planter.farmer("Asha")
    juma, _ = planter.farmer("Juma", phone=phone)
    planter.text_in(phone, "for nobody", ago=timedelta(hours=3))
    planter.text_in(phone, "for Asha", ago=timedelta(hours=2), farmer_id=asha)
    planter.text_out(phone, "to Asha", ago=timedelta(hours=2), farmer_id=asha)
    planter.text_in(phone, "for Juma", ago=timedelta(hours=1), farmer_id=juma)
    said = {
        name: re.findall(r"</span>((?:for|to) \w+)</p>", desk.text(f"/farmers/{farmer}"))
        for name, farmer in (("Asha", asha), ("Juma", juma))
    }

    assert {"Asha": ["to Asha", "for Asha", "for nobody"], "Juma": ["for Juma", "for nobody"]} == said


def test_who_it_is_and_what_was_said_last_come_first(desk: Desk, house: StandInHouse) -> None:
    """Above the season stand name, place, language, state and phone, then the last texts; machine notes are folded."""
    page = desk.text(f"/farmers/{fill(house)['asha']}").partition("<main")[2]
    told = (
        "<h1>",
        "Ndaliro",
        "<dt>Language",
        "<dt>Texts",
        "<dt>Consent",
        "<dt>Phone",
        'id="said"',
        'id="season"',
        'id="coming"',
    )
    places = [page.find(words) for words in told]

    assert sorted(places) == places
    assert -1 not in places
    assert "<details><summary>How it was read</summary>read as a job done" in page


def test_pause_and_consent_are_told(desk: Desk, house: StandInHouse, planter: Planter) -> None:
    """The top says until when texts rest, and what was said last about being texted."""
    until = house.service_clock.now() + timedelta(days=9)
    farmer, phone = planter.farmer("Asha", paused_until=until)
    for ago, answer, officer in ((9, "asked", 1), (8, "yes", None)):
        at = house.service_clock.now() - timedelta(days=ago)
        house.put(
            people.consent,
            phone_id=phone,
            farmer_id=farmer,
            purpose="texts",
            answer=answer,
            way="sms",
            officer_id=officer,
            at=at,
            on_day=at.date(),
        )
    page = " ".join(desk.text(f"/farmers/{farmer}").split())

    assert "<strong>Paused until Fri 4 Dec.</strong>" in page
    assert "<dt>Consent</dt><dd>said yes by text, 17 November 2026</dd>" in page


def test_texts_before_a_phone_was_shared_stay_where_they_belong(desk: Desk, planter: Planter) -> None:
    """Who is added on a phone in use sees none of what was said before, even where it names nobody."""
    asha, phone = planter.farmer("Asha")
    planter.text_in(phone, "before them", ago=timedelta(days=5))
    read = planter.text_in(phone, "of Asha", ago=timedelta(days=4), farmer_id=asha)
    juma, _ = planter.farmer("Juma", phone=phone)
    planter.house.share_since(juma, NOW - timedelta(days=3))
    planter.text_in(phone, "since then", ago=timedelta(days=1))
    planter.text_out(phone, "to Asha as well", ago=timedelta(days=1), inbound_id=read)
    said = {
        name: re.findall(r"</span>([\w ]+)</p>", desk.text(f"/farmers/{farmer}"))
        for name, farmer in (("Asha", asha), ("Juma", juma))
    }

    assert ["to Asha as well", "since then", "of Asha", "before them"] == said["Asha"]
    assert ["since then"] == said["Juma"]


def test_earlier_texts_are_a_link_away(desk: Desk, planter: Planter) -> None:
    """Five texts are shown, and all on wish."""
    farmer, phone = planter.farmer("Asha")
    for number in range(45):
        planter.text_in(phone, f"text {number}.", ago=timedelta(hours=number + 1), farmer_id=farmer)
    short = desk.text(f"/farmers/{farmer}")
    link = re.search(r'href="(/farmers/\d+\?texts=\d+)#said"', short)
    assert link is not None

    assert 5 == len(re.findall(r"text \d+\.", short))
    assert 45 == len(re.findall(r"text \d+\.", desk.text(link[1])))


def test_farmer_with_several_plots(desk: Desk, planter: Planter) -> None:
    """The live plot is shown first, and the others on wish; a foreign plot is not."""
    farmer, _ = planter.farmer("Asha")
    old = planter.plot(farmer, age=1000, plants=111, live=False)
    planter.plot(farmer, age=40, plants=222)
    other, _ = planter.farmer("Juma")
    foreign = planter.plot(other, age=5, plants=333)

    assert "222 plants, planted" in " ".join(desk.text(f"/farmers/{farmer}").split())
    resting = desk.text(f"/farmers/{farmer}?plot={old}")
    assert "111 plants, planted" in " ".join(resting.split())
    assert "This plot is at rest" in resting
    assert "333 plants" not in desk.text(f"/farmers/{farmer}?plot={foreign}")


def test_farmer_without_plot_or_texts(desk: Desk, planter: Planter) -> None:
    """A farmer of whom nothing is known yet has a page all the same."""
    farmer, _ = planter.farmer("Asha", state="pending")
    page = desk.text(f"/farmers/{farmer}")

    assert "Has not said yes yet." in page
    assert "Nothing yet." in page


def test_planting_ahead_is_told_in_days(desk: Desk, planter: Planter) -> None:
    """A plot that is still to be planted stands before the strip, with the jobs before planting."""
    farmer, _ = planter.farmer("Asha")
    planter.plot(farmer, age=-25)
    page = desk.text(f"/farmers/{farmer}")

    assert "Planting is in 25 days." in page
    assert "Beds" in page


@pytest.mark.parametrize(
    "path", ["/farmers/999", "/farmers/-1", "/farmers/99999999999999999999", "/farmers/x"]
)
def test_unknown_farmer_is_not_there(path: str, desk: Desk) -> None:
    """An id that is nobody's leads to a plain page, however large it is."""
    response = desk.get(path)

    assert 404 == response.status_code
    assert "Nothing here" in response.text


def test_hostile_words_come_out_inert(desk: Desk, planter: Planter) -> None:
    """Names and texts are shown as typed, and nothing in them becomes part of a page."""
    farmer, phone = planter.farmer(HOSTILE)
    planter.plot(farmer)
    planter.text_in(phone, HOSTILE, ago=timedelta(hours=1), farmer_id=farmer, intent=HOSTILE, why=[HOSTILE])
    planter.text_out(phone, HOSTILE, ago=timedelta(hours=1), farmer_id=farmer, state="in_doubt", why=HOSTILE)
    planter.question(phone, HOSTILE, ago=timedelta(hours=1), farmer_id=farmer)
    pages = [desk.text(path) for path in ("/", "/farmers", f"/farmers/{farmer}")]
    pages.append(desk.get("/", **{"X-Part": "live"}).text)
    pages.append(desk.client.get("/farmers", query_string={"name": HOSTILE}).text)

    for page in pages:
        assert "&lt;img src=x" in page
        assert "<img" not in page
        assert "<script>" not in page
        assert "49" not in re.sub(
            r"[\d.,%]*49[\d.,%]+|[\d.,%]+49", "", page.partition("&lt;/script")[2][:120]
        )


def test_numbers_are_masked_and_never_in_an_address(desk: Desk, house: StandInHouse) -> None:
    """No page shows more of a number than its last three digits, and no link holds any (ASVS 5.0.0 14.2.1)."""
    ids = fill(house)
    for path in ("/", "/farmers", f"/farmers/{ids['asha']}", "/practice", "/practice/2"):
        page = desk.text(path)
        assert not re.search(r"255\d{6,}", page), path
        assert not re.search(r'(?:href|action|src|data-live)="[^"]*\d{6,}', re.sub(r"\?v=\w+", "", page)), (
            path
        )


def test_first_visit_is_small(desk: Desk, house: StandInHouse) -> None:
    """The register with fifty farmers, style, script and drawing come to at most 35 KB as sent to a browser."""
    fill(house)
    zipped = {"Accept-Encoding": "gzip"}
    page = desk.get("/farmers", **zipped)
    files = [desk.get(f"/static/{name}", **zipped) for name in ("console.css", "console.js", "runner.svg")]

    assert "gzip" == page.headers["Content-Encoding"]
    assert 35 * 1024 >= sum(len(response.data) for response in (page, *files))


def test_no_inline_style_or_script(desk: Desk, house: StandInHouse) -> None:
    """Nothing on a page would need a laxer policy."""
    ids = fill(house)
    for path in ("/", f"/farmers/{ids['asha']}", "/practice/2", "/clock", "/sign-in", "/farmers", "/nothing"):
        page = desk.get(path).text
        assert not re.search(r"<style|\sstyle=|\son\w+=|<script(?![^>]+src=)", page), path


def test_a_plot_waits_for_its_farmers_yes(desk: Desk, planter: Planter) -> None:
    """Of somebody who has not said yes it is not said that the plot is at rest."""
    farmer, _ = planter.farmer("Juma", state="pending")
    planter.plot(farmer, live=False)
    page = desk.text(f"/farmers/{farmer}")

    assert "They have not said yes yet: nothing is planned" in page
    assert "at rest" not in page


def test_what_waits_for_its_hour_was_not_said_yet(desk: Desk, planter: Planter) -> None:
    """It stands apart, with the moment it waits for; one that was called off does not wait."""
    farmer, phone = planter.farmer("Asha")
    planter.text_out(phone, "Asante", ago=timedelta(hours=1))
    planter.text_out(phone, "Wiki hii", ago=timedelta(hours=-5), farmer_id=farmer, state="due", tries=0)
    planter.text_out(phone, "Imefutwa", ago=timedelta(hours=-6), farmer_id=farmer, state="cancelled", tries=0)
    page = desk.text(f"/farmers/{farmer}")
    before, _, after = page.partition("Wiki hii")

    assert 1 == page.count("waits for <time")
    assert "waits for <time" in before
    assert "Imefutwa" not in before
    assert "Asante" in after
