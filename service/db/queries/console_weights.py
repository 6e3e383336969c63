"""The weights of one plot, for the pages."""

from typing import Any

from sqlalchemy import Select, select

from service.db.tables.plots import harvest
from service.db.tables.staff import officer


def weights_of_plot(plot_id: int, own: Select[tuple[int]]) -> Select[Any]:
    """Return the statement for all weights of a plot among `own`, with who entered those that no text brought."""
    return (
        select(
            harvest.c.id,
            harvest.c.picked_on,
            harvest.c.grams,
            harvest.c.state,
            harvest.c.at,
            harvest.c.in_hold,
            officer.c.name.label("officer"),
        )
        .outerjoin(officer, officer.c.id == harvest.c.officer_id)
        .where(harvest.c.plot_id == plot_id, harvest.c.plot_id.in_(own))
        .order_by(harvest.c.picked_on.desc(), harvest.c.id.desc())
    )
