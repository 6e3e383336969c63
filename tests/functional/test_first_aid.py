"""Stories of emergencies: each kind of harm gets its own first aid, first and at once, in both languages.

All wordings are our own; that they are how people speak is common knowledge of both languages, no source.
"""

from typing import Final

import pytest

from flows.catalogue import load_catalogue
from flows.first_aid_texts import FIRST_AID_TEXTS
from tests.village import Phone, Village

# How the text of each kind begins, in English and in Swahili.
BEGINS: Final = {
    "poison": ("POISON?", "SUMU?"),
    "fire": ("FIRE?", "MOTO?"),
    "shock": ("ELECTRIC SHOCK?", "SHOTI YA UMEME?"),
    "snake": ("SNAKE BITE?", "NYOKA?"),
    "injury": ("Hurt?", "Pole. Kuna aliyeumia?"),
    "burns": ("BURNT?", "UMEUNGUA?"),
    "heat": ("FAINTED", "AMEZIMIA"),
    "unclear": ("We are sorry. Get away from danger", "Pole sana. Ondokeni penye hatari"),
    "despair": ("You matter", "Wewe ni wa thamani"),
}
ENGLISH: Final = {
    "poison": ("my little girl drank the medicine for mites", "he mixed the chemical and now he vomits"),
    "fire": (
        "our hut is burning",
        "the barn is in flames with people inside",
        "his clothes are on fire",
        "the kitchen caught fire and my mother is burnt",
    ),
    "shock": (
        "the pump wire shocked my father",
        "my son is stuck to the live cable",
        "the electric fence threw my uncle",
        "he was electrocuted and does not wake",
    ),
    "snake": (
        "a snake bit me in the mulch",
        "cobra has bitten our worker",
        "puff adder bit my son",
        "snake bit her hand and it is bleeding",
    ),
    "injury": (
        "i have cut my leg with a panga",
        "the nail went through my foot",
        "he is bleeding heavily",
        "blood will not stop",
    ),
    "burns": (
        "hot tea spilled on my daughter",
        "boiling water burnt my arm",
        "steam burnt my face",
        "she fell into the cooking fire",
    ),
    "heat": (
        "my wife passed out in the field",
        "the picker fainted",
        "i think my father has heat stroke",
        "he fell down from the heat",
    ),
    "unclear": (
        "emergency please help",
        "he fell from the ladder and cannot move",
        "bees stung my wife badly",
        "there was an accident with the lorry",
    ),
    "despair": ("i no longer want to live", "my sister says she wants to die", "i am going to kill myself"),
}
SWAHILI: Final = {
    "poison": ("mtoto wa jirani kabugia dawa ya magugu", "nimevuta moshi wa dawa kifua kinabana"),
    "fire": (
        "banda limeshika moto",
        "ghala linateketea",
        "nguo zake zinawaka moto",
        "moto umeingia ndani ya nyumba",
    ),
    "shock": ("umeme umemnasa baba", "amegusa waya wa stima", "kapigwa shoti", "mtoto kapigwa na umeme"),
    "snake": (
        "nyoka ameniuma mguu",
        "joka limemuuma kibarua",
        "swila amemgonga mama",
        "nyoka kamuuma mtoto anatoka damu",
    ),
    "injury": (
        "amejikata kidole na kisu",
        "msumari umenichoma mguuni",
        "damu haikomi",
        "shoka limemkata mguu",
    ),
    "burns": (
        "uji wa moto umemwagikia mtoto",
        "mkono umeungua",
        "chai ya moto imemmwagikia",
        "ameungua kwa mafuta ya moto",
    ),
    "heat": (
        "amezirai kwenye jua",
        "kibarua ameanguka kwa jua kali",
        "ameishiwa nguvu juani",
        "mfanyakazi amezimia shambani",
    ),
    "unclear": (
        "dharura njooni",
        "ameanguka kutoka mtini",
        "mbwa ameniuma mguu",
        "amepata ajali ya pikipiki",
    ),
    "despair": ("rafiki yangu anataka kujiua", "sina sababu ya kuishi", "natamani kufa"),
}


@pytest.fixture
def phone(village: Village) -> Phone:
    """A farmer's phone, after joining."""
    phone = village.phone()
    phone.joins()
    return phone


@pytest.mark.parametrize("language", [0, 1], ids=["en", "sw"])
@pytest.mark.parametrize("kind", BEGINS)
def test_each_kind_of_harm_has_its_own_first_aid(
    village: Village, phone: Phone, kind: str, language: int
) -> None:
    """One text of one part, in the language that was texted, and an officer's list; nothing is asked back."""
    before, state = len(phone.received), phone.talk.state
    told = (ENGLISH, SWAHILI)[language][kind]

    answers = [phone.says(words) for words in told]

    assert [] == [answer for answer in answers if not answer.startswith(BEGINS[kind][language])]
    assert [1] * len(told) == [text.parts for text in phone.received[before:]]
    assert state == phone.talk.state
    assert {"emergency"} == {row["urgency"] for row in village.rows("SELECT urgency FROM question")}


GRAVER: Final = {
    "the house is on fire and he drank poison": "POISON?",
    "electric shock, then the store was on fire": "FIRE?",
    "he fainted, a snake bit him": "SNAKE BITE?",
    "burnt by fire and bleeding": "Hurt?",
    "i will kill myself, i drank the spray": "POISON?",
}


def test_of_two_kinds_the_graver_is_answered(phone: Phone) -> None:
    """Poison first, whatever else is told: its text says what must be done before the clinic."""
    answers = {words: phone.says(words) for words in GRAVER}

    assert [] == [words for words, begins in GRAVER.items() if not answers[words].startswith(begins)]


def test_first_aid_comes_to_whoever_has_ended_our_texts_or_never_joined(
    village: Village, phone: Phone
) -> None:
    """At night, after STOP and to a stranger, each kind alike."""
    stranger = village.phone()
    phone.says("STOP")
    village.pass_hours(15)

    answers = {kind: (stranger.says(ENGLISH[kind][0]), phone.says(ENGLISH[kind][0])) for kind in BEGINS}

    assert [] == [
        kind for kind, said in answers.items() if not all(one.startswith(BEGINS[kind][0]) for one in said)
    ]


def test_every_text_of_first_aid_is_told_in_a_story() -> None:
    """A kind without wordings here would reach nobody unseen."""
    said = load_catalogue()
    without = [one for one in FIRST_AID_TEXTS if one.endswith("_no_number")]

    for place, language in enumerate(("en", "sw")):
        begins = [begin[place] for begin in BEGINS.values()]
        texts = [said.render(one, language, {}) for one in without]
        assert len(begins) == sum(text.startswith(tuple(begins)) for text in texts) == len(texts)
    assert BEGINS.keys() == ENGLISH.keys() == SWAHILI.keys()
