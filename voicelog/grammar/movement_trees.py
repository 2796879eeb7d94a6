"""The trees of what was moved: a joint with one of its motions, or a part of that."""

from functools import cached_property

from voicelog.grammar.language import LanguageData
from voicelog.grammar.slot_trees import SlotTrees, chosen
from voicelog.grammar.template import Choice, Mark, Node, Optional, Rule, Sequence, one_of


class MovementTrees:
    """The movements of one language, as trees."""

    def __init__(self, language: LanguageData, slots: SlotTrees) -> None:
        self._language = language
        self._slots = slots

    def moved(self, name: str) -> Node:
        """What was moved: side, joint and motion in the usual orders, or the part that changed.

        The parts stand under a rule called `name`; its less usual orders are rules of their own, so
        that they can weigh less in a trial, but not where any part is as likely as the whole."""
        return Rule(name, Choice((self.whole(name), self.part(name))))

    def whole(self, name: str) -> Node:
        """Joint and motion, with or without a side."""
        side, manner = Optional(self._slots.side), Optional(self._slots.manner)
        usual = Sequence((side, manner, self._joint_motion, side))
        motion_first: list[Node] = []
        for joint_name, joint in self._language.joints.items():
            said = Mark("joint", joint_name, one_of(joint.spoken))
            motion_first.append(Sequence((self._motion_at(joint_name), side, said)))
        return Choice((usual, Rule(f"{name}_motion_first", Choice(tuple(motion_first)))))

    def part(self, name: str) -> Node:
        """Only the joint, the motion or the side; the rest carries over."""
        side, manner = Optional(self._slots.side), Optional(self._slots.manner)
        part = Sequence((side, manner, Choice((self._any_motion, self._joint))))
        return Rule(f"{name}_part", Choice((part, self._slots.side)))

    def _motion_at(self, joint: str) -> Node:
        named = {m: self._language.said_at(joint, m) for m in self._language.joints[joint].motions}
        return Choice(tuple(Mark("motion", name, one_of(said)) for name, said in named.items()))

    @cached_property
    def _any_motion(self) -> Node:
        used = {m for joint in self._language.joints.values() for m in joint.motions}
        return chosen("motion", {n: f for n, f in self._language.motions.items() if n in used})

    @cached_property
    def _joint(self) -> Node:
        joints = self._language.joints.items()
        return Rule("joint", Choice(tuple(Mark("joint", n, one_of(j.spoken)) for n, j in joints)))

    @cached_property
    def _joint_motion(self) -> Node:
        """A joint with one of its own motions after it."""
        pairs: list[Node] = []
        for name, joint in self._language.joints.items():
            said = Mark("joint", name, one_of(joint.spoken))
            motion = Sequence((Optional(self._slots.manner), self._motion_at(name)))
            pairs.append(Sequence((said, motion)))
        return Rule("joint_motion", Choice(tuple(pairs)))
