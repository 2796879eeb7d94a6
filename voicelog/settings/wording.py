"""What may stand in a setting, and what is wrong with what stands there, by its JSON Schema."""

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from pydantic_core import ErrorDetails

Schema = Mapping[str, Any]


def allowed(schema: Schema, names: Sequence[str]) -> str:
    """What may stand there, in words, such as "a whole number from 80 to 450"."""
    here: Schema = schema
    for name in names:
        here = _inside(schema, here, name)
    return _words(schema, _named(schema, here)) or "another value"


def plainly(mistake: ErrorDetails) -> str:
    """What is wrong with a value, without the words of the library that found it."""
    value = mistake["input"]
    if mistake["type"] == "value_error":
        return mistake["msg"].removeprefix("Value error, ")
    if mistake["type"] == "missing":
        return "it is missing"
    if mistake["type"] == "extra_forbidden" or mistake["loc"][-1] == "[key]":
        return "there is no such name"
    if isinstance(value, bool):
        return f"it is {str(value).lower()}"
    if isinstance(value, int | float):
        return f"it is {value}"
    return f'it is "{value}"' if isinstance(value, str) else "it is something of another kind"


def _named(schema: Schema, part: Schema) -> Schema:
    """The part that a "$ref" points to, or the part itself."""
    name = part.get("$ref", "").removeprefix("#/$defs/")
    return {**schema["$defs"][name], **part} if name else part


def _inside(schema: Schema, here: Schema, name: str) -> Schema:
    here = _named(schema, here)
    if name in here.get("properties", {}):
        found: Schema = here["properties"][name]
        return found
    if name in here.get("propertyNames", {}).get("enum", ()):
        values: Schema = here["additionalProperties"]
        return values
    if "propertyNames" not in here and isinstance(here.get("additionalProperties"), dict):
        each: Schema = here["additionalProperties"]
        return each
    return here


def _words(schema: Schema, part: Schema) -> str:
    if "anyOf" in part:
        options = [_words(schema, _named(schema, o)) for o in part["anyOf"]]
        return " or ".join(option for option in options if option)
    if "enum" in part:
        return f"one of {', '.join(map(str, part['enum']))}"
    kind = part.get("type")
    if kind == "array":
        return f"a list, each {_words(schema, part['items'])}"
    if kind == "object":
        each = part.get("additionalProperties")
        if "propertyNames" not in part and isinstance(each, dict):
            return f"tables by name, each {_words(schema, _named(schema, each))}"
        return f"a table of {', '.join(_members(part))}"
    words = {"boolean": "true or false", "integer": "a whole number", "number": "a number"}
    return " ".join(filter(None, (words.get(str(kind), _string(part)), *_limits(part))))


def _members(part: Schema) -> Iterator[str]:
    yield from part.get("properties", part.get("propertyNames", {}).get("enum", ()))


def _string(part: Schema) -> str:
    if part.get("type") != "string":
        return ""
    if "path" in part.get("format", ""):
        return "a folder"
    if "pattern" in part:
        examples = " or ".join(f'"{example}"' for example in part["examples"])
        return f"text such as {examples}"
    least, most = part.get("minLength", 0), part.get("maxLength")
    if most is None:
        return "text"
    return f"text of {least} to {most} characters" if least else f"text of up to {most} characters"


def _limits(part: Schema) -> Iterator[str]:
    if "exclusiveMinimum" in part:
        yield f"above {part['exclusiveMinimum']:g}, up to {part['maximum']:g}"
    elif "minimum" in part:
        yield f"from {part['minimum']:g} to {part['maximum']:g}"
