"""That the recovery sheet was shown: without it a lost key file cannot be made again."""

from datetime import datetime
from typing import Final

from service.use_cases.holding import Keeping

SHEET_SHOWN_AT: Final = "recovery_sheet_shown_at"


def keep_sheet_shown(work: Keeping, real_now: datetime) -> None:
    """Keep that the recovery sheet of this database's keys was shown to be printed."""
    work.staff.put_setting(SHEET_SHOWN_AT, real_now.isoformat())
    work.commit()
