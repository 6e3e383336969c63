"""No purse is ever overdrawn, whoever pays at once: promises about cost hold under threads on both engines."""

from concurrent.futures import ThreadPoolExecutor
from datetime import date
from random import Random  # noqa: TID251 - seeded, for a test

import pytest

from service.core.caps import Caps
from service.db.work import Database
from service.use_cases.budget import give_back, reserve, scopes_of, spend
from tests.village import SEAL, Village

DAY = date(2026, 11, 25)
CAPS = Caps(day=40, alert=24, officer=30, farmer=8)
THREADS = 8
EACH = 24


class Payer:
    """Pays for texts as a sender does, and remembers what was paid."""

    def __init__(self, database: Database, seed: int) -> None:
        """Pay with luck of its own."""
        self._database = database
        self._luck = Random(seed)  # noqa: S311 - luck, not secrets
        self.spent: dict[str, int] = {}

    def pay_often(self) -> None:
        """Pay for many texts, one after the other."""
        for _ in range(EACH):
            self.pay()

    def pay(self) -> None:
        """Reserve for one text, look at every purse in the middle of it, and settle."""
        luck = self._luck
        scopes = scopes_of(
            alert_id=luck.choice((1, 2)), officer_id=luck.choice((1, 2)), farmer_id=luck.randint(1, 8)
        )
        parts = luck.randint(1, 3)
        with self._database.work() as work:
            paid = reserve(work, scopes, DAY, parts, CAPS)
            work.commit()
        if not paid:
            return
        left = luck.random() < 0.8
        with self._database.work() as work:
            (spend if left else give_back)(work, scopes, DAY, parts)
            work.commit()
        for scope in scopes if left else ():
            self.spent[scope] = self.spent.get(scope, 0) + parts


@pytest.mark.parametrize("seed", [20261125, 7])
def test_no_sum_is_ever_passed_by_eight_threads(village: Village, seed: int) -> None:
    """Eight that pay at once never spend more than a cap in any purse, and the books say exactly what they spent."""
    address = village.database.engine.url.render_as_string(hide_password=False)
    databases = [Database(address, SEAL) for _ in range(THREADS)]
    payers = [Payer(database, seed + place) for place, database in enumerate(databases)]
    with ThreadPoolExecutor(THREADS) as pool:
        for done in [pool.submit(payer.pay_often) for payer in payers]:
            done.result()
    for database in databases:
        database.close()

    rows = village.rows("SELECT scope, reserved, spent FROM budget")
    spent: dict[str, int] = {}
    for payer in payers:
        for scope, parts in payer.spent.items():
            spent[scope] = spent.get(scope, 0) + parts
    assert spent == {str(row["scope"]): row["spent"] for row in rows if row["spent"]}
    assert {0} == {row["reserved"] for row in rows}
    assert [] == [scope for scope, parts in spent.items() if parts > (CAPS.of(scope) or 0)]
    assert 40 - 3 < spent["day"], "the threads were to run against the cap"
