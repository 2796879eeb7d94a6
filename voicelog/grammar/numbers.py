"""Whole numbers from 0 to 199 as they are said: in one, in tens and ones, or digit by digit."""

from pydantic import BaseModel, ConfigDict

from voicelog.grammar.template import Choice, Mark, Node, Optional, Sequence, Total, one_of

PART = "part"
"""The slot in which the parts of a number are marked; `Total` adds them up."""


class NumberWords(BaseModel):
    """The number words of a language: value to spoken forms, the usual form first."""

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)

    digits: dict[int, list[str]]
    inside: dict[int, list[str]] = {}
    """Other forms of a digit that has another digit before it."""
    teens: dict[int, list[str]]
    tens: dict[int, list[str]]
    hundred: list[str]
    join: list[str] = []

    @property
    def later(self) -> dict[int, list[str]]:
        """The forms of a digit that has another one before it."""
        return {digit: [*said, *self.inside.get(digit, [])] for digit, said in self.digits.items()}


def number(words: NumberWords, slot: str, low: int, high: int) -> Node:
    """A number from `low` to `high` (0 to 199) in `slot`."""
    forms = [*_below_hundred(words, low, min(high, 99))]
    if high >= 10:
        forms += _digit_pairs(words, low, min(high, 99))
    if high >= 100:
        forms += _hundreds(words, max(low, 100) - 100, high - 100)
    return Total(slot, Choice(tuple(forms)))


def digit_row(words: NumberWords, slot: str, count: int) -> Node:
    """So many digits one after the other in `slot`, as one number: "three one one zero", 3110."""
    places = (10**place for place in reversed(range(count)))
    first, *rest = places
    digits = [_marks(words.digits, 0, 9, first)]
    digits += [_marks(words.later, 0, 9, place) for place in rest]
    return Total(slot, Sequence(tuple(Choice(tuple(marks)) for marks in digits)))


def _marks(forms: dict[int, list[str]], low: int, high: int, scale: int = 1) -> list[Node]:
    return [
        Mark(PART, value * scale, one_of(spoken))
        for value, spoken in forms.items()
        if low <= value <= high
    ]


def _below_hundred(words: NumberWords, low: int, high: int) -> list[Node]:
    """ "seven", "fourteen", "ninety", "ninety five"; only the values from low to high."""
    found = _marks(words.digits, low, high) + _marks(words.teens, low, high)
    for ten, spoken in words.tens.items():
        ones = _marks(words.digits, max(1, low - ten), min(9, high - ten))
        head = Mark(PART, ten, one_of(spoken))
        if ones:
            tail: Node = Choice(tuple(ones))
            found.append(Sequence((head, Optional(tail) if low <= ten else tail)))
        elif low <= ten <= high:
            found.append(head)
    return found


def _digit_pairs(words: NumberWords, low: int, high: int) -> list[Node]:
    """ "nine five" for 95, never below ten."""
    found: list[Node] = []
    for first in range(1, 10):
        ones = _marks(words.later, max(0, low - 10 * first), min(9, high - 10 * first))
        if ones:
            head = Mark(PART, 10 * first, one_of(words.digits[first]))
            found.append(Sequence((head, Choice(tuple(ones)))))
    return found


def _hundreds(words: NumberWords, low: int, high: int) -> list[Node]:
    """ "one hundred and twenty five", "one twenty five", "one two five"; low and high are what is
    left above the hundred."""
    hundred = Mark(PART, 100, one_of(words.hundred))
    rest = _below_hundred(words, max(low, 1), high)
    joined: list[Node] = [Choice(tuple(rest))]
    if words.join:
        joined.insert(0, Optional(one_of(words.join)))
    tail: Node = Sequence(tuple(joined))
    found: list[Node] = [Sequence((hundred, Optional(tail) if low == 0 else tail))]
    one = Mark(PART, 100, one_of(words.digits[1]))
    from_ten = _below_hundred(words, max(low, 10), high)
    if from_ten:
        found.append(Sequence((one, Choice(tuple(from_ten)))))
    for ten in range(high // 10 + 1):
        ones = _marks(words.later, max(0, low - 10 * ten), min(9, high - 10 * ten))
        if ones:
            second = Mark(PART, 10 * ten, one_of(words.later[ten]))
            found.append(Sequence((one, second, Choice(tuple(ones)))))
    return found


def spoken_number(words: NumberWords, value: int) -> str:
    """The usual way to say a number from 0 to 199: "one hundred and twenty five"."""
    if value >= 100:
        rest = value - 100
        if not rest:
            return words.hundred[0]
        join = f"{words.join[0]} " if words.join else ""
        return f"{words.hundred[0]} {join}{spoken_number(words, rest)}"
    for forms in (words.digits, words.teens, words.tens):
        if value in forms:
            return forms[value][0]
    return f"{words.tens[value - value % 10][0]} {words.digits[value % 10][0]}"


def spoken_digits(words: NumberWords, value: int, places: int = 1) -> str:
    """The number digit by digit, as radiotelephony does it: "one two five"; with zeros before it
    up to so many places."""
    return " ".join(words.digits[int(digit)][0] for digit in f"{value:0{places}d}")
