"""The note as a PDF to file or to send: the very text of the Markdown note, set on A4 pages.

For screen readers the HTML note is the better one: this PDF has an outline but no tags.
"""

from collections.abc import Iterator

from markdown_it import MarkdownIt
from markdown_it.tree import SyntaxTreeNode

from voicelog.exports.base import VisitRecords
from voicelog.exports.markdown import sections, title
from voicelog.exports.paper import Paper
from voicelog.exports.paper_picture import draw

SUFFIX = ".pdf"

_SIZE_PT = 10.0


def render(visit: VisitRecords) -> bytes:
    """The file. Its date is that of the visit, so the same visit gives the same file.

    Raises ExportError where the font cannot show the language.
    """
    sitting = visit.visit
    paper = Paper(title(visit), sitting.started_at, _SIZE_PT, visit.language)
    own = visit.language.texts.note
    paper.refuse_unreadable((own.title, own.plan, own.caution), "html")
    markdown = MarkdownIt("commonmark", {"html": False}).enable("table")
    for name, text in sections(visit).items():
        if name == "caution" and visit.plots:
            paper.heading(own.over_visits, 2)
            for plot in visit.plots:
                draw(paper, plot)
        for block in SyntaxTreeNode(markdown.parse(text)).children:
            _set(paper, block)
    return paper.finished()


def _set(paper: Paper, block: SyntaxTreeNode) -> None:
    match block.type:
        case "heading":
            paper.heading(_text(block), int(block.tag[1:]))
        case "bullet_list":
            for item in block.children:
                paper.words(_runs(item), bullet=True)
        case "table":
            rows = [node for node in block.walk() if node.type == "tr"]
            paper.table_of([[_text(cell) for cell in row.children] for row in rows])
        case "hr":
            paper.ln(_SIZE_PT * 0.4)
        case _:
            paper.words(_runs(block))


def _runs(block: SyntaxTreeNode) -> Iterator[tuple[str, bool]]:
    """The text of a block, in pieces that are plain or bold."""
    for node in block.walk():
        if node.type in ("text", "text_special"):
            yield node.content, node.parent is not None and node.parent.type == "strong"
        elif node.type == "softbreak":
            yield "\n", False


def _text(block: SyntaxTreeNode) -> str:
    return "".join(text for text, _ in _runs(block))
