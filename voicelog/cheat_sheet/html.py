"""The cheat sheet as an HTML page: two columns of large print, at most two pages of A4."""

from voicelog.cheat_sheet.sections import Section, sections, title
from voicelog.exports.look import CHEAT, page, words
from voicelog.grammar.language import LanguageData


def render(language: LanguageData) -> str:
    """The whole page."""
    parts = "\n".join(map(_section, sections(language)))
    foot = f"{words(language.texts.paper.language)}, {words(language.version)}"
    body = (
        f"<h1>{words(title(language))}</h1>\n"
        f'<div class="columns">\n{parts}\n</div>\n<p class="foot">{foot}</p>'
    )
    return page(title(language), CHEAT, body, language.code)


def _section(section: Section) -> str:
    rows = "\n".join(_row(*row) for row in section.rows)
    return f"<section>\n<h2>{words(section.title)}</h2>\n{rows}\n</section>"


def _row(left: str, right: str) -> str:
    said = f"<b>{words(left)}</b> " if left else ""
    return f"<p>{said}{words(right)}</p>"
