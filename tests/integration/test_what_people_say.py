"""Single words of people while a read-back waits: none may save the record or throw it away.

Recordings of Speech Commands v0.01 (Warden 2017, CC BY 4.0) in ../shared/speech or the folder named
by VOICELOG_SHARED. The words are those that people say most in talk; each is said by five people.
"""

import pytest

from tests.benchmarks.people import QUIET, read
from tests.benchmarks.sounding import shared_speech
from tests.benchmarks.utterances import listened, listening
from voicelog.records.content import Trial

WORDS = ("off", "on", "up", "down", "go", "no", "yes", "nine")
FOLDER = shared_speech()
FILES = sorted(p for word in WORDS for p in FOLDER.glob(f"human_words/{word}/*")) if FOLDER else []

pytestmark = pytest.mark.skipif(not FILES, reason="../shared/speech is not there")


@pytest.mark.parametrize("word", WORDS)
def test_a_word_of_talk_is_no_command(word: str) -> None:
    waiting = listening(Trial(side="left", joint="knee", motion="flexion", phase="gap", pain=4))
    acted = [
        (path.name, heard.text)
        for path in FILES
        if path.parent.name == word
        for heard in listened(read(path), QUIET, waiting)
        if heard.meant.intent is not None
    ]
    assert acted == []
