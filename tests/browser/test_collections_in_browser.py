"""The pages of collections in a real browser: narrow and wide, light and dark, with a spray's caution in the way."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from tests.stand_in_house import Planter

pytestmark = pytest.mark.browser

PAGES = {
    "collections": "/collections",
    "collection-day": "/collections/{collection}/2026-11-25",
    "collection-edit": "/collections/{collection}/edit",
    "collection-paid": "/collections/paid",
}


def planted(visit: Any) -> str:  # noqa: ANN401 - a browser before a site, see conftest
    """Let farmers of a group be collected today, one of them after a spray, and return the collection's number."""
    house, ids = visit.site.house, visit.site.ids
    with house.database.look() as work:
        there = work.collections.in_districts(None)
    if there:
        # The site is one for all tests.
        return str(there[0].id)
    planter = Planter(house)
    group, collection, _ = planter.collection(ids["asha"], "Riverside growers")
    now = house.service_clock.now()
    with house.database.work() as work:
        work.people.set_farmer(ids["baraka"], group_id=group)
        work.estimates.add(
            id=1, farmer_id=ids["asha"], for_day=now.date(), grams=12_500, inbound_id=1, phone_id=1, at=now
        )
        (plot,) = work.plots.of_farmer(ids["baraka"])
        work.commit()
    planter.spray(plot.id, ago=2)
    return str(collection)


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [320, 768, 1280])
def test_pages_of_collections_fit(
    width: int, scheme: str, visitor: Callable[..., Any], screens: Path
) -> None:
    """No page scrolls sideways, nor with a form unfolded."""
    visit = visitor(width, scheme)
    collection = planted(visit)
    for name, path in PAGES.items():
        visit.open(path.replace("{collection}", collection))
        for fold in visit.page.locator("main details").all():
            fold.evaluate("fold => { fold.open = true; }")
        visit.page.screenshot(path=screens / f"{name}-{width}-{scheme}.png", full_page=True)

        assert visit.page.evaluate("document.documentElement.scrollWidth") <= width
    assert [] == visit.complaints


def test_what_came_is_entered_without_a_script_of_ours(visitor: Callable[..., Any]) -> None:
    """The caution stands where the kilos would be accepted; a refusal comes back with what was typed."""
    visit = visitor(320, "light")
    collection = planted(visit)
    visit.open(f"/collections/{collection}/2026-11-25")
    page = visit.page
    held = page.locator("section", has_text="Baraka")
    free = page.locator("section", has_text="Asha")
    held.locator("summary").click()
    free.locator("summary").click()

    assert 0 == held.get_by_label("Kilos accepted", exact=True).count()
    assert held.get_by_text("Under a spray's hold.").is_visible()

    free.get_by_label("Kilos accepted", exact=True).fill("115")
    free.get_by_role("button", name="Keep it").click()

    assert (
        "115 kg from a farmer who announced 12.5 kg: is it right?" in page.get_by_role("alert").inner_text()
    )
    assert "115" == free.get_by_label("Kilos accepted", exact=True).input_value()
    assert free.get_by_role("button", name="It is right: keep it").is_visible()

    free.get_by_label("Kilos accepted", exact=True).fill("11.5")
    free.get_by_label("Kilos not accepted").fill("1")
    free.get_by_role("button", name="Keep what I have corrected").click()

    assert page.get_by_role("alert").inner_text().startswith("Choose why fruit was not accepted")
    free.get_by_label("Why not").select_option("mould")
    free.get_by_role("button", name="Keep it").click()

    assert page.get_by_text("11.50 kg accepted").is_visible()
    assert page.get_by_text("TZS 28,750 owed").is_visible()
    assert page.get_by_text("The text leaves at").is_visible()
