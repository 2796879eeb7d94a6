"""Numbers typed without a word or unit that says what they are: always doubtful."""

from collections.abc import Mapping, Set

from voicelog.shorthand.claims import Claim
from voicelog.shorthand.words import LOOSE_DASH, Word

_LEAST_RANGE_DEG = 11
"""From here on a number cannot be pain."""
_MEASURED = frozenset({"range_deg", "onset_deg", "pain"})
_JOINS = frozenset({"-", "/", ".", "#", "+"})


def bare_numbers(
    words: tuple[Word, ...],
    covered: Set[int],
    claims: list[Claim],
    limits: Mapping[str, tuple[int, int]],
) -> list[Claim]:
    """Claims of the numbers that stand alone, to degrees or pain, whichever is not known yet."""
    filled = {slot for claim in claims for slot in (claim.slot, *dict(claim.choices))}
    alone = [at for at in range(len(words)) if at not in covered and _stands_alone(words, at)]
    found: list[Claim] = []
    for at in sorted(alone, key=lambda at: -float(words[at].text)):
        value = float(words[at].text)
        free = tuple(slot for slot in ("range_deg", "pain") if slot not in filled)
        if value >= _LEAST_RANGE_DEG:
            free = ("range_deg",)
        later = _goes_on(words, at, claims)
        if later:
            free = (later,)
        if free:
            choices = tuple((slot, int(value)) for slot in free if _holds(value, limits[slot]))
            claim = Claim(at, at + 1, free[0], choices, "span" if later else "unit")
            found.append(claim)
            filled.update(free if len(free) == 1 else ())
    return found


def _holds(value: float, limit: tuple[int, int]) -> bool:
    return value.is_integer() and limit[0] <= value <= limit[1]


def _stands_alone(words: tuple[Word, ...], at: int) -> bool:
    """Whether it is a number that no letter or sign ties to its neighbour, as in C-014 or 4/5."""
    word = words[at]
    if not word.is_number:
        return False
    before = words[at - 1] if at else None
    after = words[at + 1] if at + 1 < len(words) else None
    tied_before = before and before.end == word.start and _ties(before.text)
    tied_after = after and after.start == word.end and _ties(after.text) and not _is_last(words, at)
    return not tied_before and not tied_after


def _ties(text: str) -> bool:
    return text[-1].isalnum() or text in _JOINS


def _is_last(words: tuple[Word, ...], at: int) -> bool:
    """A full stop after the last number ends the line."""
    return at + 2 == len(words) and words[at + 1].text == "."


def _goes_on(words: tuple[Word, ...], at: int, claims: list[Claim]) -> str | None:
    """The slot of the claim that the number runs on to, as in "45 - 50 deg"."""
    if at + 2 < len(words) and words[at + 1].text == LOOSE_DASH:
        return next((c.slot for c in claims if c.start == at + 2 and c.slot in _MEASURED), None)
    return None
