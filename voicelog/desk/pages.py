"""The pages that are only looked at: visits, one visit, its sound and its exports."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from io import BytesIO

from flask import Flask, Response, abort, render_template, request, send_file

from voicelog.corrections.proposals import Proposal
from voicelog.corrections.room import Room
from voicelog.desk.guard import session
from voicelog.desk.visit_page import visit_page
from voicelog.desk.visits_page import page
from voicelog.errors import StoreError
from voicelog.exports import formats, load
from voicelog.handover import Wish, hand_over
from voicelog.records.visit import Visit
from voicelog.store.base import Store

_LONGEST_ID = 64


@dataclass(frozen=True, slots=True)
class Shown:
    """A proposal on the page: the form's name, and the form to send again to affirm it."""

    way: str
    it: Proposal
    again: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class OpenAt:
    """Where the page of a visit is open: at which entry, with a proposal or a question there.

    `way` is the form that was sent and `entered` what stood in it, so that nothing of it is lost.
    `lists` is the entry whose slots are shown as lists, `trouble` what could not be done.
    """

    entry: str = ""
    way: str = ""
    entered: Mapping[str, list[str]] = field(default_factory=dict)
    lists: str = ""
    proposal: Shown | None = None
    asking: str = ""
    trouble: str = ""


def add_pages(app: Flask, room: Room) -> None:
    """Put the pages into the app."""

    @app.get("/")
    @app.get("/visits")
    def visits() -> str:
        wanted = session().wanted
        number = request.args.get("page", 1, int)
        with room.store() as store:
            found = page(store, wanted, number, room.house.language)
        return render_template("visits.html", page=found, wanted=wanted)

    @app.get("/visits/<visit_id>")
    def visit(visit_id: str) -> str:
        return show_visit(room, visit_id, OpenAt(lists=request.args.get("open", "")))

    @app.get("/visits/<visit_id>/entries/<entry_id>/sound/<int:number>")
    def sound(visit_id: str, entry_id: str, number: int) -> Response:
        return send_file(BytesIO(_flac(room, visit_id, entry_id, number)), mimetype="audio/flac")

    @app.get("/visits/<visit_id>/export/<name>")
    def export(visit_id: str, name: str) -> Response:
        if name not in formats():
            abort(404)
        chosen = load(name)
        with room.store() as store:
            wish = Wish(unconfirmed=bool(request.args.get("unconfirmed")))
            whole = hand_over(room.house, store, known_visit(store, visit_id), wish)
        content = chosen.render(whole)
        data = content.encode() if isinstance(content, str) else content
        return send_file(
            BytesIO(data),
            mimetype="application/octet-stream",
            as_attachment=True,
            download_name=f"{visit_id}{chosen.SUFFIX}",
        )


def show_visit(room: Room, visit_id: str, open_at: OpenAt) -> str:
    """The page of a visit, opened where it is wanted."""
    with room.store() as store:
        known_visit(store, visit_id)
        shown = visit_page(room, store, visit_id, {open_at.lists: open_at.entered})
    told, session().told = session().told, []
    return render_template(
        "visit.html",
        page=shown,
        at=open_at.entry,
        way=open_at.way,
        entered={name: values[0] for name, values in open_at.entered.items()},
        proposal=open_at.proposal,
        asking=open_at.asking,
        trouble=open_at.trouble,
        told=told,
        formats=formats(),
    )


def known_visit(store: Store, visit_id: str) -> Visit:
    """The visit of that id; a page that is not there when it is unknown."""
    if len(visit_id) > _LONGEST_ID:
        abort(404)
    try:
        return store.visit(visit_id)
    except StoreError:
        abort(404)


def _flac(room: Room, visit_id: str, entry_id: str, number: int) -> bytes:
    """One clip of an entry of that visit, or a page that is not there."""
    with room.store() as store:
        known_visit(store, visit_id)
        history = store.history(entry_id)
        if not history or history[-1].visit_id != visit_id:
            abort(404)
        clips = store.clips(entry_id)
    if number >= len(clips):
        abort(404)
    return clips[number].flac
