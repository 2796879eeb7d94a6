"""The time of a visit: the machine's clock, except that it never goes back.

The order of records decides which movement carries over and which trial is compared with which, so
a clock that is set back, by hand or over the network, must not reorder them.
"""

from collections.abc import Callable
from datetime import datetime, timedelta

Clock = Callable[[float], datetime]
"""The time of a place in the sound, given in seconds from its start."""


def here_and_now() -> datetime:
    """The time now, with the zone of the machine: the day of a visit is the day where it is."""
    return datetime.now().astimezone()


class WallClock:
    """The machine's clock in its own time zone, asked now, whatever the place in the sound.

    When it is set back, it goes on from the time told last; when it is set forward it follows, as
    it cannot be told from a machine that slept.
    """

    def __init__(self, wall: Callable[[], datetime] = here_and_now) -> None:
        self._wall = wall
        self._last = wall()
        self._behind = timedelta(0)

    def __call__(self, place_s: float) -> datetime:
        """The time now."""
        now = self._wall() + self._behind
        if now < self._last:
            self._behind += self._last - now
            now = self._last
        self._last = now
        return now


def of_recording(length_s: float) -> Clock:
    """The time of a place in a recording of this length, in seconds: as if it had just ended, since
    nothing in it was said later than now."""
    began = here_and_now() - timedelta(seconds=length_s)
    return lambda place_s: began + timedelta(seconds=place_s)


def not_before(clock: Clock, newest: datetime) -> Clock:
    """The clock, moved so far that it starts no earlier than `newest`."""
    behind = max(timedelta(0), newest - clock(0))
    return lambda place_s: clock(place_s) + behind
