"""The client's home sheet as an HTML page: large print, made for one page of A4."""

from html import escape

from voicelog.exports import home_words as words
from voicelog.exports.base import VisitRecords
from voicelog.exports.look import HOME, page

SUFFIX = ".html"

_LINE = '<span class="line">&nbsp;</span>'


def render(visit: VisitRecords) -> str:
    """The page. It carries no client code, so that it may lie on a kitchen table."""
    drills = "".join(_drill(drill) for drill in words.drills(visit))
    parts = (
        f"<h1>{words.TITLE}</h1>",
        f"<p>{words.day(visit)}</p>",
        f"<p><strong>{words.KEEP}</strong></p>",
        f"<h2>Do</h2>\n{drills or f'<p>{words.NO_DRILLS}</p>'}",
        _listed("Remember", words.cues(visit)),
        f'<section class="stop">\n{_listed(words.STOP_HEADING, words.STOP)}\n'
        f"<p><strong>{words.EMERGENCY}</strong></p>\n</section>",
        f"<h2>Call</h2>\n<p>{_or_line('Practice', visit.practice.name)}</p>"
        f"<p>{_or_line('Phone', visit.practice.phone)}</p>",
        f"<p><small>{words.REMINDER}</small></p>",
    )
    return page(words.TITLE, HOME, "\n".join(part for part in parts if part))


def _drill(drill: words.HomeDrill) -> str:
    dose = " ".join(map(escape, drill.dose)) or f"{words.NO_DOSE} {_LINE}"
    return f"<h3>{escape(drill.name)}</h3>\n<p>{dose}</p>\n"


def _listed(heading: str, items: tuple[str, ...]) -> str:
    lines = "\n".join(f"<li>{escape(item)}</li>" for item in items)
    return f"<h2>{heading}</h2>\n<ul>\n{lines}\n</ul>" if items else ""


def _or_line(what: str, value: str) -> str:
    return f"{what}: {escape(value) if value else _LINE}"
