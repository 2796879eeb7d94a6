"""The page of the practice's own words: the list, a form to add one, and a button to remove one."""

from flask import Flask, abort, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from voicelog.corrections.room import Room
from voicelog.errors import VoicelogError
from voicelog.grammar.own_words import KINDS, Kind
from voicelog.words.adding import Proposal, keep, propose, without

Answer = str | Response | tuple[str, int]


def add_words(app: Flask, room: Room) -> None:
    """Put the page and its forms into the app."""

    @app.get("/words")
    def words() -> str:
        return _page(room)

    @app.post("/words")
    def add_word() -> Answer:
        kind, name = _kind(), " ".join(request.form.get("name", "").split())
        other = request.form.get("other", "").strip()
        try:
            proposal = propose(room.house, kind, name, (name, other) if other else (name,))
            if proposal.alike and "anyway" not in request.form:
                return _page(room, proposal=proposal, other=other), 409
            room.use(keep(room.house, proposal.own))
        except VoicelogError as error:
            return _page(room, trouble=str(error)), 422
        return redirect(url_for("words"), 303)

    @app.post("/words/remove")
    def remove_word() -> Answer:
        try:
            own = without(room.house, _kind(), request.form.get("name", ""))
            room.use(keep(room.house, own))
        except VoicelogError as error:
            return _page(room, trouble=str(error)), 422
        return redirect(url_for("words"), 303)


def _kind() -> Kind:
    kind = request.form.get("kind", "")
    if kind not in KINDS:
        abort(404)
    return kind


def _page(room: Room, proposal: Proposal | None = None, other: str = "", trouble: str = "") -> str:
    own = room.house.own_words
    rows = [(kind, name, forms) for kind in KINDS for name, forms in own.names(kind).items()]
    return render_template(
        "words.html", rows=rows, kinds=KINDS, proposal=proposal, other=other, trouble=trouble
    )
