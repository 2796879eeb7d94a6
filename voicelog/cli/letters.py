"""In which letters everything is written that leaves by standard output and standard error."""

import io
import sys


def write_all_letters() -> None:
    """Write UTF-8 into a file or pipe, as a file after -o is, and to a terminal what it can show.

    Python would go by the system instead: on Windows a code page of 256 signs, which has no arrow
    and no Korean, so that a page broke off at the first; a question mark in its place would be a
    loss. What no terminal or UTF-8 can show becomes a question mark all the same.
    """
    for stream in (sys.stdout, sys.stderr):
        if not isinstance(stream, io.TextIOWrapper):  # there may be none at all
            continue
        errors = "replace" if stream.errors == "strict" else stream.errors
        encoding = stream.encoding if stream.isatty() else "utf-8"
        stream.reconfigure(encoding=encoding, errors=errors)
