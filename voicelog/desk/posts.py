"""The forms of a visit's page: each change is shown first, and kept when it is affirmed."""

from dataclasses import replace
from uuid import uuid4

from flask import Flask, abort, redirect, request, url_for
from werkzeug.wrappers import Response

from voicelog.corrections.history import differences
from voicelog.corrections.look import Look, look_at
from voicelog.corrections.proposals import Proposal, pick, proposal, read, read_new, undo
from voicelog.corrections.reasons import kept_reason
from voicelog.corrections.room import Room
from voicelog.desk.fields import filled
from voicelog.desk.guard import session
from voicelog.desk.pages import OpenAt, Shown, known_visit, show_visit
from voicelog.desk.visits_page import days
from voicelog.dialogue import prompts
from voicelog.errors import StaleVersion, VoicelogError
from voicelog.records.content import Note
from voicelog.records.entry import Entry
from voicelog.store.base import Store

_SHOWN_FIRST = ("pick", "type", "slots", "undo", "record")
_ASKED_FIRST = ("discard", "withdraw", "unaffirm")
_LONGEST_WHY = 300
Form = dict[str, list[str]]
Answer = str | Response | tuple[str, int]


def add_posts(app: Flask, room: Room) -> None:
    """Put the forms into the app."""

    @app.post("/visits")
    def wanted() -> Response:
        names = ("client", "since", "until")
        wish = {n: v for n in names if (v := request.form.get(n, "").strip()[:32])}
        days(wish, room.house.language)
        session().wanted = wish
        return redirect(url_for("visits"), 303)

    @app.post("/visits/<visit_id>/entries/<entry_id>/<way>")
    def change(visit_id: str, entry_id: str, way: str) -> Answer:
        if way not in (*_SHOWN_FIRST, *_ASKED_FIRST, "affirm", "text", "take_back"):
            abort(404)
        form = request.form.to_dict(flat=False)
        sent = OpenAt(entry_id, way, form, lists=entry_id if way == "slots" else "")
        try:
            with room.store() as store:
                known_visit(store, visit_id)
                history = store.history(entry_id)
                if not history or history[-1].visit_id != visit_id:
                    abort(404)
                if way == "text" and not isinstance(history[-1].content, Note):
                    abort(404)
                if way in _ASKED_FIRST and "sure" not in form:
                    return show_visit(room, visit_id, OpenAt(entry_id, asking=way))
                kept = _change(room, store, history, way, form)
        except VoicelogError as error:
            status = 409 if isinstance(error, StaleVersion) else 422
            return show_visit(room, visit_id, replace(sent, trouble=str(error))), status
        if isinstance(kept, Proposal):
            shown = Shown(way, kept, _again(form))
            return show_visit(room, visit_id, replace(sent, proposal=shown))
        session().told.append((_told(room, history[-1], kept), kept.entry_id))
        return at_entry(visit_id, kept.entry_id, way)

    @app.get("/visits/<visit_id>/entries/<entry_id>/<way>")
    def at_entry(visit_id: str, entry_id: str, way: str) -> Response:
        """Where a form led to stays in the address, and may be asked for again."""
        return redirect(url_for("visit", visit_id=visit_id, _anchor=f"entry-{entry_id}"), 303)


def _change(
    room: Room, store: Store, history: tuple[Entry, ...], way: str, form: Form
) -> Entry | Proposal:
    """Do what the form asks for, or say what it would do when that was not affirmed yet."""
    changes, entry_id = room.changes(store), history[-1].entry_id
    seen = request.form.get("seen", 0, int)
    why = request.form.get("why", "").strip()[:_LONGEST_WHY]
    match way:
        case "affirm":
            return changes.affirm(entry_id, seen)
        case "discard":
            return changes.discard(entry_id, seen)
        case "withdraw":
            return changes.withdraw(entry_id, seen, why)
        case "unaffirm":
            return changes.unaffirm(entry_id, seen, uuid4().hex)
        case "take_back":
            return changes.take_back_discard(entry_id, seen)
    look = look_at(history, room.house.language)
    if way == "text":
        note = _note()
        if look.shown.status == "confirmed" and look.shown.content == note:
            return look.shown
        reason = kept_reason("compared" if note.checked else "text changed")
        return changes.correct(entry_id, seen, note, reason)
    proposed = _proposed(room, look, way, form)
    # What is kept is what was read: after any change in between, it is shown again.
    if proposed.content is None or request.form.get("affirmed") != proposed.read_back:
        return proposed
    reason = f"{proposed.why}: {why}" if why else proposed.why
    if way == "record":
        return changes.begin(history[-1], uuid4().hex, proposed.content, reason)
    return changes.correct(entry_id, seen, proposed.content, reason)


def _proposed(room: Room, look: Look, way: str, form: Form) -> Proposal:
    line = request.form.get("line", "").strip()
    match way:
        case "pick":
            return pick(room, look, request.form.get("number", "").strip())
        case "type":
            return read(room, look, line)
        case "record":
            return read_new(room, line)
        case "undo":
            return undo(room, look)
    content = filled(look.shown.content, form, room.house.language)
    return proposal(room, look, content, kept_reason("lists"))


def _note() -> Note:
    """The note as the form has it; forms end their lines with two signs, and what is kept with
    one."""
    text = request.form.get("text", "").replace("\r\n", "\n").strip()
    return Note(text=text, checked=bool(request.form.get("checked")))


def _told(room: Room, before: Entry, after: Entry) -> str:
    language = room.house.language
    told, now = language.texts.desk.visit.told, prompts.read_back(language, after.content)
    changed = differences(before.content, after.content, language)
    if after.status == "confirmed" and after.entry_id == before.entry_id and changed:
        slots = ", ".join(f"{s.label.lower()} {s.before} → {s.after}" for s in changed)
        return told["changed"].format(record=now, slots=slots)
    states = {"confirmed": "saved", "unconfirmed": "waits"}
    return told[states.get(after.status, after.status)].format(record=now)


def _again(form: Form) -> tuple[tuple[str, str], ...]:
    """The form that led to a proposal, to be sent once more with its affirmation."""
    sent_anew = ("form_key", "seen", "affirmed", "why")
    return tuple((n, value) for n, values in form.items() for value in values if n not in sent_anew)
