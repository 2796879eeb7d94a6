"""A sentence for every reason for care."""

from voicelog.analysis.caveats import Caveat, Doubt

_SENTENCES = {
    Doubt.OTHER_CLIENT: "Record {about} belongs to another client and was left out.",
    Doubt.OTHER_VISIT: "Record {about} belongs to another visit and was left out.",
    Doubt.NOT_CONFIRMED: "Record {about} waits to be affirmed and was left out.",
    Doubt.CORRECTION_WAITS: "A correction of {about} waits to be affirmed; "
    "the values affirmed before are used.",
    Doubt.NO_MOVEMENT: "Record {about} names no joint and motion and was left out.",
    Doubt.NO_PHASE: "Record {about} does not say whether it is a baseline, a trial or a retest, "
    "and was left out.",
    Doubt.CLOCK: "Record {about} was kept before it was spoken; check the clock.",
    Doubt.IMPOSSIBLE_PAIN: "Record {about} holds a pain outside 0 to 10 and was left out.",
    Doubt.IMPOSSIBLE_RANGE: "Record {about} holds an angle outside 0 to 180 degrees and was left "
    "out.",
    Doubt.EMPTY_VISIT: "No trial is on record for this visit, so nothing is compared.",
    Doubt.NO_BASELINE: "No baseline of this movement in this visit, so nothing is compared.",
    Doubt.BASELINE_AFTER_TRIAL: "The baseline came after this trial, so nothing is compared.",
    Doubt.BASELINE_AFTER_RETEST: "The baseline came after this retest, so nothing is compared.",
    Doubt.MORE_BASELINES: "{said} baselines come before this trial; {about} is used, the latest "
    "that compares best.",
    Doubt.DIFFERENT_MANNER: "One was {said}; these do not compare ({about}).",
    Doubt.DIFFERENT_POSITION: "One was {said}; these positions do not compare ({about}).",
    Doubt.UNSAID_MANNER: "Only one of {about} says {said}; the other is taken to be the same.",
    Doubt.UNSAID_POSITION: "Only one of {about} says {said}; the other is taken to be the same.",
    Doubt.BY_DEFAULT: "Nobody said {said} in {about}: the default of the practice was taken.",
    Doubt.BASELINE_STOPPED: "The baseline {about} itself had a stop event.",
    Doubt.BASELINE_WITHOUT_PAIN: "The baseline {about} has no pain score, so pain is not compared.",
    Doubt.TRIAL_WITHOUT_PAIN: "Record {about} has no pain score, so pain is not compared.",
    Doubt.PAIN_FREE_REP: "Record {about} says a pain-free repetition; it counts as pain 0.",
    Doubt.NO_PERCENT: "The start was 0, so there is no percentage and pain cannot get lower.",
    Doubt.SMALL_START: "Small numbers: the start was {said}, so a change says little.",
    Doubt.ABOVE_CEILING: "Pain above {said} in record {about}: review before going on.",
    Doubt.BASELINE_WITHOUT_RANGE: "The baseline {about} has no angle, so range is not compared.",
    Doubt.TRIAL_WITHOUT_RANGE: "Record {about} has no angle, so range is not compared.",
    Doubt.DIFFERENT_INSTRUMENT: "Measured with {said}; the angles do not compare ({about}).",
    Doubt.UNSAID_INSTRUMENT: "Only one of {about} says {said}; the other is taken to be the same.",
    Doubt.NO_INSTRUMENT: "The instrument was not said, so only general figures of error fit.",
    Doubt.DIFFERENT_ONSET: "One angle is where pain starts, the other the end of the range; "
    "they do not compare ({about}).",
    Doubt.ONE_ANGLE: "Only one of {about} says {said}, so that is not compared.",
    Doubt.NO_PUBLISHED_ERROR: "No published error is known for this, so the difference is given "
    "without a label.",
    Doubt.ERROR_BETWEEN_TESTERS: "The figure of {said} is for two testers; for one tester it is "
    "usually smaller.",
    Doubt.ERROR_BROAD: "The figure of {said} covers more than this motion, or a span of which the "
    "upper end is used.",
    Doubt.ERROR_NOTE: "About the figure of {said}.",
    Doubt.ERROR_SPANS_METHODS: "{said} gives one span for several ways of measuring, which "
    "fits none of them, so it was not used.",
    Doubt.ERROR_FOR_END: "The published error is for the end of the range; where pain starts may "
    "vary more.",
    Doubt.UNABLE: "Record {about} says unable, so there is nothing to rate.",
    Doubt.DISAGREEING_TRIALS: "The {said} trials {about} do not agree; the latest counts.",
}


def caveat_words(caveat: Caveat) -> str:
    """The sentence for a caveat, with the records it is about."""
    return _SENTENCES[caveat.doubt].format(about=" and ".join(caveat.about), said=_said(caveat))


def _said(caveat: Caveat) -> str:
    between = ": " if caveat.doubt is Doubt.ERROR_NOTE else ", the other "
    if caveat.doubt is Doubt.DIFFERENT_INSTRUMENT:
        between = " and "
    if caveat.doubt is Doubt.BY_DEFAULT:
        between = ", "
    return between.join(caveat.said)
