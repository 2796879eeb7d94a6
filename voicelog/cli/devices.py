"""`voicelog devices`: the microphones and loudspeakers of this machine."""

from rich.console import Console
from rich.table import Table


def devices() -> None:
    """List microphones and loudspeakers.

    Example: voicelog devices
    """
    from voicelog.audio.devices import list_devices

    table = Table("No.", "Name", "In", "Out", "Rate", box=None, pad_edge=False)
    found = list_devices()
    for device in found:
        mark = {True: "default", False: "yes"}
        table.add_row(
            str(device.number),
            device.name,
            mark[device.is_default("input")] if device.serves("input") else "",
            mark[device.is_default("output")] if device.serves("output") else "",
            f"{device.default_rate_hz} Hz",
        )
    Console().print(table if found else "No sound device was found.")
