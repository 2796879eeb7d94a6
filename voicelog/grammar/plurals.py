"""Which form of a phrase goes with a count, by the plural rules of Unicode, for whole numbers.

The rules are written as in UTS #35, part 3, "Language Plural Rules": `n % 10 = 2..4 and n % 100 !=
12..14`. Of their operands n and i are the count itself; v, w, f, t, c and e, which speak of
fractions, are 0.
"""

import re
from collections.abc import Mapping
from typing import Annotated, Literal

from pydantic import AfterValidator

Category = Literal["zero", "one", "two", "few", "many", "other"]
_RELATION = re.compile(
    r"(?P<operand>[nivwftce])(?: % (?P<modulus>[1-9]\d*))? (?P<sign>!?=) "
    r"(?P<ranges>\d+(?:\.\.\d+)?(?:,\d+(?:\.\.\d+)?)*)"
)


def _checked(rule: str) -> str:
    for relation in re.split(r" or | and ", rule):
        if not _RELATION.fullmatch(relation):
            raise ValueError(f'"{relation}" is no condition such as "n % 10 = 2..4"')
    return rule


Rule = Annotated[str, AfterValidator(_checked)]


def category(rules: Mapping[Category, str], count: int) -> Category:
    """The category of the first rule that holds for a count; "other" where none does."""
    return next((name for name, rule in rules.items() if _holds(rule, count)), "other")


def _holds(rule: str, count: int) -> bool:
    return any(
        all(_relates(relation, count) for relation in condition.split(" and "))
        for condition in rule.split(" or ")
    )


def _relates(relation: str, count: int) -> bool:
    found = _RELATION.fullmatch(relation)
    assert found is not None  # it was checked
    value = count if found["operand"] in "ni" else 0
    if found["modulus"]:
        value %= int(found["modulus"])
    inside = any(_within(value, part) for part in found["ranges"].split(","))
    return inside == (found["sign"] == "=")


def _within(value: int, part: str) -> bool:
    low, _, high = part.partition("..")
    return int(low) <= value <= int(high or low)
