"""Amounts and products in an officer's own words: what is refused, and what a field officer must be able to say."""

import pytest

from service.core.doses import names_in
from service.core.refused_words import refused_in

REFUSED = """
Use Berizoli, two caps per bucket, against grey mould.
Use two caps of Berizoli per bucket
vijiko viwili vya Berizoli kwa ndoo moja
NPK gramu kumi kila mche
Berizoli 0.5%
mililita tano
matone 3 kwa lita
Tumia dawa ya Berizoli.
Use Berizoli against grey mould.
Put one capful in the bucket.
Half a cap is enough for the bed.
Two full caps in the evening.
A teaspoon per plant.
Three level tablespoons in a bucket of water.
Add 5 drops to the water.
Ten drops of Vimbo in each bucket.
20ml in the tank
5 cc
Use twenty grams for each plant.
12 g a plant
Give each plant 10 grams of urea.
A handful of NPK per plant.
A handful of fertiliser to each plant
Two buckets of Berizoli for the bed.
One tin of Vimbo for every row.
One tin for every 20 plants per bed
Two cups of the medicine in the tank
Half a litre of Berizoli
2 litres in 20 litres
Weka lita mbili kwa tanki
Pour one litre on each bed.
2 kg per bed
Apply 3 kg per row.
Two bags per acre
One sack for each bed
Fertiliser: 50 kg per acre
Berizoli: ndoo mbili
Berizoli, chupa moja kwa shamba
0.5 percent in the tank
asilimia tano ya dawa
asilimia 5
two per cent
1% of it
Tumia Berizoli jioni
Use the Vimbo we brought.
Apply Berizoli at dusk.
Weka kijiko kimoja kwa ndoo
kijiko cha chai kimoja kwa lita
Vijiko vidogo vitatu kwa ndoo
Weka kifuniko kimoja kwa lita 20
vifuniko viwili vya dawa
vizibo viwili kwa lita kumi
Tone moja kwa mche
Matone matano
gramu kumi na tano kwa mche
Nusu kijiko kwa mche
robo lita ya Vimbo kwa ndoo
Mbolea konzi moja kwa mche
Chokaa kilo mbili kwa tuta
Majivu ndoo mbili kwa tuta
Weka kopo moja kwa mstari
kikombe kimoja cha dawa kwa ndoo ya maji
Dawa chupa mbili kwa shamba
Mfuko mmoja kwa ekari
Weka kilo moja kwa tuta
Mwagilia kwa lita 2 za Berizoli
2 litres of water with Berizoli
dawa ya Vimbo
mbolea ya Berizoli
Soap: two handfuls in a bucket
A pinch of salt a plant
kilo 2 za NPK
WEKA VIJIKO VIWILI KWA NDOO
""".strip().splitlines()

FINE = """
Mwagilia lita 2 kwa mche
2 litres of water a plant
Give each plant one litre of water in the evening.
Water twice this week, half a litre a plant.
Weka maji lita moja na nusu kwa kila mche
Lita mbili za maji kwa mche, asubuhi na jioni
Two buckets of water for each row.
Ndoo mbili za maji kwa tuta.
Weka konzi mbili za mboji kwa kila mmea
Put two handfuls of compost round each plant.
Ndoo moja ya mboji kwa tuta
One bucket of compost per bed, well rotted.
Bring 20 kg of ripe fruit on Friday.
Lete kilo 20 za matunda Ijumaa.
Leta kilo 5 Ndaliro Jumamosi.
Gari linabeba kilo mia tatu tu.
The lorry takes 300 kg.
You picked 12.5 kg per row, well done.
Umevuna kilo 12 kwa tuta, hongera.
Bei ni shilingi 3000 kwa kilo.
We pay 3000 shillings per kilo on Tuesday.
Zima pampu kabla ya kugusa.
Zima umeme kabla ya kugusa pampu.
Switch off the pump before you touch it.
Turn the pump off and call your officer.
Do not touch the pump in the rain.
Usiguse pampu ukiwa na mikono yenye maji.
Usiwashe pampu, piga simu kwa fundi.
Keep away from the pump.
Usitumie dawa yoyote.
Usipulizie dawa. Afisa atakuja kesho.
Use no medicine before we have seen the plants.
Read the label and ask your licensed dealer.
Soma maelezo ya dawa kwenye kopo kwanza.
Hakuna dawa leo.
Usichume siku mbili baada ya dawa.
LETENI NDOO MBILI ZA MAJI KWA TUTA.
TWO BUCKETS OF WATER FOR EACH ROW.
Bring your fertiliser to the meeting on Monday.
Mbolea imefika, njoo Jumatatu.
The seedlings come on 12 March.
Plant 40 seedlings in each row.
Panda miche 40 kwa kila mstari, sentimita 30 kati yake.
Plant 30 cm apart, three rows to a bed.
Cover each plant with a handful of straw.
Funika kila mche kwa majani makavu.
Cover plants with 2 sacks each, 20 cm apart.
Heavy rain, 60 mm, on Sunday.
Mvua kubwa, mm 60, Jumapili.
Take off two leaves a plant.
Ondoa majani mawili kwa kila mche.
The meeting is at 10 in Ndaliro.
Mkutano ni saa nne Ndaliro.
Bring two buckets to the school.
Njoo na ndoo mbili shuleni.
Bring two clean tins for the fruit.
Use clean crates for the fruit.
Tumia kreti safi kwa matunda.
Call Neema Achieng if you need help.
Piga simu kwa Neema Achieng.
Reply DONE 2 when you have finished.
Jibu TAYARI 2 ukimaliza.
Clear the drains, one metre wide.
Give it three days, then look again.
Subiri siku tatu kisha angalia tena.
Check ten plants in each row for pests.
Angalia miche kumi kwa kila mstari.
In Kiswahili we say mboji for compost.
Use English if you like.
Send a text to the office on Tuesday.
""".strip().splitlines()


@pytest.mark.parametrize("words", REFUSED)
def test_an_amount_or_a_product_is_refused(words: str) -> None:
    """In figures and in words, in both languages: caps, spoons and drops always, buckets beside a product or a rate."""
    assert refused_in(words, names=frozenset({"ndaliro"}))


@pytest.mark.parametrize("words", FINE)
def test_water_compost_fruit_and_cautions_pass(words: str) -> None:
    """Litres of water, handfuls of compost, kilos of fruit, a pump to be switched off, and all that measures nothing."""
    assert () == refused_in(words, names=frozenset({"ndaliro", "neema", "achieng"}))


def test_a_name_beside_an_amount_passes_if_somebody_bears_it() -> None:
    """Only names that would have the text refused are asked for, and each of them clears itself alone."""
    words = "Peleka kilo 20 za matunda kwa Mwanaidi. Karibu Chanzige."

    assert frozenset({"mwanaidi"}) == names_in(words)
    assert ["kilo 20"] == [hit.word for hit in refused_in(words)]
    assert () == refused_in(words, names={"mwanaidi"})
