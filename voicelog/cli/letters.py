"""In which letters everything is read and written that goes by the standard streams."""

import io
import os
import sys


def fill_closed_streams() -> None:
    """Let nobody answer and nobody hear where a standard stream was closed from the start.

    Python has None in its place then, and the next file that is opened gets its number: what some
    library writes to standard error would go into that file.
    """
    for number, (name, mode) in enumerate((("stdin", "r"), ("stdout", "w"), ("stderr", "w"))):
        try:
            os.fstat(number)
        except OSError:
            os.open(os.devnull, os.O_RDWR)  # takes the lowest number that is free: this one
        if getattr(sys, name) is None:
            setattr(sys, name, open(number, mode, encoding="utf-8"))  # noqa: PTH123, SIM115


def use_all_letters() -> None:
    """Use UTF-8 with a file or pipe, as a file after -o is, and what a terminal can show with one.

    Python would go by the system instead: on Windows a code page of 256 signs, which has no arrow
    and no Korean, so that a page broke off at the first, and an answer piped in was taken for
    others; a question mark in its place would be a loss. What no terminal or UTF-8 can show, or
    is no UTF-8, becomes a question mark all the same. Some programs on Windows begin what they
    pipe with a mark of its encoding, which is no part of it.
    """
    for stream, with_files in (
        (sys.stdin, "utf-8-sig"), (sys.stdout, "utf-8"), (sys.stderr, "utf-8"),
    ):  # fmt: skip
        if not isinstance(stream, io.TextIOWrapper):  # there may be none at all
            continue
        errors = "replace" if stream.errors == "strict" else stream.errors
        encoding = stream.encoding if stream.isatty() else with_files
        stream.reconfigure(encoding=encoding, errors=errors)
