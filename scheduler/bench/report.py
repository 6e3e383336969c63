"""What was measured: figures by name, which of them have a goal, and on what they were measured."""

import json
import os
import platform
from importlib.metadata import version
from typing import Final

from scheduler.bench.timing import Stopwatch
from service.db.measuring.scratch import Scratch

Figure = int | float | str
_WIDEST: Final = 28
# Seconds are kept to a tenth of a millisecond: what is measured takes longer.
_DIGITS: Final = 4


class Report:
    """Gathers the figures of one run, in the order in which they are told."""

    def __init__(self, bench: str, scratch: Scratch, **sizes: int) -> None:
        """Begin with how much was measured, on what, and how busy the machine was before."""
        self._figures: dict[str, Figure] = {
            "bench": bench,
            **sizes,
            "python": platform.python_version(),
            "engine": scratch.engine,
            "engine_version": scratch.version,
            "sqlalchemy": version("sqlalchemy"),
            "system": f"{platform.system()} {platform.release()} {platform.machine()}",
            "cores": os.cpu_count() or 1,
            "load_before": _load(),
        }
        self._goals: dict[str, tuple[str, float]] = {}

    def put(self, **figures: Figure) -> None:
        """Add figures by name."""
        self._figures |= figures

    def put_seconds(self, watch: Stopwatch, name: str, prefix: str = "") -> None:
        """Add what a deed took: the median, the least and the most of its rounds."""
        taken = watch.taken(name)
        self._figures |= {
            f"{prefix}seconds": round(watch.median(name), _DIGITS),
            f"{prefix}seconds_min": round(min(taken), _DIGITS),
            f"{prefix}seconds_max": round(max(taken), _DIGITS),
        }

    def put_at_most(self, name: str, figure: float, goal: float) -> None:
        """Add a figure that is to be no larger than its goal."""
        self._figures[name] = round(figure, _DIGITS)
        self._goals[name] = ("at most", goal)

    def put_at_least(self, name: str, figure: float, goal: float) -> None:
        """Add a figure that is to be no smaller than its goal."""
        self._figures[name] = round(figure, _DIGITS)
        self._goals[name] = ("at least", goal)

    def finish(self) -> "Report":
        """Add how busy the machine is afterwards, and return the report."""
        self._figures["load_after"] = _load()
        return self

    def as_json(self) -> str:
        """Return one JSON object: the figures by name, and under "goals" whether each goal is held."""
        goals = {
            name: {rule.replace(" ", "_"): goal, "held": self._held(name)}
            for name, (rule, goal) in self._goals.items()
        }
        return json.dumps({**self._figures, "goals": goals})

    def as_table(self) -> str:
        """Return one figure a line, with its goal where it has one."""
        return "\n".join(
            f"{name:<{_WIDEST}}{figure!s:>{_WIDEST}}{self._told(name)}"
            for name, figure in self._figures.items()
        )

    def _told(self, name: str) -> str:
        if name not in self._goals:
            return ""
        rule, goal = self._goals[name]
        return f"   {rule} {goal:g}: {'held' if self._held(name) else 'missed'}"

    def _held(self, name: str) -> bool:
        rule, goal = self._goals[name]
        figure = float(self._figures[name])
        return figure <= goal if rule == "at most" else figure >= goal


def _load() -> float:
    """Return how many processes wanted to run in the last minute, on average."""
    return round(os.getloadavg()[0], 2)
