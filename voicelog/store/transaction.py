"""All or nothing: one transaction, begun as a writer."""

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def atomic(connection: sqlite3.Connection) -> Iterator[None]:
    """Commit what happens inside, or undo all of it and pass the error on.

    IMMEDIATE takes the write lock before anything is read, so that no other program can write
    between a check and the write that relies on it.
    """
    connection.execute("BEGIN IMMEDIATE")
    try:
        yield
        connection.execute("COMMIT")
    except BaseException:
        if connection.in_transaction:
            connection.rollback()
        raise
