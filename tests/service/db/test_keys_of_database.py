"""A database and its keys belong together."""

import pytest

from service.core.errors import KeyFileError
from service.db.migrate import migrate
from service.db.sealing import Seal
from service.db.work import Database
from tests.village import SEAL


def test_a_database_opens_with_its_own_keys_only(database_url: str) -> None:
    """The first keys are the database's own; with others, nobody in it could be found, so it is refused."""
    own = Database(database_url, SEAL)
    migrate(own.engine)
    own.hold_keys()
    own.hold_keys()
    own.close()
    lost = Database(database_url, Seal(sealing_key=b"x" * 32, index_key=b"y" * 32))

    with pytest.raises(KeyFileError, match="recovery sheet"):
        lost.hold_keys()

    lost.close()


def test_the_mark_gives_no_key_away() -> None:
    """What is kept of the keys is a digest; neither key stands in it."""
    assert SEAL.mark != Seal(sealing_key=SEAL.sealing_key, index_key=b"z" * 32).mark
    assert SEAL.index_key.hex() not in SEAL.mark
