"""The pre-approved warnings: one table for the reader, the conversation, the pages and the texts themselves."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Final

from flows.wording import Phrase, Value


@dataclass(frozen=True, kw_only=True, slots=True)
class Template:
    """A pre-approved text. It needs a date and one figure, and no second person.

    Attributes:
        text_id: its entry in the catalogues.
        range_id: the entry that says which figures make sense.
        figure: the placeholder of its figure.
        label: what it is, on pages.
        asks: what the figure is, with its unit.
        least: the smallest figure that makes sense; the largest is `most`.
        urgent: whether what it warns of cannot wait for the morning, nor for a day without another alert.
        night: whether it warns of the night after its day.
        late_text_id: the entry for when that night has begun, or is about to; None for what knows no such hour.
    """

    text_id: str
    range_id: str
    figure: str
    label: str
    asks: str
    least: int
    most: int
    urgent: bool
    night: bool = False
    late_text_id: str | None = None

    def phrase(self, *, officer: str, district: str, on: date, figure: int, late: bool) -> Phrase:
        """Return it filled in; `late` for a night that has begun, or is about to, which its text calls tonight."""
        said: dict[str, Value] = {"officer": officer, "district": district, self.figure: figure}
        text_id = self.text_for(late=late)
        return Phrase(text_id, said if text_id == self.late_text_id else {**said, "date": on})

    def text_for(self, *, late: bool) -> str:
        """Return the entry that says what can still be done."""
        return self.late_text_id if late and self.late_text_id else self.text_id

    @property
    def text_ids(self) -> tuple[str, ...]:
        """Return all entries that it may leave in."""
        return tuple(filter(None, (self.text_id, self.late_text_id)))

    def makes_sense(self, figure: int) -> bool:
        """Return whether a forecast may say that figure."""
        return self.least <= figure <= self.most


TEMPLATES: Final[Mapping[str, Template]] = {
    "frost": Template(
        text_id="alert.frost",
        range_id="alert_range.frost",
        figure="temp",
        label="cold night",
        asks="lowest temperature in °C",
        # Below that the forecast is for another crop; above it no flower freezes and nobody should lose sleep.
        least=-15,
        most=5,
        urgent=True,
        night=True,
        late_text_id="alert.frost_now",
    ),
    "hail": Template(
        text_id="alert.hail",
        range_id="alert_range.hail",
        figure="chance",
        label="hail",
        asks="chance in %",
        least=10,
        most=100,
        urgent=True,
    ),
    "rain": Template(
        text_id="alert.rain",
        range_id="alert_range.rain",
        figure="mm",
        label="heavy rain",
        asks="rain in mm",
        least=10,
        most=500,
        urgent=True,
    ),
}
