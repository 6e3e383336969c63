"""First aid by text: one for each kind of harm, and one for despair, each with the number to call or without.

What they say is common practice, no source; a health authority approves their wording before a farmer gets one.
None names a product, a dose or a mix.
"""

from collections.abc import Mapping
from typing import Final

from flows.alarms import Harm
from flows.promised import Kind, Text

DESPAIR: Final = "distress"
OF_HARM: Final[Mapping[Harm, str]] = {
    Harm.POISON: "emergency",
    Harm.FIRE: "emergency_fire",
    Harm.SHOCK: "emergency_shock",
    Harm.SNAKE: "emergency_snake",
    Harm.INJURY: "emergency_hurt",
    Harm.BURNS: "emergency_burns",
    Harm.HEAT: "emergency_heat",
    Harm.UNCLEAR: "emergency_unclear",
}

# Where the programme has set no number, the words need no gap for it.
WITHOUT_NUMBER: Final[Mapping[str, str]] = {
    text_id: f"{text_id}_no_number" for text_id in (*OF_HARM.values(), DESPAIR)
}

FIRST_AID_TEXTS: Final[dict[str, Text]] = {
    **{text_id: Text(values="number", kind=Kind.FIRST_AID) for text_id in WITHOUT_NUMBER},
    **{text_id: Text(kind=Kind.FIRST_AID) for text_id in WITHOUT_NUMBER.values()},
}
