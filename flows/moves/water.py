"""Water: how much the plants need today, what it is given with, and what a rain gauge held."""

from datetime import timedelta
from typing import Final

from flows.effects import Effect, Say
from flows.facts import Farmer, Saved
from flows.moves.turn import Moment, Turn, settled
from flows.watering import Means, Rain, SaveRain, SetMeans, Sky, VoidRain, Water, WaterToday, Wet
from flows.wording import FullDate, Joined, Name, Phrase, Value

# Tenths of a millimetre: more has fallen in one day nowhere that strawberries grow.
MOST_RAIN: Final = 3000
OLDEST: Final = timedelta(days=14)
# Rain of these days, counted back from today, still says something of today's water.
_FRESH: Final = timedelta(days=1)
_MILLILITRES: Final = 1000
# A cupful: less is not told apart from nothing.
_LEAST_TOLD: Final = 100
# From here on halves of a litre or a can are of no use to anybody.
_MANY: Final = 10
_NOTED: Final = {Means.CAN: "can_noted", Means.DRIP: "drip_noted"}


def means_told(said: Water) -> tuple[Means, int] | None:
    """Return what a text says that water is given with, and its millilitres."""
    told = ((Means.CAN, said.can_ml), (Means.DRIP, said.drip_ml_h))
    return next(((means, size) for means, size in told if size is not None), None)


def water(moment: Moment) -> Turn:
    """Say how much water the plants need today, and keep what it is given with where that was told."""
    farmer, told = moment.someone(), means_told(moment.expect(Water))
    kept: tuple[Effect, ...] = ()
    if told:
        kept = (SetMeans(farmer_id=farmer.id, means=told[0], millilitres=told[1]),)
    found = farmer.water
    if told and (found is None or found.wet is Wet.ENOUGH):
        say = moment.say(_NOTED[told[0]], size=_size(told[1]))
        return settled(moment, "what water is given with is kept", *kept, say)
    if found is None:
        return _no_plants(moment, farmer)
    if found.wet is Wet.ENOUGH:
        say = moment.say("water_enough", name=Name(farmer.name), mm=_tenths(found.rain_tenths))
        return settled(moment, "today's rain is enough", say)
    return settled(moment, "today's water is told", *kept, _told(moment, farmer, found))


def _told(moment: Moment, farmer: Farmer, found: WaterToday) -> Say:
    """Word the answer in cans, in minutes of drip, or where its flow is not known in litres alone."""
    values: dict[str, Value] = {
        "name": Name(farmer.name),
        "each": _litres(max(found.each_ml, _LEAST_TOLD)),
        "remarks": Joined(_remarks(found)),
    }
    if found.drip_ml_h is not None:
        text_id = "water_today_minutes"
        values |= {
            "minutes": _minutes(found.each_ml, found.drip_ml_h),
            "size": _size(found.drip_ml_h),
            "least": _minutes(found.least_ml / farmer.plants, found.drip_ml_h),
        }
    elif found.can_ml is not None:
        text_id = "water_today"
        cans = _cans(found.plot_ml, found.can_ml)
        values |= {
            # Of the cans that are told, so that whoever multiplies finds the same.
            "litres": _litres(cans * found.can_ml),
            "n": farmer.plants,
            "cans": f"{cans:g}",
            "size": _size(found.can_ml),
            "least": f"{_cans(found.least_ml, found.can_ml):g}",
        }
    else:
        text_id = "water_today_drip"
        values |= {
            "litres": _litres(found.plot_ml),
            "n": farmer.plants,
            "least": _litres(found.least_ml),
        }
    return Say(phrase=Phrase(text_id, values), language=moment.language)


def _no_plants(moment: Moment, farmer: Farmer) -> Turn:
    """Answer somebody of whom no plants stand in the ground: not yet, or no more."""
    if farmer.planted_on > moment.facts.on:
        say = moment.say("water_ahead", name=Name(farmer.name), date=FullDate(farmer.planted_on))
        return settled(moment, "the plants are not in the ground yet", say)
    return settled(moment, "no plants stand", moment.say("water_none"))


def _remarks(found: WaterToday) -> list[Phrase]:
    """Return what else must be said: the rain, and what the figures rest on."""
    known = found.sky is not Sky.USUAL
    finger = Phrase("water.finger", {"mm": _tenths(found.rain_tenths)})
    things = _assumed(found)
    return [
        *([finger] if found.wet is Wet.SOME else []),
        *([Phrase(f"sky.{found.sky}", {"degrees": found.highest_c})] if known else []),
        *([Phrase("water.assumed", {"things": Joined(things, between=", ")})] if things else []),
    ]


def _assumed(found: WaterToday) -> list[Phrase]:
    """Return what was taken as nobody told or measured it."""
    things = (
        (found.sky is Sky.USUAL, Phrase("assumed.usual", {"elevation": found.elevation_m})),
        (found.bare, Phrase("assumed.bare")),
        (found.beds, Phrase("assumed.beds")),
    )
    return [phrase for taken, phrase in things if taken]


def rain(moment: Moment) -> Turn:
    """Keep what a rain gauge held, and say what it means for today's water."""
    report, today, farmer = moment.expect(Rain), moment.facts.on, moment.someone()
    on = report.on or today
    if report.tenths is None:
        return settled(moment, "no clear figure of rain", moment.say("rain_ask"))
    if report.tenths > MOST_RAIN:
        return settled(moment, "more rain than falls in a day", moment.say("rain_unlikely"))
    if report.vague or not today - OLDEST <= on <= today:
        return settled(moment, "no day of the last two weeks", moment.say("rain_no_day"))
    save = SaveRain(id=moment.facts.new_id, farmer_id=farmer.id, on=on, tenths=report.tenths)
    mm = _tenths(report.tenths)
    if on < today - _FRESH or farmer.water is None:
        return settled(moment, "rain is kept", save, moment.say("rain_noted_old", mm=mm, date=on))
    say = moment.say("rain_noted", mm=mm, date=on, advice=Phrase(f"rain.{farmer.water.wet}"))
    return settled(moment, "rain is kept", save, say)


def undo_rain(moment: Moment, saved: Saved) -> Turn:
    """Take back what the gauge was said to hold."""
    say = moment.say("undone_rain", mm=_tenths(saved.tenths), date=saved.on)
    return settled(
        moment, "the last rain is taken back", VoidRain(id=saved.id, farmer_id=saved.farmer_id), say
    )


def _litres(millilitres: float) -> str:
    """Write an amount of water: "457", "7.5"."""
    litres = millilitres / _MILLILITRES
    return f"{litres:.0f}" if litres >= _MANY else f"{litres:.1f}"


def _size(millilitres: int) -> str:
    """Write what a can holds, or drip gives: 20000 is "20", 12500 is "12.5"."""
    return f"{millilitres / _MILLILITRES:g}"


def _minutes(each_ml: float, drip_ml_h: int) -> int:
    """Return minutes of drip, at least one."""
    return max(round(60 * each_ml / drip_ml_h), 1)


def _cans(millilitres: float, can_ml: int) -> float:
    """Return cans to the half, from ten on whole ones; never none."""
    cans = millilitres / can_ml
    return round(cans) if cans >= _MANY else max(round(2 * cans), 1) / 2


def _tenths(tenths: int) -> str:
    """Write millimetres: 120 is "12", 125 is "12.5"."""
    return f"{tenths / 10:g}"
