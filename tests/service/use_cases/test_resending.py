"""How long a route rests and a text waits after a refusal."""

from datetime import UTC, date, datetime, timedelta

import pytest

from service.core.gateway import RefusalClass, Refused
from service.core.model import Claimed
from service.use_cases.resending import LONGEST_PAUSE, backoff, rest_after

NOON = datetime(2026, 11, 25, 9, 0, tzinfo=UTC)
SECOND = timedelta(seconds=1)


def tried(number: int, *, tries: int) -> Claimed:
    """Return a text that has been handed over so often."""
    return Claimed(
        queued_on=date(2026, 11, 25),
        id=number,
        kind="reminder",
        reference="reference",
        our_ref="reference",
        destination="+255621234567",
        text="Text",
        tries=tries,
        valid_until=NOON,
        paid_on=date(2026, 11, 25),
    )


@pytest.mark.parametrize(
    ("reason", "asked_for", "rests"),
    [
        pytest.param(RefusalClass.PACE, None, 2 * SECOND, id="too fast"),
        pytest.param(RefusalClass.PACE, SECOND, 2 * SECOND, id="asked for less than we rest anyhow"),
        pytest.param(RefusalClass.PACE, 60 * SECOND, 60 * SECOND, id="asked for more"),
        pytest.param(RefusalClass.LINK, None, 30 * SECOND, id="no way out"),
        pytest.param(RefusalClass.LINK, 3600 * SECOND, LONGEST_PAUSE, id="asked for an hour"),
        pytest.param(RefusalClass.TEMPORARY, 60 * SECOND, 0 * SECOND, id="one text for now"),
        pytest.param(RefusalClass.PERMANENT, None, 0 * SECOND, id="one text for good"),
    ],
)
def test_a_route_rests_only_where_the_text_is_not_at_fault(
    reason: RefusalClass, asked_for: timedelta | None, rests: timedelta
) -> None:
    """As long as the network asks for, but neither less than our own pause nor longer than five minutes."""
    refusal = Refused(reason=reason, code="code", detail="because", retry_after=asked_for)

    assert rests == rest_after(refusal)


@pytest.mark.parametrize(("tries", "least"), [(1, 30), (2, 60), (3, 120), (4, 240)])
def test_a_text_waits_ever_longer_and_a_thousand_spread_over_a_quarter_more(tries: int, least: int) -> None:
    """From the pause itself to a quarter more, each hundredth of that stretch having some of them."""
    waits = [backoff(tried(number, tries=tries)) / SECOND for number in range(1, 1001)]

    hundredths = {int((wait - least) / (least / 4) * 100) for wait in waits}
    assert set(range(100)) == hundredths
