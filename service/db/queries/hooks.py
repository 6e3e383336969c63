"""What was posted to us: each id once, so that what is posted again has no effect."""

from datetime import datetime

from sqlalchemy import Connection, bindparam, delete

from service.db.tables.speech import hook_seen
from service.db.upsert import insert_new

_LET_GO = delete(hook_seen).where(hook_seen.c.at < bindparam("before"))


class Hooks:
    """Ids of what gateways have posted."""

    def __init__(self, connection: Connection) -> None:
        """Ask on `connection`."""
        self._connection = connection
        self._see = insert_new(connection.dialect.name, hook_seen)

    def seen(self, gateway: str, webhook_id: str, at: datetime) -> bool:
        """Mark an id as seen; return whether it had been seen before."""
        values = {"gateway": gateway, "webhook_id": webhook_id, "at": at}
        return self._connection.execute(self._see, values).rowcount == 0

    def let_go(self, before: datetime) -> int:
        """Forget ids seen before an instant; return how many those were."""
        return self._connection.execute(_LET_GO, {"before": before}).rowcount
