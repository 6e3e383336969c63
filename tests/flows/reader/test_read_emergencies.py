"""Further emergencies in everyday words, and texts that hold the same words and tell of none.

All wordings are our own; that they are how people speak is common knowledge of both languages, no source.
"""

from collections.abc import Callable

import pytest

from flows.alarms import Distress, Emergency
from flows.reader import Reading

Says = Callable[[str], Reading]

SOMEBODY = """
my daughter drank from the bottle of insecticide
our worker is vomiting after spraying
spray got in my eyes what should i do
the wind carried the spray into my face
he breathed the fumes of the chemical and is coughing
chemical leaked from the sprayer onto my legs and it itches
a child has eaten rat poison
i accidentally swallowed some when blowing the nozzle of the sprayer
my son put fertiliser in his mouth
my grandmother drank kerosene
i feel dizzy after mixing chemicals
snake bite on hand
a snake has bitten a worker
viper bit my brother in the straw
a dog bit my child
bees attacked my husband he is swollen
i cut my foot with the hoe
the panga cut my finger deeply
he is bleeding from the head
blood everywhere, he fell on the knife
boiling porridge fell on the baby
my wife burnt her hand on the pump exhaust
the house is burning help
our store is on fire
electricity shocked my husband
he touched the live wire and fell
a worker collapsed in the sun
she fainted in the greenhouse
he is not breathing
my child is choking
there was a road accident with our fruit lorry people are hurt
i want to kill myself
i have no reason to live anymore
life is useless i want to die
my brother wants to hang himself
mtoto wangu amekunywa dawa ya konokono
mke wangu amemeza kemikali
kibarua anatapika baada ya kupulizia
dawa imeingia jichoni
dawa imemwagika mkononi inawasha
nimevuta harufu ya dawa kichwa kinauma
kizunguzungu tangu nipulizie dawa
mtoto amekula mbolea
baba amekunywa sumu
amekunywa mafuta ya taa
nyoka amemgonga mtoto
ameumwa na nyoka mguuni
mbwa amemng'ata mtoto
amechomwa na nge
nyuki wamemshambulia baba
panga limemkata mkono
jembe limenikata mguu damu nyingi
anavuja damu sana
uji umemwagikia mtoto wa moto
mtoto ameungua na maji moto
nyumba inaungua moto
moto umefika kwenye nyumba za watu
umeme umempiga kaka
ameshika waya wa umeme kaanguka
kibarua amezimia juani
ameanguka shambani hajibu
mtoto amezama kwenye bwawa
amevunjika mguu akishuka mlimani
nataka kujiua
sioni maana ya kuishi
maisha hayana maana kwangu
natamani kufa
ndugu yangu kajinyonga
mtoi ameswallow spray
chemical imeingia kwa macho yangu
nimefaint kwa greenhouse
dawa ilirukia uso wangu
mama amepata shoti ya umeme
ameteleza akaanguka amevunja mkono
"""
NOBODY = """
which poison for rats is allowed
is this poison dangerous for fish
poison for slugs where to buy
do bees die from pesticides
my hands get cold when picking
my back is tired after weeding
leaves are swollen with bumps
fruits are bleeding juice
the roots are drowning in water
the shade net collapsed
plants collapsed from wilt
wires for the trellis price
the live fence is growing well
electric pump or diesel pump
i touched the wire fence to fix it
there is smoke from the neighbour's field
burning dry leaves is it ok
can we burn old straw
sunburn on leaves
fire blight on pears too?
a snake passed through the garden
snakes in mulch how to chase
a dog ate my strawberries
birds bite fruit
i cut the runners today
i cut my runners
cut my losses this season
blood meal as manure?
fish blood and bone is it good
my child likes strawberries
my wife and i picked 5 kg
mother plants are weak
daughter plants rooted
baby plants need shade
eye of the runner
headache to sell these berries
price gives me headache
my heart is happy today
i am dying to see the first fruit
this work is killing me
the heat kills flowers
what kills aphids
the spray burnt the leaves
chemical burn on leaf edges
spray drift on my plants
spray at what time
wear gloves when spraying?
which mask for spraying
how to wash hands after spraying
how to keep chemicals from children
is it safe for children to eat fruit after spraying
can i take the medicine back to the shop
took medicine to the field
took the spray to the neighbour
i have taken the manure to the field
the medicine is in the store house
store the fruit in a cool house
hot water for cleaning trays?
steam the soil?
hot sun today
the sun is hot and plants fell down
fruit fell down
fell behind with weeding
tree fell on the beds
lost 20 plants
lost a lot of fruit
emergency seedlings needed
my phone died
battery dead
dawa ya panya inauzwa wapi
dawa ya konokono bei gani
sumu ya konokono
dawa inadhuru nyuki?
dawa imechoma majani
dawa imeunguza majani
dawa imemwagika chini
mikono imechoka
mguu wa meza
mkono wa tembo ni ndizi
macho ya mmea
tumbo la soko
moto wa nyasi unafaa?
moshi unasaidia baridi?
nichome majani?
majani yameungua
jua limeunguza matunda
umeme hakuna leo
umeme wa pampu ni ghali
waya wa wavu unauzwa wapi
nyoka wapo shambani
nyoka amepita
nimeona joka mtoni
mbwa wamekula matunda
nyuki ni wachache
nyuki wanafaa
jembe jipya nimenunua
panga la kukata majani
damu ya ng'ombe kama mbolea
mtoto anasaidia kuchuma
watoto wanakula stroberi
watoto wamekula matunda mengi
mama amevuna kilo 3
baba ameenda sokoni
mume wangu amepulizia dawa jana
mke wangu anapulizia dawa leo
kibarua amepulizia dawa ya ukungu
vibarua wawili wa kupulizia dawa
nguo gani za kupulizia dawa
dawa na watoto mbali
mimea imelala
mimea imeanguka
mimea inakunywa maji mengi
mimea imevimba mizizi
tunda limeoza
mvua imeharibu maua
nimechoka sana
nimechoka na magugu
nakufa na njaa
bei inatuua
maisha magumu
siku hizi maisha ni magumu
maisha ya mmea
mwaka huu hasara
kazi hii inaua mgongo
natafuta soko la kilo 20
nilikuwa mgonjwa sasa nimepona
hospitali inataka kilo 5
daktari wa mimea
nimeteleza bei
nipige dawa lini
baada ya kupulizia dawa nivune lini
nimespray jana
after spraying when can i pick
since spraying the mites are fewer
after spraying the leaves turned yellow
i was spraying when rain started
electricity prices hit my pocket
nyoka wamejaa kwenye matandazo
moto wa kupikia
matunda yameungua na jua
"""


