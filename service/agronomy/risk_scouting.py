"""What farmers found when they scouted, by village: has the share with a find doubled within two weeks?

A farmer's last reply in a window counts, so that nobody is counted twice. Few replies say nothing, and a few
finds are no rise.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta

from service.agronomy.risk import Basis, Hazard, Level, Reason, Risk, Why
from service.agronomy.risk_figures import RiskFigures, Scouting
from service.core.errors import Refused


@dataclass(frozen=True, kw_only=True, slots=True)
class ScoutReply:
    """One farmer's answer to one pest: whether it was found."""

    village: int
    farmer: int
    on: date
    pest: str
    found: bool


@dataclass(frozen=True, kw_only=True, slots=True)
class Share:
    """Farmers who looked, and those of them who found something.

    Raises:
        Refused: more found something than looked, or there are fewer than none.
    """

    looked: int
    found: int

    def __post_init__(self) -> None:
        """Refuse what cannot have been counted."""
        if not 0 <= self.found <= self.looked:
            raise Refused(
                f"{self.found} of {self.looked} farmers cannot have found something: correct one of the figures."
            )


def scouting_risks(
    figures: RiskFigures, replies: Iterable[ScoutReply], on: date
) -> dict[tuple[int, str], Risk]:
    """Judge each village and pest of which there are replies, by the week up to a day and the one two weeks before."""
    scouting = figures.scouting
    kept = tuple(replies)
    before = on - timedelta(days=scouting.apart_days)
    now, then = _shares(scouting, kept, on), _shares(scouting, kept, before)
    nobody = Share(looked=0, found=0)
    keys = sorted(now.keys() | then.keys())
    return {key: judge_shares(scouting, then.get(key, nobody), now.get(key, nobody)) for key in keys}


def _shares(figures: Scouting, replies: Iterable[ScoutReply], last: date) -> dict[tuple[int, str], Share]:
    """Return the shares of the window that ends with `last`."""
    first = last - timedelta(days=figures.window_days - 1)
    inside = sorted((reply for reply in replies if first <= reply.on <= last), key=lambda reply: reply.on)
    final = {(reply.village, reply.pest, reply.farmer): reply.found for reply in inside}
    shares: dict[tuple[int, str], Share] = {}
    for (village, pest, _), found in final.items():
        sum_ = shares.get((village, pest), Share(looked=0, found=0))
        shares[village, pest] = Share(looked=sum_.looked + 1, found=sum_.found + found)
    return shares


def judge_shares(figures: Scouting, then: Share, now: Share) -> Risk:
    """Judge one pest of one village by those who looked in the week and in the one two weeks before."""
    level, why = _level(figures, then, now)
    values = {
        "looked": now.looked,
        "found": now.found,
        "looked_before": then.looked,
        "found_before": then.found,
    }
    reason = Reason(why=why, values=values)
    return Risk(hazard=Hazard.PESTS, level=level, basis=Basis.TOLD, reason=reason)


def _level(figures: Scouting, then: Share, now: Share) -> tuple[Level, Why]:
    if min(then.looked, now.looked) < figures.least_replies:
        return Level.UNKNOWN, Why.TOO_FEW_REPLIES
    # Shares compared by whole numbers: now.found / now.looked against then.found / then.looked.
    rose = now.found * then.looked >= figures.times * then.found * now.looked
    if now.found < figures.least_found or not rose:
        return Level.NONE, Why.SHARE_STEADY
    return (Level.HIGH, Why.SHARE_ROSE) if then.found else (Level.WATCH, Why.NEWLY_FOUND)
