"""Typed shorthand: from "R shoulder IR gap 4/10, 95 deg, sharp" to slots, doubtful ones marked."""

from voicelog.shorthand.reader import Shorthand
from voicelog.shorthand.reading import Doubt, Reading, Suggestion

__all__ = ["Doubt", "Reading", "Shorthand", "Suggestion"]
