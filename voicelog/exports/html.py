"""The note as one HTML page that needs nothing else: the very text of the Markdown note, with the
pictures over the visits inside."""

from markdown_it import MarkdownIt

from voicelog.exports.base import VisitRecords
from voicelog.exports.look import NOTE, page, words
from voicelog.exports.markdown import sections, title

SUFFIX = ".html"

_TABLE = '<div class="wide" role="group" tabindex="0" aria-label="{}">\n<table>'
_FRAMES = {"head": "header", "caution": "footer"}


def render(visit: VisitRecords) -> str:
    """The page. Pictures stand last, so that what eased and the plan are found at once."""
    markdown = MarkdownIt("commonmark", {"html": False, "xhtmlOut": False}).enable("table")
    parts: list[str] = []
    table = _TABLE.format(words(visit.language.texts.note.table))
    for name, text in sections(visit).items():
        if name == "caution" and visit.plots:
            parts.append(_pictures(visit))
        frame = _FRAMES.get(name, "section")
        parts.append(f'<{frame} class="{name}">\n{_html(markdown, text, table)}</{frame}>')
    return page(title(visit), NOTE, "\n".join(parts), visit.language.code)


def _html(markdown: MarkdownIt, text: str, table: str) -> str:
    tokens = markdown.parse(text)
    for token in tokens:
        if token.type == "th_open":
            token.attrSet("scope", "col")
    html = str(markdown.renderer.render(tokens, markdown.options, {}))
    return html.replace("<table>", table).replace("</table>", "</table>\n</div>")


def _pictures(visit: VisitRecords) -> str:
    figures = "\n".join(f"<figure>{plot}</figure>" for plot in visit.plots)
    heading = words(visit.language.texts.note.over_visits)
    return f'<section class="plots">\n<h2>{heading}</h2>\n{figures}\n</section>'
