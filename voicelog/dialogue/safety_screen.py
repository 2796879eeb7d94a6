"""The safety screen as a conversation: one question after the other, then all read back.

Nothing counts until the whole has been affirmed. Pure, like the rest of the dialogue.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Literal

from voicelog.dialogue import prompts
from voicelog.grammar.language import LanguageData

Answer = Literal["yes", "no", "unsure"]
Reply = Literal["yes", "no", "unsure", "skip", "back", "again", "end"]
"""yes, no, unsure: the answer. skip: not asked. back: to the question before. again: repeat.
end: ask no more and read back what there is."""
Stage = Literal["asking", "closing", "kept", "left"]
"""asking: a question is open. closing: everything was read back and waits for a yes. kept: it was
affirmed. left: it was not, so nothing counts."""

COMMANDS: Mapping[str, Reply] = {
    "affirm": "yes",
    "negative": "no",
    "go ahead": "skip",
    "disregard": "back",
    "say again": "again",
    "close visit": "end",
}
"""The spoken commands that mean something here."""


@dataclass(frozen=True, slots=True)
class Question:
    """One question, and what a yes or unsure asks for."""

    id: str
    text: str
    advice: str
    of_joints: bool = False
    """Whether a yes or unsure may hold for some joints only."""


@dataclass(frozen=True, slots=True)
class Asking:
    """Where the asking stands. `answers` are by question id, without those not asked; `joints` are
    those that an answer was limited to."""

    language: LanguageData
    questions: tuple[Question, ...]
    answers: Mapping[str, Answer] = field(default_factory=dict)
    joints: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    at: int = 0
    stage: Stage = "asking"

    @property
    def sentence(self) -> str:
        """What is open: the question, or the read-back of all answers."""
        if self.stage == "asking":
            return self.questions[self.at].text
        return self._read_back() if self.stage == "closing" else ""

    def _read_back(self) -> str:
        raised = [self._named(q) for q in self.questions if self.answers.get(q.id, "no") != "no"]
        missing = len(self.questions) - len(self.answers)
        parts = [self._say("screen_noes", count=list(self.answers.values()).count("no"))]
        if raised:
            parts.append(self._say("screen_raised", questions=" ".join(raised)))
        if missing:
            parts.append(self._say("screen_missing", count=missing))
        return " ".join([*parts, self._say("screen_keep")])

    def _named(self, question: Question) -> str:
        spoken = (self.language.joints[j].spoken[0] for j in self.joints.get(question.id, ()))
        where = ", ".join(spoken)
        return f"{question.text} ({where})" if where else question.text

    def _say(self, prompt: str, **values: object) -> str:
        return prompts.say(self.language, prompt, **values)


_ECHO: Mapping[Reply, str] = {
    "yes": "screen_yes",
    "no": "screen_no",
    "unsure": "screen_unsure",
    "skip": "screen_skip",
}

Replied = tuple[Asking, tuple[str, ...]]
"""Where it stands now, and what to say in order."""


def reply(asking: Asking, said: Reply, joints: tuple[str, ...] = ()) -> Replied:
    """What follows from a reply, for some joints only where the question is of joints. The same
    asking and reply always give the same result."""
    if asking.stage in ("kept", "left"):
        return asking, ()
    if said == "again":
        return asking, (asking.sentence,)
    if said == "back":
        return _open(_back(asking))
    if asking.stage == "closing":
        return _close(asking, said)
    if said == "end":
        return _open(replace(asking, stage="closing"))
    return _answer(asking, said, joints)


def _answer(asking: Asking, said: Reply, joints: tuple[str, ...]) -> Replied:
    question = asking.questions[asking.at]
    others = {name: answer for name, answer in asking.answers.items() if name != question.id}
    limited = {name: at for name, at in asking.joints.items() if name != question.id}
    if said in ("yes", "no", "unsure"):
        others[question.id] = said
    if said in ("yes", "unsure") and joints and question.of_joints:
        limited[question.id] = joints
    last = asking.at == len(asking.questions) - 1
    after = replace(
        asking,
        answers=others,
        joints=limited,
        at=asking.at if last else asking.at + 1,
        stage="closing" if last else "asking",
    )
    echo = prompts.say(asking.language, _ECHO[said], advice=question.advice)
    after, then = _open(after)
    return after, (echo, *then)


def _close(asking: Asking, said: Reply) -> Replied:
    if said not in ("yes", "no"):
        return asking, ()
    kept = said == "yes"
    text = prompts.say(asking.language, "screen_kept" if kept else "screen_left")
    return replace(asking, stage="kept" if kept else "left"), (text,)


def _back(asking: Asking) -> Asking:
    if asking.stage == "closing":
        return replace(asking, stage="asking")
    return replace(asking, at=max(0, asking.at - 1))


def _open(asking: Asking) -> Replied:
    return asking, (asking.sentence,)
