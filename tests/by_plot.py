"""An invented calendar in which plots have jobs of their own, and plots to go with it."""

from dataclasses import asdict
from pathlib import Path

from service.agronomy.calendar import DEFAULT_CALENDAR
from service.agronomy.traits import PlotTraits

# Short-day plants and whoever planted plugs take flowers off for a longer or shorter time, and straw is laid anew more
# often than plastic is looked at. That mother rows keep their runners is shipped.
ENTRIES = {
    "flowers_off": (
        'for = { plant_type = ["short_day"] }\nlast = 209\n%\n'
        'for = { plant_type = ["day_neutral"], stock = ["plug"] }\nlast = 69'
    ),
    "flowers_stay": (
        'for = { plant_type = ["short_day"] }\nfirst = 210\n%\n'
        'for = { plant_type = ["day_neutral"], stock = ["plug"] }\nfirst = 70'
    ),
    "first_fruit": (
        'for = { plant_type = ["short_day"] }\nfirst = 227\n%\n'
        'for = { plant_type = ["day_neutral"], stock = ["plug"] }\nfirst = 87'
    ),
    "picking": (
        'for = { plant_type = ["short_day"] }\nfirst = 234\n%\n'
        'for = { plant_type = ["day_neutral"], stock = ["plug"] }\nfirst = 94'
    ),
    "mulch": 'for = { mulch = ["straw"] }\nevery = 21\n%\nfor = { mulch = ["none"] }\ndrop = true',
    "water": 'for = { water_method = ["can"] }\nevery = [{ days = 7, until = 60 }, { days = 14 }]',
}


def written(path: Path, entries: dict[str, str]) -> Path:
    """Write the calendar that is shipped, some of its jobs with entries of their own."""
    head, *blocks = DEFAULT_CALENDAR.read_text(encoding="utf-8").split("[[tasks]]\n")
    for at, block in enumerate(blocks):
        name = block.split('"')[1]
        for entry in filter(None, entries.get(name, "").split("%\n")):
            blocks[at] += f'\n[[tasks.instead]]\n{entry.strip()}\nsource = "invented"\n'
    path.write_text("[[tasks]]\n".join([head, *blocks]), encoding="utf-8")
    return path


def columns_of(traits: PlotTraits) -> dict[str, object]:
    """Return what a plot is like as the table of plots has it."""
    words = asdict(traits)
    return {"mulch_kind": words.pop("mulch"), **words, "traits": traits.bits}
