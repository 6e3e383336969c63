"""Emergencies as people tell them, and ordinary texts of farming that are none.

All wordings are our own; that they are how people speak is common knowledge of both languages, no source.
"""

from collections.abc import Callable

import pytest

from flows.alarms import Distress, Emergency, Harm
from flows.reader import Reading

Says = Callable[[str], Reading]

POISON_SW = """
mume wangu kanywa ile dawa ya majani ya stroberi anatoka povu
kanywa dawa
kanywa dawa!!!
alikunywa dawa ya wadudu jana leo kichwa kinamuuma
mtoto amekunywa dawa ya wadudu
mtoto kainywa dawa ya magugu
amemeza dawa ya kunyunyizia
kameza sumu ya panya
nimemeza dawa kidogo wakati napulizia
jirani yangu amenywa kemikali
dawa mtoto kaila yote
mtoto amekula dawa ya shamba
mke wangu akanywa viuatilifu
aliyekunywa dawa yuko hapa
watoto wamekunywa maji yenye dawa
nakunywa dawa nife
amelamba dawa ya stroberi
dawa imemrukia usoni
dawa imenimwagikia mwilini
nimepulizia dawa kichwa kinauma sana
baada ya kupulizia dawa natetemeka
nilipuliza dawa sasa nina kichefuchefu
amevuta harufu ya dawa kaanguka
dawa iliingia mdomoni
imeniingia machoni
mtoto anatoka povu mdomoni alishika dawa
tangu apulize dawa anatokwa na jasho
fundi wa kupulizia dawa hali mbaya
amekuywa dawa ya wadudu
amekunywa dwa ya wadudu amekunywa kemikal
dawa kali macho yananiwasha
anataka kufa alishika kiuatilifu
"""
POISON_EN = """
my child drank pesticde
she has drunk the insect medicine
somebody take the pesticide he is dying
i swallowed some of the chemical when i was spraying
my son swalowed chemical
he drank the spray
my wife has taken poison
she took the pesticide
a boy ate some of the weed killer
i inhaled the spray and my chest hurts
child drinking chemicals now
the chemical went in my mouth
the spray spilled on me
my husband sprayed the pesticide and now he is sick
i have a headache since i sprayed the medicine
he is foaming at the mouth after the chemical
she is shaking after the spray
he cant see, spray
pesticide on my face
our neighbour has drank insecticide
they drunk water with chemical
my mother tasted the fungicide
baby licked the pesticide bottle
the medicine is burning my eyes
i breathed in the chemical
someone drink medicine of insects
dizzy after mixing
i am vomiting
my goat boy ate the pesticide
chemicals, my stomach hurts
"""
HURT = {
    Harm.SNAKE: (
        "nyoka kaniuma",
        "nyoka amemuuma mtoto",
        "mtoto kaumwa na nyoka",
        "kagongwa na nyoka shambani",
        "mke wangu amengatwa na nyoka",
        "a snake has bit my wife",
        "my daughter was bitten by a cobra",
        "snake bite",
        "snake bit him and he is bleeding",
        "something bit him, two holes on the leg",
    ),
    Harm.FIRE: (
        "nyumba inaungua",
        "the house is on fire",
        "moto ghalani watu wako ndani",
        "fire in our store and my son is burnt",
    ),
    Harm.SHOCK: (
        "he got a shock from electricity and fell",
        "my son touched a live wire",
        "umeme umempiga, ameanguka",
        "stima imemshika kaka",
        "power line hit by my brother, not breathing",
    ),
    Harm.INJURY: (
        "damu inamtoka sana",
        "kajikata na panga",
        "he is losing blood",
        "lots of blood coming out",
        "i cut my hand badly",
        "panga limemkata mguu",
    ),
    Harm.BURNS: (
        "mtoto kaungua",
        "hot porridge fell on the baby",
        "maji ya moto yamemwagikia mtoto",
    ),
    Harm.HEAT: (
        "kazimia shambani",
        "he fainted",
        "she collapsed in the hot sun",
        "kibarua ameanguka juani",
    ),
    Harm.UNCLEAR: (
        "hajitambui",
        "not breathing",
        "he broke his arm",
        "amevunjika mguu",
        "struck by lightning",
        "amepigwa na radi",
        "mbwa amemuuma mtoto",
        "a dog bit my son",
    ),
}
ORDINARY = """
dawa ya wadudu nitumie ipi
nimepulizia dawa jana
nipulizie dawa lini
dawa gani nzuri kwa utitiri
maji ya kunywa
je dawa inafaa karibu na maji ya kunywa
dawa ya ukungu inapatikana wapi
wadudu wanakula majani nitumie dawa gani
konokono wanakula matunda dawa yake nini
ndege wanakula stroberi
majani yanakufa dawa gani
mimea inakufa nimeweka dawa
miche imekufa baada ya dawa
dawa imeisha
bei ya dawa ni kiasi gani
nimenunua dawa
nimeweza kupata dawa
nimekuja na dawa
nimeweka mbolea jana
mbolea gani niweke
mbolea imechelewa
stroberi zinakula mbolea nyingi
mimea inanyauka
matunda yanaoza
nimemwagilia maji asubuhi
maji yamekatika
pampu imeharibika
pampu ya dawa imeharibika
mvua imenyesha sana
baridi kali usiku
majani yana madoa mekundu
naomba dawa ya konokono
leo nimepulizia dawa ya ukungu
dawa ya kupulizia kila wiki
nimechanganya dawa na maji lita kumi
dawa inatoa povu kwenye pampu
siku ngapi baada ya dawa nivune
nisubiri siku ngapi kuvuna baada ya dawa
nyoka yupo shambani
nimeona nyoka kwenye matandazo
nimekata majani kwa kisu
nimepogoa marando
nimenunua panga na jembe
nyumba ya kuku iko karibu na shamba
mtoto wangu ananisaidia shambani
mume wangu amevuna kilo 4
mke wangu ataenda sokoni
nataka kununua kiuatilifu
kiuatilifu gani kinaruhusiwa
viuatilifu vinauzwa wapi
ghala limejaa
nguo za kupulizia dawa zinapatikana wapi
dawa haijafanya kazi
wadudu hawafi na dawa hii
wadudu wamekufa
dawa ya magugu ipo
kunywa chai
ng'ombe wamekunywa maji shambani
which medicine for mites
what pesticide for slugs
i sprayed yesterday
when can i spray
can i spray today it may rain
is it safe to spray near the drinking water
how much chemical for one tank
where can i buy pesticide
the pesticide is finished
the medicine did not work
pests are still eating the leaves
birds are eating my strawberries can i spray
slugs ate the fruit
insects eating my plants which medicine
my plants are dying what spray
my plant is dying which medicine
the leaves are burning in the sun
the plants are sick which medicine
the spray makes foam in the tank
shake the medicine before use
i mixed the chemical with water
how long after the spray may i pick
waiting days after pesticide
i took fruit to the market
take the berries to the market
which fertilizer should i use
fertilizer is too expensive
the pump is broken
my sprayer is broken
i bought a new sprayer
i need gloves for the spray
i saw a snake in the field
the snake ran into the mulch
i cut my runners with a knife
cut the old leaves
the store is closed
the house is near the field
my child helps me pick
my husband picked 3 kg
my wife sprays on monday
the drip line is broken
too much rain
i want to drink tea
the goats drink from the tank
how much water per plant
mould on fruit
white spots on leaves
no rain for two weeks
soil is dry
the spray medicine price
do bees die from spray
the bees are dying
wasps on the fruit
spray again tomorrow
"""


