"""Those who were asked whether they may be texted and never answered: their silence is a no."""

from datetime import datetime
from zoneinfo import ZoneInfo

from service.core.ports import Work
from service.use_cases.tools import Tools
from service.use_cases.waiting import PENDING_FOR


def forget_silent(work: Work, tools: Tools, now: datetime) -> int:
    """Erase what those told who have let the time to say yes pass, and commit; return how many they were.

    A farmer's new number that has not answered is given up, and the farmer keeps the one before. The consent rows stay
    as evidence that they were asked and did not answer.
    """
    silent = work.people.silent_since(now)
    for farmer_id, phone_id in silent:
        _keep_silence(work, tools, farmer_id, phone_id, now)
        work.people.forget(farmer_id, but_inbound=None)
    numbers = work.changing.asked_before(now - PENDING_FOR)
    for farmer_id, phone_id in numbers:
        _keep_silence(work, tools, farmer_id, phone_id, now)
        work.changing.refuse(farmer_id, phone_id, now)
    work.commit()
    return len(silent) + len(numbers)


def _keep_silence(work: Work, tools: Tools, farmer_id: int, phone_id: int, now: datetime) -> None:
    work.people.add_consent(
        id=tools.ids.row(),
        phone_id=phone_id,
        farmer_id=farmer_id,
        answer="silent",
        text_id=None,
        text_shown=None,
        inbound_id=None,
        at=now,
        on_day=now.astimezone(ZoneInfo(tools.programme.zone)).date(),
    )
