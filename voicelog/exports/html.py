"""The note as one HTML page that needs nothing else: the very text of the Markdown note, with the
pictures over the visits inside."""

from markdown_it import MarkdownIt

from voicelog.exports.base import VisitRecords
from voicelog.exports.look import NOTE, page
from voicelog.exports.markdown import sections

SUFFIX = ".html"

_TABLE = '<div class="wide" role="group" tabindex="0" aria-label="Table">\n<table>'
_FRAMES = {"head": "header", "caution": "footer"}


def render(visit: VisitRecords) -> str:
    """The page. Pictures stand after the objective part, as they show what was measured."""
    markdown = MarkdownIt("commonmark", {"html": False, "xhtmlOut": False}).enable("table")
    parts: list[str] = []
    for name, text in sections(visit).items():
        frame = _FRAMES.get(name, "section")
        parts.append(f'<{frame} class="{name}">\n{_html(markdown, text)}</{frame}>')
        if name == "objective" and visit.plots:
            parts.append(_pictures(visit.plots))
    title = f"Visit of {visit.visit.client}, {visit.visit.started_at.date().isoformat()}"
    return page(title, NOTE, "\n".join(parts))


def _html(markdown: MarkdownIt, text: str) -> str:
    tokens = markdown.parse(text)
    for token in tokens:
        if token.type == "th_open":
            token.attrSet("scope", "col")
    html = str(markdown.renderer.render(tokens, markdown.options, {}))
    return html.replace("<table>", _TABLE).replace("</table>", "</table>\n</div>")


def _pictures(plots: tuple[str, ...]) -> str:
    figures = "\n".join(f"<figure>{plot}</figure>" for plot in plots)
    return f'<section class="plots">\n<h2>Over the visits</h2>\n{figures}\n</section>'
