"""What an answer asks the service to do, as a whole."""

from dataclasses import fields
from typing import get_args

from flows import effects as fx
from flows.orders import TakeBasket

# Those that are the phone's or an officer's, and the one that makes the farmer.
NOBODYS = {
    TakeBasket,
    fx.Say,
    fx.AddFarmer,
    fx.StopPhone,
    fx.AnswerAlert,
    fx.TakeAlerts,
    fx.Unlink,
    fx.Invite,
    fx.SendAlert,
}


def test_every_effect_on_what_is_a_farmers_names_them() -> None:
    """A phone may speak for several: a text is filed under the one for whom something was done."""
    nameless = {
        effect
        for effect in get_args(fx.Effect)
        if "farmer_id" not in {field.name for field in fields(effect)}
    }

    assert NOBODYS == nameless
