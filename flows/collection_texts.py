"""Texts about collection days: what will be brought, days that change, and what was accepted."""

from collections.abc import Mapping
from typing import Final

from flows.promised import Filling, Kind, Longest, Text

# A collection begins by day: farmers walk there and back.
EARLIEST: Final = 6
LATEST: Final = 18
# Why fruit is not accepted, see `service.core.collecting.WhyRejected`.
REASONS: Final = ("spray", "unripe", "overripe", "mould", "damaged", "dirty", "small", "other")
# As many jobs as fit are put beside the question; two always do.
_TWO_JOBS: Final[Mapping[str, Filling]] = {"jobs": Longest(ids=".label", most=2)}

COLLECTION_TEXTS: Final[dict[str, Text]] = {
    "collection_ask": Text(values="name date time where"),
    "collection_ask_jobs": Text(values="name date time where jobs", longest=_TWO_JOBS, parts=2),
    "days_collected": Text(values="days"),
    "collection_held": Text(values="name date date_free"),
    "collection_held_jobs": Text(values="name date date_free jobs", longest=_TWO_JOBS, parts=2),
    "collection_off": Text(values="name date where date_next"),
    "collection_off_last": Text(values="name date where"),
    "collection_moved": Text(values="name date date_next time where"),
    "collection_moved_ask": Text(values="name date date_next time where"),
    "collection_again": Text(values="name date time where"),
    "estimate_noted": Text(values="name kg date time where"),
    "estimate_none_noted": Text(values="name date"),
    "estimate_ask": Text(values="date"),
    "estimate_much": Text(values="kg n date"),
    "estimate_over": Text(),
    "estimate_held": Text(values="name date date_free"),
    "estimate_no_collection": Text(),
    "undone_estimate": Text(values="kg date"),
    "delivery_noted": Text(values="name date kg money price"),
    "delivery_noted_rejected": Text(values="name date kg kg_1 why money"),
    "delivery_noted_again": Text(values="name date kg money price"),
    "delivery_noted_rejected_again": Text(values="name date kg kg_1 why money"),
    "basket_noted": Text(values="row name kg kg_1 money minutes"),
    "basket_back": Text(values="row name date"),
    "basket_sure": Text(values="row name kg kg_1 kg_old"),
    "basket_how": Text(),
    "basket_left": Text(values="row"),
    "basket_unclear": Text(),
    "delivery_back": Text(values="name date"),
    **{f"rejected.{why}": Text(kind=Kind.WORDS, at_most=24) for why in REASONS},
    **{f"hour.{hour}": Text(kind=Kind.WORDS, at_most=15) for hour in range(EARLIEST, LATEST + 1)},
}
