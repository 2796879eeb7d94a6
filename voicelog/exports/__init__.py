"""Ways to hand a visit over. Each file here is one format; its name is the name of the format."""

from importlib import import_module
from pkgutil import iter_modules
from typing import cast

from voicelog.errors import ExportError
from voicelog.exports.base import Export, VisitRecords

_NO_FORMATS = {
    *("base", "files", "fhir_parts", "fhir_provenance", "home_words", "look", "markup"),
    *("note_findings", "paper", "paper_picture", "pseudonym", "schema", "wording"),
}

SHOWS_ALL = {"pdf": "html", "home_sheet_pdf": "home_sheet_html"}
"""For a format whose font may lack signs, the one with the same words that shows them all."""


def formats() -> tuple[str, ...]:
    """The names of all formats, in the order of the alphabet."""
    return tuple(sorted({module.name for module in iter_modules(__path__)} - _NO_FORMATS))


def load(name: str) -> Export:
    """The format of that name. Raises ExportError, listing the known ones, when there is none."""
    if name not in formats():
        raise ExportError(
            f"There is no format {name!r}",
            kept="Nothing was written",
            do=f"Choose one of {', '.join(formats())}",
        )
    return cast(Export, import_module(f"{__name__}.{name}"))


def lacking(name: str, visit: VisitRecords) -> str:
    """The signs of a visit that the font of this format lacks, each once."""
    if name not in SHOWS_ALL:
        return ""
    from voicelog.exports.paper import signs_lacking

    return signs_lacking(str(load(SHOWS_ALL[name]).render(visit)))
