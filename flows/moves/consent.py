"""Consent: nobody is texted before they said yes, and whoever comes back is asked anew."""

from dataclasses import replace

from flows.effects import AskedConsent, Decline, Effect, GiveConsent, Say
from flows.facts import Farmer, FarmerState
from flows.moves.turn import Moment, Turn, asked, ended, missed, settled
from flows.states import State
from flows.wording import FullDate, Name, Phrase


def ask_again(moment: Moment, farmer: Farmer, *before: Effect) -> Turn:
    """Ask a farmer who stopped, or has not answered yet, whether texts may be sent."""
    here = replace(moment, farmer=farmer)
    text_id = "welcome_consent" if farmer.state is FarmerState.PENDING else "welcome_back_consent"
    phrase = Phrase(text_id, {"name": Name(farmer.name), "svc": moment.facts.service})
    return asked(
        here,
        "a farmer known to this phone is asked for consent",
        State.CONSENT,
        *before,
        AskedConsent(farmer_id=farmer.id, phrase=phrase, language=here.language),
        Say(phrase=phrase, language=here.language),
        language=here.language,
    )


def agree(moment: Moment) -> Turn:
    """The farmer says yes to being texted."""
    farmer = moment.someone()
    text_id = "joined_ahead" if farmer.planted_on > moment.facts.on else "joined"
    say = moment.say(text_id, name=Name(farmer.name), n=farmer.plants, date=FullDate(farmer.planted_on))
    return settled(ended(moment), "consent is given", GiveConsent(farmer_id=farmer.id), say)


def decline(moment: Moment) -> Turn:
    """The farmer says no to being texted; one who had joined before just stays stopped."""
    farmer = moment.someone()
    text_id = "declined" if farmer.state is FarmerState.PENDING else "stopped"
    say = moment.say(text_id)
    return settled(ended(moment), "consent is refused", Decline(farmer_id=farmer.id), say)


def unclear(moment: Moment) -> Turn:
    """Ask for a plain yes or no."""
    return missed(moment, "neither yes nor no", moment.say("consent_unclear"))
