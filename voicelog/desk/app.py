"""The desk as a web application: pages and forms behind their guard, and every error in words."""

from traceback import extract_tb
from types import TracebackType

from flask import Flask, g, render_template
from markupsafe import Markup
from werkzeug.exceptions import HTTPException

from voicelog.corrections.history import LABELS, in_words
from voicelog.corrections.room import Room
from voicelog.desk.door import Door
from voicelog.desk.guard import guard, session
from voicelog.desk.pages import add_pages
from voicelog.desk.posts import add_posts
from voicelog.desk.words_page import add_words
from voicelog.errors import VoicelogError
from voicelog.exports import wording

ExcInfo = tuple[type[BaseException], BaseException, TracebackType] | tuple[None, None, None]
_LARGEST_FORM = 64 * 1024
_SENTENCES = {
    403: "This did not come from the desk's own page, so nothing was done.",
    404: "There is no such page here.",
    405: "That cannot be done with this page.",
    413: "That was too much text at once, so nothing was done.",
    421: "The desk is served under its own address only.",
}


class _Desk(Flask):
    def log_exception(self, exc_info: ExcInfo) -> None:
        """Where it went wrong and no more: the message may hold what was said."""
        kind, _, trace = exc_info
        last = extract_tb(trace)[-1]
        name = kind.__name__ if kind else "an error"
        self.logger.error("%s in %s, line %s", name, last.filename, last.lineno)


def make_app(room: Room, door: Door) -> Flask:
    """The application; it serves whoever comes through the door, one request after another."""
    app = _Desk(__name__)
    app.config["MAX_CONTENT_LENGTH"] = _LARGEST_FORM
    app.config["MAX_FORM_MEMORY_SIZE"] = _LARGEST_FORM
    app.jinja_env.trim_blocks = app.jinja_env.lstrip_blocks = True
    guard(app, door)
    add_pages(app, room)
    add_posts(app, room)
    add_words(app, room)
    app.jinja_env.globals |= {
        "session": session,
        "idle_s": int(door.idle_s),
        "who": room.house.settings.practitioner,
        "labels": LABELS,
        "note_word": room.house.language.kinds["note"][0],
        "named": lambda slots: ", ".join(LABELS.get(slot, slot).lower() for slot in slots),
        "words": in_words,
        "sentence": lambda content: wording.sentence(content, room.house.language),
        "picture": _picture,
    }
    app.register_error_handler(HTTPException, _http)
    app.register_error_handler(VoicelogError, _trouble)
    return app


def _picture(svg: str) -> Markup:
    """One of our own plots in the page, its style allowed by the page's policy."""
    return Markup(svg.replace("<style>", f'<style nonce="{g.nonce}">', 1))


def _http(error: HTTPException) -> tuple[str, int]:
    code = error.code or 500
    what = _SENTENCES.get(code, "Something went wrong here; what was saved is still there.")
    return render_template("trouble.html", what=what), code


def _trouble(error: VoicelogError) -> tuple[str, int]:
    return render_template("trouble.html", what=str(error)), 422
