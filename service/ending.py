"""Ending this process at once, where it may not go on.

When an fsync fails the system may have thrown away what was to be written and call the next fsync a success: who
tries again believes that something is on disk which is not. PostgreSQL learned it in 2018 and has ended at the first
failure since ("PostgreSQL's fsync() surprise", LWN.net, from memory). Started again we read what really is there, and
go on from that.
"""

import os
from typing import Final, NoReturn

# "An error occurred while doing I/O on some file": sysexits.h.
STATUS: Final = os.EX_IOERR


def end_unsynced(what: str, said: str) -> NoReturn:
    """End this process, all its threads with it, because `what` could not be brought to disk.

    Args:
        what: begins the sentence that is left on standard error.
        said: what the system said.
    """
    sentence = (
        f"{what} could not be brought to disk ({said}), so this process ended at once: look after that disk, then start "
        "the service again; it goes on from what is on disk, and nothing is lost.\n"
    )
    os.write(2, sentence.encode())
    # No clean-up: it would write to that disk.
    os._exit(STATUS)
