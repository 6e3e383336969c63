"""Orders to spray, in both languages and mixed: what is refused, and what a field officer must be able to say."""

import pytest

from service.core.refused_words import refused_in
from service.core.spray_orders import spray_orders_in

ORDERS = """
Spray Karatox tomorrow morning
Nyunyiza Karatox kesho asubuhi
Spray tonight
Nyunyiza leo jioni
Nyunyizia mimea yote
Nyunyizeni kesho
Nyunyizieni mashamba kesho asubuhi
Unyunyize jioni
Mnyunyize kesho
Mnyunyizie mimea
Tunyunyize Jumamosi
Utanyunyiza kesho
Inabidi kunyunyiza kesho
Dawa inyunyizwe jioni
PULIZIA KESHO
Pulizia jioni hii
Puliza dawa
Pulizeni kesho
Pulizieni leo
Upulizie asubuhi
Mpulizie mimea yote
Tupulizie pamoja kesho
Mtapulizia kesho
Anza kupulizia leo
Usisahau kupulizia kesho
Ukipulizia leo utavuna vizuri
Piga dawa kesho
Pigeni dawa leo
Upige dawa jioni
Kesho ni siku ya kupiga dawa
Mwagia dawa miche yote
Mwagieni dawa
Mwaga dawa kwenye tuta
Weka dawa kesho
Wekeni hiyo dawa
Muweke dawa leo
Tumia dawa leo
Tumieni dawa hii
Mtumie dawa mapema
Tia dawa kwenye maji
Paka dawa kwenye majani
Dawa ipigwe leo
Dawa itumike kesho
Weka viuatilifu leo
Piga spray kesho
Spray dawa kesho
Tomorrow morning nyunyiza shamba lote
Weka Karatox kesho
Mwagia Karatox kwenye mimea
Piga Karatox leo
Put Karatox on the plants
Nyunyiza maji yenye Karatox
Nyunyiza maji na dawa
Start spraying tomorrow
Keep on spraying
Apply the medicine tomorrow
Use the chemical we brought
""".strip().splitlines()

FINE = """
Usipulizie dawa. Afisa atakuja kesho.
Msipulizie leo, upepo ni mkali.
Usinyunyize leo.
Msinyunyizie kabla afisa hajafika.
Hatupulizii leo.
Usichume siku mbili baada ya kupulizia.
Soma maelezo kabla ya kunyunyiza.
Umepulizia? Jibu NIMEPULIZIA 7.
Mliopulizia jana msivune.
Tulinyunyiza Jumatatu.
Upuliziaji wa majirani ni kesho, kaeni ndani.
Nyunyiza maji asubuhi na mapema.
Nyunyizia maji miche kila jioni.
Umwagiliaji wa kinyunyizio umesimama.
Usitumie dawa yoyote.
Msitumie dawa kabla ya kumpigia afisa.
Usipige dawa leo.
Msiweke dawa leo.
Weka dawa mbali na watoto.
Piga simu kwa afisa.
Piga simu leo.
Weka majani makavu chini ya matunda.
Weka mboji kila tuta.
Mwagilia maji jioni.
Mwagia maji asubuhi.
Tia alama kwenye mche.
Matumizi ya dawa yataelezwa na afisa.
Spraying teams are not from us. Ask your officer first.
Use no medicine before we have seen the plants.
You sprayed last week: wait before you pick.
Put dry straw under the fruit.
""".strip().splitlines()


@pytest.mark.parametrize("words", ORDERS)
def test_an_order_to_spray_is_refused(words: str) -> None:
    """Told one or many, now, tomorrow or whenever, in either language or in both at once."""
    assert refused_in(words)


@pytest.mark.parametrize("words", FINE)
def test_what_orders_nothing_passes(words: str) -> None:
    """A warning, a question, water, a call, and what is past."""
    assert [] == list(spray_orders_in(words))
    assert () == refused_in(words)
