"""What each input is called in the record of a text: kept with it, and put into words by the pages."""

from collections.abc import Mapping
from typing import Final

from flows.alarms import Distress, Emergency
from flows.collecting import Estimate
from flows.counting import PlantCount
from flows.inputs import (
    Ask,
    Cancel,
    Done,
    Harvest,
    Help,
    Input,
    Jobs,
    Join,
    NeedHelp,
    No,
    NotYet,
    Number,
    Stop,
    Total,
    Understood,
    Undo,
    Words,
    Yes,
)
from flows.keeping import Fresh
from flows.orders import Basket, Counts, Warn
from flows.remarks import Correct, Details, Greeting
from flows.spraying import Sprayed
from flows.trading import Cost, Price, Sold, Year
from flows.vessels import Filled, VesselTold
from flows.watering import Rain, Water
from flows.wishes import Alerts, Days, Language, Pause, Records, Who, WrongNumber

NAMES: Final[Mapping[type[Input], str]] = {
    Join: "join",
    Harvest: "harvest",
    Filled: "filled",
    VesselTold: "vessel_told",
    Fresh: "fresh",
    Sprayed: "sprayed",
    Estimate: "estimate",
    Water: "water",
    Rain: "rain",
    Sold: "sold",
    Cost: "cost",
    Price: "price",
    Year: "year",
    PlantCount: "plant_count",
    Done: "done",
    Jobs: "jobs",
    Total: "total",
    Undo: "undo",
    Stop: "stop",
    Cancel: "cancel",
    Help: "help",
    Yes: "yes",
    No: "no",
    Understood: "understood",
    NotYet: "not_yet",
    NeedHelp: "need_help",
    Language: "language",
    Days: "days",
    Pause: "pause",
    Alerts: "alerts",
    Who: "who",
    Records: "records",
    WrongNumber: "wrong_number",
    Counts: "counts",
    Warn: "warn",
    Basket: "basket",
    Ask: "ask",
    Greeting: "greeting",
    Correct: "correct",
    Details: "details",
    Number: "number",
    Emergency: "emergency",
    Distress: "distress",
    Words: "words",
}
