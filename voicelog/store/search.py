"""Finding records by their words, over all clients and years (https://sqlite.org/fts5.html)."""

import sqlite3
from collections.abc import Generator

TABLES = (
    "CREATE VIRTUAL TABLE record_words USING fts5 (entry_id UNINDEXED, version UNINDEXED, words)",
    """CREATE TRIGGER entry_version_words AFTER INSERT ON entry_version
        WHEN new.status = 'confirmed' BEGIN
            INSERT INTO record_words (entry_id, version, words)
            SELECT new.entry_id, new.version,
                json_extract(new.body, '$.client') || ' ' || group_concat(atom, ' ')
                FROM json_tree(new.body, '$.content') WHERE type = 'text';
        END""",
    """INSERT INTO record_words (entry_id, version, words)
        SELECT entry_id, version, json_extract(body, '$.client') || ' ' ||
            (SELECT group_concat(atom, ' ') FROM json_tree(body, '$.content') WHERE type = 'text')
        FROM entry_version WHERE status = 'confirmed' ORDER BY rowid""",
)


def found(db: sqlite3.Connection, words: str) -> Generator[tuple[str, int], None, None]:
    """Entry ids and versions of all confirmed versions that hold every word, newest kept first.

    A word that no record has whole is taken for the beginning of one. Nothing is found by no word.
    To be closed before the file is, as damage elsewhere leaves it half done.
    """
    separate = words.replace("\0", " ").split()
    asked = [_asked(db, word) for word in separate if any(map(str.isalnum, word))]
    if asked:
        yield from _hits(db, "entry_id, version", " ".join(asked))


def _asked(db: sqlite3.Connection, word: str) -> str:
    """The word as FTS5 takes it: whole where it can be, as only then is its list not built anew."""
    whole = '"' + word.replace('"', '""') + '"'
    return whole if _hits(db, "1", whole).fetchone() else f"{whole}*"


def _hits(db: sqlite3.Connection, columns: str, asked: str) -> sqlite3.Cursor:
    return db.execute(
        f"SELECT {columns} FROM record_words WHERE words MATCH ? ORDER BY rowid DESC", (asked,)
    )


def merge(db: sqlite3.Connection) -> None:
    """Bring the index into one piece, so that nothing of what was deleted lingers in it."""
    db.execute("INSERT INTO record_words (record_words) VALUES ('optimize')")
