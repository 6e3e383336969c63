"""How long picked fruit keeps, and what keeps it longer. No figure says that fruit is fit to eat."""

from flows.effects import Say
from flows.keeping import Fresh
from flows.moves.turn import Moment, Turn, settled
from flows.spraying import held_on
from flows.wording import Name, Phrase, Value


def fresh(moment: Moment) -> Turn:
    """Say how long fruit keeps that was picked so many hours ago, or just now."""
    farmer, asked = moment.someone(), moment.expect(Fresh)
    keeping, held = farmer.keeping, held_on(farmer.sprays, moment.facts.on)
    if held:
        say = moment.say("fresh_held", date_sprayed=held.sprayed_on, date_free=held.pick_from)
        return settled(moment, "of fruit under a hold nothing else is said", say)
    if keeping is None:
        return settled(moment, "nothing is known of its keeping", moment.say("fresh_shade"))
    values: dict[str, Value] = {
        "degrees": keeping.degrees,
        "hours": _hours(keeping.hours),
        "cold": keeping.cold_degrees,
        "cold_time": _hours(keeping.cold_hours),
    }
    name = Name(farmer.name)
    if asked.hours is None:
        told = Phrase("fresh_now", {"name": name, **values})
        return settled(moment, "how long fresh fruit keeps", Say(phrase=told, language=moment.language))
    if keeping.hours[0] < 1:
        say = moment.say("fresh_over", name=name, n=asked.hours, degrees=keeping.degrees)
        return settled(moment, "its time may be over", say)
    told = Phrase("fresh_since", {"name": name, "n": asked.hours, **values})
    return settled(moment, "how long it still keeps", Say(phrase=told, language=moment.language))


def _hours(span: tuple[int, int]) -> str:
    """Write a span of hours: "6-12"."""
    return "-".join(str(one) for one in sorted(set(span)))
