"""Another name in the place of a client's code, wherever the code can stand."""

import json
import re
from collections.abc import Iterable
from typing import Any, TypeVar

from pydantic import BaseModel

Model = TypeVar("Model", bound=BaseModel)

SOMEBODY = "another client"
"""Stands for the code of anybody else in free words."""

_WORDS = frozenset(
    {
        *("text", "alternatives", "why", "read_back", "name", "quality", "end_feel", "position"),
        *("instrument", "limits", "note", "given_by"),
    }
)
"""The fields that hold free words; others hold numbers, times and fixed words."""
_IDS = frozenset({"visit_id", "entry_id"})


class Pseudonym:
    """Puts `name` in the place of the code `own`, and SOMEBODY in that of every other code.

    A code is found in any case and with its parts run together or apart (C-014, c014, C 014). One
    that was spoken in words ("see fourteen") is not. Ids hold dates, so a code of nothing but
    digits is not looked for in them.
    """

    def __init__(self, name: str, own: str, others: Iterable[str]) -> None:
        self._name = name
        codes = dict.fromkeys(others, SOMEBODY) | {own: name}
        self._words = _Swap(codes)
        self._ids = _Swap({code: new for code, new in codes.items() if not code.isdigit()})

    def of(self, model: Model) -> Model:
        """The same visit, entry or fact without the codes."""
        data = self._walk(model.model_dump(mode="json"), "")
        return type(model).model_validate_json(json.dumps(data))

    def _walk(self, value: Any, field: str) -> Any:
        match value:
            case dict():
                return {name: self._walk(inner, name) for name, inner in value.items()}
            case list():
                return [self._walk(inner, field) for inner in value]
            case str() if field == "client":
                return self._name
            case str() if field in _WORDS:
                return self._words(value)
            case str() if field in _IDS:
                return self._ids(value)
        return value


class _Swap:
    """Swaps codes that stand as words of their own; the longest that fits goes first."""

    def __init__(self, codes: dict[str, str]) -> None:
        self._new = {_bare(code): new for code, new in codes.items()}
        loose = (
            r"[-_. ]*".join(re.escape(part) for part in re.split(r"[-_.]+", code) if part)
            for code in sorted(codes, key=len, reverse=True)
        )
        self._any = re.compile(
            rf"(?<![A-Za-z0-9])(?:{'|'.join(loose) or '(?!)'})(?![A-Za-z0-9])", re.IGNORECASE
        )

    def __call__(self, text: str) -> str:
        return self._any.sub(lambda found: self._new[_bare(found[0])], text)


def _bare(code: str) -> str:
    return re.sub(r"[-_. ]", "", code).lower()
