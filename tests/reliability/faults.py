"""Faults of disk and power, put into a running process through the kernel's own filter.

Linux lets a process forbid itself system calls: the filter answers a write or a sync with an error
of our choice, or kills the process on its way into it, and what is on disk then is what a kill at
that very moment leaves. No other library is put between, so it works for any store. Numbers and
layout are those of <linux/seccomp.h>, <linux/filter.h>, <linux/audit.h> and <asm/unistd.h>; see
the kernel's Documentation/userspace-api/seccomp_filter.rst.
"""

import ctypes
import errno
import platform
import struct
import sys
from dataclasses import dataclass

_PR_SET_NO_NEW_PRIVS, _PR_SET_SECCOMP, _SECCOMP_MODE_FILTER = 38, 22, 2
_LOAD_WORD, _IF_EQUAL, _IF_AT_LEAST, _RETURN = 0x20, 0x15, 0x35, 0x06
_NUMBER_AT, _ARCHITECTURE_AT, _FIRST_ARGUMENT_AT, _FOURTH_ARGUMENT_AT = 0, 4, 16, 16 + 3 * 8
_INTERNET_FAMILIES = (2, 10)  # AF_INET and AF_INET6
_ALLOW, _KILL, _ERROR = 0x7FFF_0000, 0x8000_0000, 0x0005_0000

_MACHINES = {
    "x86_64": (
        0xC000_003E,
        {"write": (18,), "sync": (74, 75), "cut": (77,), "remove": (87, 263), "socket": (41,)},
    ),
    "aarch64": (
        0xC000_00B7,
        {"write": (68,), "sync": (82, 83), "cut": (46,), "remove": (35,), "socket": (198,)},
    ),
}
POSSIBLE = sys.platform == "linux" and platform.machine() in _MACHINES
"""Whether this machine has the filter, as far as its kind tells."""


@dataclass(frozen=True, slots=True)
class Fault:
    """What goes wrong: at which calls (`write` at a place in a file, `sync`, `cut` for shortening
    and `remove` for deleting a file), and how: killed, or answered with an error."""

    calls: str
    how: str


KINDS = {
    "killed in a write": Fault("write", "kill"),
    "killed in a sync": Fault("sync", "kill"),
    "killed shortening the log": Fault("cut", "kill"),
    "killed removing the log": Fault("remove", "kill"),
    "writes fail": Fault("write", "EIO"),
    "syncs fail": Fault("sync", "EIO"),
    "disk full": Fault("write", "ENOSPC"),
    "disk quota reached": Fault("write", "EDQUOT"),
}


def install(fault: Fault, from_byte: int = 0) -> None:
    """From now on and for good, the fault meets this thread. Writes below `from_byte` of a file
    are spared. Raises OSError where the system allows no filter."""
    answer = _KILL if fault.how == "kill" else _ERROR | getattr(errno, fault.how)
    further = [
        (_LOAD_WORD, 0, 0, _FOURTH_ARGUMENT_AT),
        (_IF_AT_LEAST, 1, 0, from_byte),
        (_RETURN, 0, 0, _ALLOW),
    ]
    _answer(fault.calls, answer, further if fault.calls == "write" else [])


def forbid_internet() -> None:
    """From now on and for good, this process and all it starts are killed on the way to an
    internet socket, whatever language the code is in that wants one."""
    count = len(_INTERNET_FAMILIES)
    further = [(_LOAD_WORD, 0, 0, _FIRST_ARGUMENT_AT)]
    further += [(_IF_EQUAL, count - n, 0, family) for n, family in enumerate(_INTERNET_FAMILIES)]
    _answer("socket", _KILL, [*further, (_RETURN, 0, 0, _ALLOW)])


def _answer(calls: str, answer: int, further: list[tuple[int, int, int, int]]) -> None:
    """Answer some calls so, unless further steps let them pass."""
    architecture, numbers = _MACHINES[platform.machine()]
    wanted = numbers[calls]
    steps = [
        (_LOAD_WORD, 0, 0, _ARCHITECTURE_AT),
        (_IF_EQUAL, 1, 0, architecture),
        (_RETURN, 0, 0, _ALLOW),
        (_LOAD_WORD, 0, 0, _NUMBER_AT),
    ]
    steps += [(_IF_EQUAL, len(wanted) - n, 0, number) for n, number in enumerate(wanted)]
    steps += [(_RETURN, 0, 0, _ALLOW), *further, (_RETURN, 0, 0, answer)]
    _install(b"".join(struct.pack("=HBBI", *step) for step in steps), len(steps))


def _install(program: bytes, length: int) -> None:
    libc = ctypes.CDLL(None, use_errno=True)
    code = ctypes.create_string_buffer(program, len(program))
    header = struct.pack("@HP", length, ctypes.addressof(code))
    asks = ((_PR_SET_NO_NEW_PRIVS, 1, None), (_PR_SET_SECCOMP, _SECCOMP_MODE_FILTER, header))
    for option, value, pointer in asks:
        if libc.prctl(option, ctypes.c_ulong(value), pointer, 0, 0):
            number = ctypes.get_errno()
            raise OSError(number, "the system allows no filter")