def _lines(block: str) -> list[str]:
    return [line for line in block.splitlines() if line]


@pytest.mark.parametrize("text", _lines(POISON_SW + POISON_EN))
def test_somebody_may_be_poisoned(says: Says, text: str) -> None:
    """Any person, any tense, a slip of the finger, or only what is seen: first aid comes at once."""
    assert Emergency(text=text, harm=Harm.POISON) == says(text).input


@pytest.mark.parametrize(("harm", "text"), [(harm, text) for harm, texts in HURT.items() for text in texts])
def test_somebody_is_hurt(says: Says, harm: Harm, text: str) -> None:
    """Each kind has first aid of its own; where two are told the graver wins, and where none is clear the general."""
    assert Emergency(text=text, harm=harm) == says(text).input


@pytest.mark.parametrize("text", _lines(ORDINARY))
def test_talk_of_farming_is_no_alarm(says: Says, text: str) -> None:
    """Sprays, mites, dying plants and drinking water are every day's work."""
    assert not isinstance(says(text).input, Emergency | Distress)


def test_the_tables_are_as_wide_as_they_claim() -> None:
    """A row that falls away unseen would take its kind of wording with it."""
    assert (60, 110) <= (len(_lines(POISON_SW + POISON_EN)), len(_lines(ORDINARY)))
    assert set(Harm) == {Harm.POISON, *HURT}


@pytest.mark.parametrize(
    ("text", "language"),
    [
        ("i swallowed some of the chemical when i was spraying", "en"),
        ("a snake has bit my wife", "en"),
        ("kanywa dawa", "sw"),
        ("amekunywa pesticide", "sw"),
    ],
)
def test_an_alarm_is_told_in_the_words_language(says: Says, text: str, language: str) -> None:
    """Whoever holds the phone now may not read the language that its farmer chose."""
    assert language == says(text).language
