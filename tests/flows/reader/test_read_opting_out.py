"""Wishes for no more texts as people write them, and ordinary texts that hold the same words.

All wordings are our own; that they are how people speak is common knowledge of both languages, no source.
"""

from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest

import flows
from flows.inputs import Cancel, Stop
from flows.reader import Packs, Reading, Situation, load_packs, read

Says = Callable[[str], Reading]

ENDS = """
Please stop sending me these sms
STOPPPP
Stop messaging this number
stop it now please
I don't need your texts
i do not want any texts from you
dont want this anymore
take my name off your list
Remove this number from your system
pls remove my contact
delete my number from your database
cancel my subscription
cancel my registration
I am leaving the program, thanks
I want to leave this service
end my subscription
unsubscibe me
UNSUBSCRIBE!!!
unsub
Let me out of this
do not ever text this number again
don't message me
quit texting me
quit it
stop spamming me
you are spamming me, stop
leave me alone please
I'm tired of your messages
im done with this service
Too many messages. Stop.
I have sold my farm, stop
I dont farm anymore, stop texting
i no longer farm strawberries, remove me
this number belongs to my son now, stop sending
we are not farmers so stop it
no thanks, stop
I said stop!
STOP. I said STOP.
how do i stop these messages
how to stop this service
can you stop these texts
why do you keep texting me? stop
please do not send any more sms
No more sms please
no more of this
enough of your texts
enough messages
My phone is full, no more texts
this is harassment stop now
I changed my mind, take me out
i would like to stop receiving advice
I want to stop the service
I want to end the service
I wish to unsubscribe from this service
kindly remove my number from your list
kindly stop
pliz stop
stop plz plz
stop all
end all messages
your messages are useless stop
i am dead tired of you people stop
delete my contact
forget my number
I opt out
Opt-out
bas stop
acha
ACHA
achaaa
acheni
acha sasa
acheni sasa jamani
acha kutuma
acheni kutuma ujumbe
acheni kunitumia meseji zenu
acha kunitumia sms
sitisha ujumbe
sitisha
sitisheni huduma yenu
nataka kusitisha huduma
naomba kusitisha huduma hii
naomba mniondoe
naomba mnitoe
nitoeni kwenye orodha
niondoeni kwenye orodha yenu
mniondoe kabisa
ondoa namba yangu
ondoeni namba yangu kwenye orodha
toeni namba yangu
toa namba yangu tafadhali
futa namba yangu
futeni namba yangu
futa jina langu
nifuteni
nataka kutoka kwenye huduma
nataka kutoka kwenye hii group
najitoa
nimejitoa
naomba kujitoa kwenye huduma
nataka kujiondoa
kujitoa
jitoe
sitaki tena
sitaki tena jumbe zenu
sitaki huduma yenu
sitaki huduma hii tena
sitaki kutumiwa sms
sitaki mnitumie chochote
sihitaji meseji zenu
sihitaji huduma hii
sihitaji tena
usinitumie sms tena
msinitumie jumbe
msinisumbue
msinisumbue tena tafadhali
mnanisumbua acheni
nimechoka na sms zenu
nimechoka na nyinyi acheni
nimechoshwa na ujumbe wenu
inatosha, msitume tena
basi msinitumie
basi acheni
mimi si mkulima tena, acheni kutuma
si mkulima, msinitumie
nimehama, sitisha ujumbe
nimeacha kilimo, niondoeni
huyu mtu alifariki, msitume tena
nilishasema acheni
acheni mara moja
tafadhali sitisheni
komesha meseji
koma
stop ujumbe
stop kutuma sms
sms zenu stop
please acheni
remove namba yangu
delete namba yangu
nataka kuunsubscribe
siko interested na hii service
sitaki sms zenu za kila siku
sipendi hizi meseji
hizi jumbe sizitaki
huduma siitaki tena
kwaheri sitaki tena
funga huduma
naomba mfunge huduma hii
simamisha ujumbe
simamisheni huduma
simamisha huduma kwa namba hii
katisha huduma
jumbe zenu zinanisumbua, acheni
acha kunisumbua na sms zako
acha usumbufu
acha kutuma huu upuuzi
hamna kazi? acheni kunitumia
"""
GOES_ON = """
I never said I would like to leave your list
sikuwahi kusema nataka kujitoa
stop the rain
can we stop the wilting
i stopped feeding last week
i quit smoking
we will stop watering on friday
do I stop mulching now
My phone was off so I did not get your messages
i didn't get your messages this week
no messages came this week why
I got no texts since monday
send me more messages
please continue with the messages
I love your texts
your messages help me a lot
the messages are too long but good
I want more advice
I want to remove the old leaves, when
remove my old plants?
delete the last one
delete that
remove that entry
cancel the last weight
cancel it i typed wrong
I end picking at 5
end of season
the season will end soon
no more water in the tank
no more rain
no more pests now
i do not want to lose my plants
dont want mites
I don't need fertiliser
not interested in drip
take off the flowers?
take off runners today
should i take the plants off the ground
leave the flowers?
leave the old leaves on
I leave home at 6
who do i leave the fruit with
i am leaving for the market
my leave ends monday
i want out of season fruit
block the hole
do not send the officer
don't send the truck today
dont send jobs on sunday
dont send me advice on water, I have enough
don't text at night please
do not text me before 7
text me later
text me tomorrow
stop texting at night
stop sending the same message twice
stop sending for two weeks
stop messages till january
stop for one month
not now
no thanks
i am tired
i am tired of weeding
tired of slugs
sick of birds
sick plants
my number is 0712 345 678
my number changed
change my number
is my number on the list
how many are on the list
why is my name wrong
change my name
my husband does not like strawberries
the buyer does not want small ones
enough rain now
enough for today
i have enough
that is enough water
the halt at the road
acha mimea ikauke
acha maua?
niache majani mangapi
tuache maua
niache maua au nitoe
nitoe marando lini
nitoe majani makavu?
nitoe yote?
ondoa majani makavu
ondoa magugu
toa maua
futa
futa kilo 5
futa ya jana
futa hiyo
futa ujumbe wa mwisho
futa namba ya mwisho
sitaki maua
sitaki kuvuna leo
sitaki kuuza kwa bei hii
sihitaji dawa
sihitaji mbolea
sihitaji msaada
usitume gari leo
usitume ujumbe usiku
msitume usiku
msinitumie usiku
msinitumie kazi jumapili
usinitumie kazi wiki hii
sijapata ujumbe
sijaona ujumbe wenu
ujumbe haujafika
meseji hazifiki
meseji zenu nzuri
jumbe zenu zinanisaidia sana
endeleeni kunitumia ujumbe
nitumieni ujumbe
naomba mnitumie ujumbe
nataka ujumbe
nimechoka na magugu
nimechoka na ndege
nimechoka sana leo
mvua imeacha
mvua iache nivune
basi
basi sawa
imetosha mbolea
inatosha?
maji yanatosha
yatosha lita mbili?
acha nivune kwanza
wacha nipime kwanza
acha tuone kesho
toka jana mvua
kutoka asubuhi nachuma
ondoka shambani ndege
simama hapo
pampu simamisha vipi
funga mlango
funga bomba
nifunge maji?
orodha ya kazi
nipe orodha
namba yangu imebadilika
badilisha namba
badilisha jina langu
jina langu si hilo
simu yangu ilikuwa mbovu
huduma yenu ni nzuri
asante kwa huduma
huduma ya afisa ipo lini
mpango wa wiki
sipendi stroberi ndogo
wateja hawapendi ndogo
stop mites
stop 3 rows done
i stop here today, 4 kg
stop picking green ones he said
"""
DOUBTFUL = """
please end this
mnanisumbua
shamba nimeuza, acheni
exit of the farm is muddy
stop! goats
stop sending me two messages
"""


