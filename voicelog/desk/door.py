"""Who may come in: a one-time token, one session for it, and a lock after idle time."""

import secrets
from collections.abc import Callable
from dataclasses import dataclass, field
from threading import Lock

from voicelog.audio.returning import elapsed_s


@dataclass(slots=True)
class Session:
    """One person at the desk, from the token to the lock.

    `key` stands in the cookie, `form_key` in every form. `wanted` is what the list of visits is
    filtered by, `told` the results to show next.
    """

    key: str = field(default_factory=lambda: secrets.token_urlsafe(32))
    form_key: str = field(default_factory=lambda: secrets.token_urlsafe(32))
    wanted: dict[str, str] = field(default_factory=dict)
    told: list[tuple[str, str]] = field(default_factory=list)


class Door:
    """Lets one session in at a time. `idle_s` without use locks it, and spoils an unused token.

    `monotonic` is a clock in seconds that nobody can set back, and that goes on under a closed lid:
    whoever opens it in the morning finds the desk locked.
    """

    def __init__(self, idle_s: float, monotonic: Callable[[], float] = elapsed_s) -> None:
        self.idle_s = idle_s
        self._monotonic = monotonic
        self._lock = Lock()
        self._token: str | None = None
        self._spent: str | None = None
        self._session: Session | None = None
        self._last_s = monotonic()

    def new_token(self) -> str:
        """A token for one entry; any that was not used by then is void."""
        with self._lock:
            self._token = secrets.token_urlsafe(32)
            self._last_s = self._monotonic()
            return self._token

    def enter(self, token: str) -> Session | None:
        """The session for a token, or None when it is wrong, used or too old.

        A token that comes a second time has been seen by somebody else: everybody is locked out.
        """
        with self._lock:
            self._expire()
            if self._spent is not None and _same(token, self._spent):
                self._session = None
            if self._token is None or not _same(token, self._token):
                return None
            self._spent, self._token = self._token, None
            self._session = Session()
            self._last_s = self._monotonic()
            return self._session

    def known(self, key: str) -> Session | None:
        """The session with that key, if it is open; asking for it counts as use."""
        with self._lock:
            self._expire()
            if self._session is None or not _same(key, self._session.key):
                return None
            self._last_s = self._monotonic()
            return self._session

    def lock(self) -> None:
        """Let nobody on until a new token is used."""
        with self._lock:
            self._session = self._token = None

    def _expire(self) -> None:
        if self._monotonic() - self._last_s > self.idle_s:
            self._session = self._token = None


def _same(given: str, wanted: str) -> bool:
    return secrets.compare_digest(given.encode(), wanted.encode())
