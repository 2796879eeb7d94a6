"""`voicelog devices`: the microphones and loudspeakers of this machine."""

from collections.abc import Iterable
from typing import TYPE_CHECKING

from rich.console import Console
from rich.table import Table

if TYPE_CHECKING:
    from voicelog.audio.devices import Device


def devices() -> None:
    """List microphones and loudspeakers.

    Example: voicelog devices
    """
    from voicelog.audio.devices import list_devices

    found = list_devices()
    Console().print(device_table(found) if found else "No sound device was found.")


def device_table(found: Iterable["Device"]) -> Table:
    """The devices by number, and which of them are usual."""
    table = Table("No.", "Name", "In", "Out", "Rate", box=None, pad_edge=False)
    mark = {True: "default", False: "yes"}
    for device in found:
        table.add_row(
            str(device.number),
            device.name,
            mark[device.is_default("input")] if device.serves("input") else "",
            mark[device.is_default("output")] if device.serves("output") else "",
            f"{device.default_rate_hz} Hz",
        )
    return table
