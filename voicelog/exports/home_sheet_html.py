"""The client's home sheet as an HTML page: large print, made for one page of A4."""

from voicelog.exports import home_words as home
from voicelog.exports.base import VisitRecords
from voicelog.exports.look import HOME, page, words

SUFFIX = ".html"

_LINE = '<span class="line">&nbsp;</span>'


def render(visit: VisitRecords) -> str:
    """The page. It carries no client code, so that it may lie on a kitchen table."""
    drills = "".join(_drill(drill) for drill in home.drills(visit))
    parts = (
        f"<h1>{home.TITLE}</h1>",
        f"<p>{home.day(visit)}</p>",
        f"<p><strong>{home.KEEP}</strong></p>",
        f"<h2>Do</h2>\n{drills or f'<p>{home.NO_DRILLS}</p>'}",
        _listed("Remember", home.cues(visit)),
        f'<section class="stop">\n{_listed(home.STOP_HEADING, home.STOP)}\n'
        f"<p><strong>{home.EMERGENCY}</strong></p>\n</section>",
        f"<h2>Call</h2>\n<p>{_or_line('Practice', visit.practice.name)}</p>"
        f"<p>{_or_line('Phone', visit.practice.phone)}</p>",
        f"<p>{home.REMINDER}</p>",
    )
    return page(home.TITLE, HOME, "\n".join(part for part in parts if part))


def _drill(drill: home.HomeDrill) -> str:
    dose = " ".join(map(words, drill.dose)) or f"{home.NO_DOSE} {_LINE}"
    return f"<h3>{words(drill.name)}</h3>\n<p>{dose}</p>\n"


def _listed(heading: str, items: tuple[str, ...]) -> str:
    lines = "\n".join(f"<li>{words(item)}</li>" for item in items)
    return f"<h2>{heading}</h2>\n<ul>\n{lines}\n</ul>" if items else ""


def _or_line(what: str, value: str) -> str:
    return f"{what}: {words(value) if value else _LINE}"
