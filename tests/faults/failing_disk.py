"""A disk whose fsync fails, on any machine: the kernel itself refuses the call, for one thread of one process.

A seccomp filter does it ("Seccomp BPF", the Linux kernel's documentation; the numbers are those of its headers
linux/filter.h, linux/seccomp.h, linux/audit.h and asm/unistd.h). It cannot be taken away again.
"""

import ctypes
import errno
import os
import platform
import struct
from collections.abc import Sequence
from typing import Final

CALLS: Final = {
    "x86_64": {"fsync": 74, "fdatasync": 75},
    "aarch64": {"fsync": 82, "fdatasync": 83},
}
BOTH: Final = ("fsync", "fdatasync")
_LOAD_CALL, _JUMP_IF_EQUAL, _RETURN = 0x20, 0x15, 0x06
_ALLOW, _FAIL = 0x7FFF0000, 0x00050000
_NO_NEW_PRIVILEGES, _SECCOMP, _FILTER = 38, 22, 2


class _Program(ctypes.Structure):
    _fields_ = (("length", ctypes.c_ushort), ("steps", ctypes.c_void_p))


def refuse_in_this_thread(calls: Sequence[str]) -> None:
    """Have these calls of this thread, of CALLS, fail with an I/O error from now on."""
    numbers = [CALLS[platform.machine()][name] for name in calls]
    steps = [
        (_LOAD_CALL, 0, 0, 0),
        *((_JUMP_IF_EQUAL, len(numbers) - place, 0, number) for place, number in enumerate(numbers)),
        (_RETURN, 0, 0, _ALLOW),
        (_RETURN, 0, 0, _FAIL | errno.EIO),
    ]
    kept = ctypes.create_string_buffer(b"".join(struct.pack("HBBI", *step) for step in steps))
    program = _Program(len(steps), ctypes.addressof(kept))
    system = ctypes.CDLL(None, use_errno=True)
    for call in ((_NO_NEW_PRIVILEGES, 1, 0, 0, 0), (_SECCOMP, _FILTER, ctypes.byref(program), 0, 0)):
        if system.prctl(*call):
            raise OSError(ctypes.get_errno(), os.strerror(ctypes.get_errno()))
