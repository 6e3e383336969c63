"""The words that ask a village to look at its plants, where farmers see a pest more often than before.

They are an officer's own words, prepared: the officer reads and changes them, and whoever has to agree to own words
agrees to these. They name no farmer and no number, so that nobody can be pointed at.
"""

from datetime import datetime

from flows.wording import Phrase
from service.core.alerts import Audience
from service.core.danger_ports import Danger
from service.use_cases.alerts.drafting import Order
from service.use_cases.tools import Tools


def ask_to_look(tools: Tools, danger: Danger, ends_at: datetime) -> Order:
    """Return the order for an alert to the village in which a pest is seen more often."""
    said = Phrase("look_more", {"what": Phrase(f"finding.{danger.pest}")})
    return Order(
        # Graver by a level it is another alert.
        idem_key=f"danger-{danger.id}-{danger.level}",
        audience=Audience(
            districts=frozenset({danger.district_id}),
            villages=frozenset(() if danger.village_id is None else {danger.village_id}),
        ),
        words={language: tools.wording.write(said, language) for language in tools.packs.languages},
        useless_after=ends_at,
    )
