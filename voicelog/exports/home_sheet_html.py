"""The client's home sheet as an HTML page: large print, made for one page of A4."""

from voicelog.exports import home_words as home
from voicelog.exports.base import VisitRecords
from voicelog.exports.look import HOME, page, words
from voicelog.grammar.texts import HomeTexts

SUFFIX = ".html"

_LINE = '<span class="line">&nbsp;</span>'


def render(visit: VisitRecords) -> str:
    """The page. It carries no client code, so that it may lie on a kitchen table."""
    text = visit.language.texts.home
    drills = "".join(_drill(drill, text) for drill in home.drills(visit))
    if drills:
        drills += f"<p>{_or_line(text.how_often, '')}</p>"
    parts = (
        f"<h1>{words(text.title)}</h1>",
        f"<p>{words(home.day(visit))}</p>",
        f"<p><strong>{words(text.keep)}</strong></p>",
        f"<h2>{words(text.do)}</h2>\n{drills or f'<p>{words(text.no_drills)}</p>'}",
        _listed(text.remember, home.cues(visit)),
        f'<section class="stop">\n{_listed(text.stop_heading, tuple(text.stop))}\n'
        f"<p><strong>{words(text.emergency)}</strong></p>\n</section>",
        f"<h2>{words(text.call)}</h2>\n<p>{_or_line(text.practice, visit.practice.name)}</p>"
        f"<p>{_or_line(text.phone, visit.practice.phone)}</p>",
        f"<p>{words(text.reminder)}</p>",
    )
    return page(text.title, HOME, "\n".join(part for part in parts if part), visit.language.code)


def _drill(drill: home.HomeDrill, text: HomeTexts) -> str:
    dose = " ".join(map(words, drill.dose)) or f"{words(text.no_dose)} {_LINE}"
    return f"<h3>{words(drill.name)}</h3>\n<p>{dose}</p>\n"


def _listed(heading: str, items: tuple[str, ...]) -> str:
    lines = "\n".join(f"<li>{words(item)}</li>" for item in items)
    return f"<h2>{words(heading)}</h2>\n<ul>\n{lines}\n</ul>" if items else ""


def _or_line(what: str, value: str) -> str:
    return f"{words(what)} {words(value) if value else _LINE}"
