"""`voicelog changes`: what each version brought."""

import sys
from pathlib import Path

CHANGES = Path(__file__).parents[1] / "CHANGES.md"


def changes() -> None:
    """Tell what each version brought, the newest first.

    Example: voicelog changes
    """
    sys.stdout.write(CHANGES.read_text(encoding="utf-8"))
