"""What every request passes before anything is read or changed, and what every answer carries.

Items of the OWASP Application Security Verification Standard 5.0 that this meets are named beside
each rule (https://owasp.org/www-project-application-security-verification-standard/).
"""

import secrets
from typing import cast

from flask import Flask, Response, abort, g, redirect, render_template, request, url_for
from werkzeug.wrappers import Response as AnyResponse

from voicelog.desk.door import Door, Session

# The only pages without a session: they hold nothing of anybody.
_OPEN = {"static", "enter", "locked"}

_HEADERS = {
    "Cache-Control": "no-store",  # 14.3.2: nothing of a client stays in the browser's cache
    "X-Content-Type-Options": "nosniff",  # 3.4.4
    "Referrer-Policy": "same-origin",  # 3.4.5; "no-referrer" would blank the Origin of forms
    "Cross-Origin-Opener-Policy": "same-origin",  # 3.4.8
    "Cross-Origin-Resource-Policy": "same-origin",  # 3.5.8
    "Permissions-Policy": "camera=(), microphone=(), geolocation=()",
}
_POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self' 'nonce-{nonce}'; img-src 'self'; "
    "media-src 'self'; connect-src 'self'; form-action 'self'; base-uri 'none'; "
    "frame-ancestors 'none'"
)  # 3.4.3, 3.4.6


def guard(app: Flask, door: Door) -> None:
    """Put the guard before and behind every page of the app."""
    app.before_request(lambda: _let_in(door))
    app.after_request(_close_up)
    app.add_url_rule("/enter/<token>", "enter", lambda token: _enter(door, token))
    app.add_url_rule("/locked", "locked", _locked)
    app.add_url_rule("/lock", "lock", lambda: _lock(door), methods=["POST"])
    app.add_url_rule("/stay", "stay", lambda: ("", 204), methods=["POST"])


def session() -> Session:
    """The session of this request, which has passed the guard."""
    return cast(Session, g.session)


def address() -> str:
    """Where this desk is served, and nowhere else: its scheme, host and port."""
    return f"http://127.0.0.1:{g.port}"


def _let_in(door: Door) -> AnyResponse | None:
    g.nonce = secrets.token_urlsafe(16)
    g.port = request.environ["SERVER_PORT"]
    if request.host != f"127.0.0.1:{g.port}":  # another name for this machine: DNS rebinding
        abort(421)
    if request.headers.get("Sec-Fetch-Site", "none") not in ("same-origin", "none"):
        abort(403)
    if request.method == "POST" and request.headers.get("Origin") != address():  # 3.5.1, 3.5.3
        abort(403)
    if request.endpoint in _OPEN:
        return None
    known = door.known(request.cookies.get(_cookie(), ""))
    if known is None:
        return _locked()
    g.session = known
    if request.method == "POST":
        given = request.form.get("form_key", "")
        if not secrets.compare_digest(given.encode(), known.form_key.encode()):  # 3.5.1
            abort(403)
    return None


def _close_up(response: Response) -> Response:
    for name, value in _HEADERS.items():
        response.headers[name] = value
    response.headers["Content-Security-Policy"] = _POLICY.format(nonce=g.get("nonce", ""))
    return response


def _enter(door: Door, token: str) -> AnyResponse:
    entered = door.enter(token)
    if entered is None:
        return _locked()
    response = redirect(url_for("visits"), 303)
    # 3.3.2, 3.3.4, 7.2.4. Browsers keep cookies by host and not by port, hence the name.
    response.set_cookie(_cookie(), entered.key, httponly=True, samesite="Strict")
    return response


def _lock(door: Door) -> AnyResponse:  # 7.4.1, 7.4.4
    door.lock()
    response = redirect(url_for("locked"), 303)
    response.delete_cookie(_cookie(), httponly=True, samesite="Strict")
    return response


def _locked() -> AnyResponse:
    return Response(render_template("locked.html"), 401)


def _cookie() -> str:
    return f"voicelog_desk_{g.port}"