def _lines(block: str) -> list[str]:
    return [line for line in block.splitlines() if line]


@pytest.mark.parametrize("text", _lines(SOMEBODY))
def test_somebody_is_harmed(says: Says, text: str) -> None:
    """What was done or is seen, on somebody's body: first aid comes at once."""
    assert isinstance(says(text).input, Emergency | Distress)


@pytest.mark.parametrize("text", _lines(NOBODY))
def test_plants_pests_and_prices_are_nobody(says: Says, text: str) -> None:
    """Poison for rats, burnt leaves, drowned roots and tired backs need no first aid."""
    assert not isinstance(says(text).input, Emergency | Distress)


@pytest.mark.parametrize(
    ("text", "harmed"),
    [
        ("poison", True),
        ("poison for rats at what price", False),
        ("my child found the poison for rats", True),
        ("spray came into my eyes", True),
        ("if spray comes into my eyes, just asking", False),
    ],
)
def test_a_word_of_harm_is_about_somebody_unless_it_is_not(says: Says, text: str, harmed: bool) -> None:  # noqa: FBT001 - a case
    """Alone it is an alarm; beside a plant, a pest or a price it needs somebody, and what only asks is none."""
    assert harmed == isinstance(says(text).input, Emergency)


def test_the_tables_are_as_wide_as_they_claim() -> None:
    """A row that falls away unseen would take its kind of wording with it."""
    assert (60, 100) <= (len(_lines(SOMEBODY)), len(_lines(NOBODY)))
