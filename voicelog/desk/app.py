"""The desk as a web application: pages and forms behind their guard, and every error in words."""

from functools import partial
from traceback import extract_tb
from types import TracebackType

from flask import Flask, g, render_template
from markupsafe import Markup, escape
from werkzeug.exceptions import HTTPException

from voicelog.corrections.room import Room
from voicelog.desk.door import Door
from voicelog.desk.guard import guard, session
from voicelog.desk.pages import add_pages
from voicelog.desk.posts import add_posts
from voicelog.desk.words_page import add_words
from voicelog.errors import VoicelogError
from voicelog.exports import wording
from voicelog.grammar.desk_texts import DeskTexts
from voicelog.telling.slots import label, labels, value_words

ExcInfo = tuple[type[BaseException], BaseException, TracebackType] | tuple[None, None, None]
_LARGEST_FORM = 256 * 1024
"""Bytes. A note of 20 000 letters in Hangul takes nine for each: three, each as %XX."""


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
    app.jinja_env.filters["filled"] = _filled
    app.jinja_env.globals |= _words(room) | {
        "session": session,
        "idle_s": int(door.idle_s),
        "who": room.house.settings.practitioner,
        "picture": _picture,
    }
    app.register_error_handler(HTTPException, partial(_http, room.house.language.texts.desk))
    app.register_error_handler(VoicelogError, _trouble)
    return app


def _words(room: Room) -> dict[str, object]:
    """What the templates say, and how they name things. A word that is added while the desk is
    open makes another language of it, so it is asked for anew."""
    language = room.house.language
    text = language.texts
    return {
        "lang": language.code,
        "t": text.desk,
        "kind_names": text.corrections.kinds,
        "note_word": language.kinds["note"][0],
        "counted": text.counted,
        "label": lambda slot: label(slot, room.house.language),
        "named": lambda slots: labels(slots, room.house.language),
        "words": lambda slot, value: value_words(slot, value, room.house.language),
        "sentence": lambda content: wording.sentence(content, room.house.language),
    }


def _filled(text: str, **blanks: str | Markup) -> Markup:
    """The sentence with its blanks filled in, of which some are set in another type."""
    return Markup(escape(text)).format(**blanks)


def _picture(svg: str) -> Markup:
    """One of our own plots in the page, its style allowed by the page's policy."""
    return Markup(svg.replace("<style>", f'<style nonce="{g.nonce}">', 1))


def _http(text: DeskTexts, error: HTTPException) -> tuple[str, int]:
    code, refused = error.code or 500, text.trouble.refused
    what = refused.get(str(code), refused["other"])
    return render_template("trouble.html", what=what), code


def _trouble(error: VoicelogError) -> tuple[str, int]:
    return render_template("trouble.html", what=str(error)), 422
