"""A sentence for every reason for care."""

from collections.abc import Iterable

from voicelog.analysis.caveats import Caveat, Doubt
from voicelog.grammar.language import LanguageData
from voicelog.telling.names import joint_name, motion_name, named_anywhere

_AS_ONE = frozenset({Doubt.ABOVE_CEILING})
"""What reads well of several records at once."""


def together(caveats: Iterable[Caveat]) -> tuple[Caveat, ...]:
    """Each reason for care once, and some once for all the records that they are about."""
    found: dict[Caveat, Caveat] = {}
    for caveat in caveats:
        same = caveat._replace(about=()) if caveat.doubt in _AS_ONE else caveat
        before = found.get(same, caveat)
        found[same] = caveat._replace(about=tuple(dict.fromkeys(before.about + caveat.about)))
    return tuple(found.values())


def caveat_words(caveat: Caveat, language: LanguageData) -> str:
    """The sentence for a caveat, with the records it is about."""
    text = language.texts.findings
    about = text.both.join(filter(None, (", ".join(caveat.about[:-1]), *caveat.about[-1:])))
    return text.doubts[caveat.doubt].format(about=about, said=_said(caveat, language))


def _said(caveat: Caveat, language: LanguageData) -> str:
    text = language.texts.findings
    if caveat.doubt is Doubt.ONE_ANGLE:
        return ", ".join(text.angles.get(word, word) for word in caveat.said)
    if caveat.doubt is Doubt.NO_PUBLISHED_ERROR:
        joint, motion = caveat.said
        return f"{joint_name(joint, language)} {motion_name(motion, language)}"
    between = {
        Doubt.ERROR_NOTE: ": ",
        Doubt.DIFFERENT_INSTRUMENT: text.both,
        Doubt.BY_DEFAULT: ", ",
    }.get(caveat.doubt, text.one_other)
    return between.join(named_anywhere(word, language) for word in caveat.said)