def _lines(block: str) -> list[str]:
    return [line for line in block.splitlines() if line]


@pytest.mark.parametrize("text", _lines(ENDS))
def test_our_texts_end(says: Says, text: str) -> None:
    """An ending with what is ours, a refusal of it, or a bare stop needs no question."""
    assert Stop() == says(text).input


@pytest.mark.parametrize("text", _lines(GOES_ON))
def test_other_ends_are_none_of_ours(says: Says, text: str) -> None:
    """Rain, pests, leaves, the last weight, a week, a language: nobody is stopped or asked for these."""
    assert not isinstance(says(text).input, Stop | Cancel)


@pytest.mark.parametrize("text", _lines(DOUBTFUL))
def test_a_doubtful_end_is_asked_about(says: Says, text: str) -> None:
    """What may be meant for us and is not clear is one question."""
    assert isinstance(says(text).input, Cancel)


def test_the_tables_are_as_wide_as_they_claim() -> None:
    """A row that falls away unseen would take its kind of wording with it."""
    assert (130, 130) <= (len(_lines(ENDS)), len(_lines(GOES_ON)))


def test_a_persons_name_beside_it_is_asked_about(packs: Packs) -> None:
    """A phone may speak for several: who names one of them may mean that one alone."""
    situation = Situation(
        on=date(2026, 11, 25), districts=(), languages=packs, language="en", people=frozenset({"neema"})
    )

    assert Cancel() == read("please stop neema", situation).input


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("please stop these texts", "opt-out with what we send 'stop'"),
        ("my rains have failed, unsubscribe me", "opt-out 'unsubscribe me'"),
        ("sitaki", "refusal, and nothing else is said 'sitaki'"),
    ],
)
def test_the_record_says_why(says: Says, text: str, why: str) -> None:
    """An officer sees what a text was stopped by."""
    assert (why,) == says(text).why


def test_a_third_language_is_data(tmp_path: Path) -> None:
    """Another language's words are a table of its file: no code knows any of them."""
    text = (Path(flows.__file__).parent / "locale" / "en.toml").read_text(encoding="utf-8")
    other = text.replace('language = "en"', 'language = "xx"').replace('end = ["stop",', 'end = ["zumba",')
    (tmp_path / "xx.toml").write_text(other, encoding="utf-8")
    situation = Situation(on=date(2026, 11, 25), districts=(), languages=load_packs(tmp_path), language="xx")

    assert Stop() == read("zumba your messages", situation).input
