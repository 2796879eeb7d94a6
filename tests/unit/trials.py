"""The movement that most conversations are about."""

from typing import Any

from voicelog.records.content import Trial


def trial(**slots: Any) -> Trial:
    base = {"side": "left", "joint": "ankle", "motion": "dorsiflexion"}
    return Trial(**{**base, **slots})
