"""How many plants a young stand has lost, and what fills the gaps."""

from typing import Final

from service.agronomy.plant_counts import Gaps, gaps_of
from service.agronomy.stand import StandFigures, load_stand
from service.cli.calculators.shape import WHOLE, Answer, Argument, Calculator


def _compute(*, planted: int, standing: int, age_days: int) -> Answer:
    figures = load_stand()
    found = gaps_of(figures, planted, standing, age_days)
    return Answer(
        values={
            "missing": found.missing,
            "missing_percent": found.percent,
            "refill": found.refill,
            "seedlings_to_order": found.order.seedlings if found.order else None,
        },
        lines=[
            f"{found.missing:,} of {planted:,} plants are missing, {found.percent:.1f} %.",
            _what_to_do(figures, found),
        ],
        assumed={"loss_percent": found.order.loss_percent} if found.order else {},
    )


def _what_to_do(figures: StandFigures, found: Gaps) -> str:
    if found.order:
        return f"Fill the gaps: order {found.order.seedlings:,} seedlings, as {found.order.loss_percent} % may be lost."
    if not found.missing:
        return "There is nothing to fill."
    return f"From day {figures.seedlings.replant_before_day} on gaps wait for the renewal of the stand."


GAPS: Final = Calculator(
    name="gaps",
    about="""Compute what a stand has lost since planting.

    And how many seedlings fill the gaps, while it is young enough for that.

    Example: trussline calc gaps --planted 450 --standing 405 --age 14
    """,
    arguments=(
        Argument(
            flag="planted", name="planted", what="number of plants that were set", type=WHOLE, needed=True
        ),
        Argument(
            flag="standing", name="standing", what="number of plants that are left", type=WHOLE, needed=True
        ),
        Argument(flag="age", name="age_days", what="age of the stand", unit="days", type=WHOLE, needed=True),
    ),
    compute=_compute,
)
