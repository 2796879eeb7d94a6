"""What a language does about phrases that sound alike, as data."""

from typing import Literal

from pydantic import BaseModel, ConfigDict, model_validator

from voicelog.grammar.alike import Alike


class _Data(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


class Answer(_Data):
    """The answer to one pair. `say` are two phrases that say the same and are far apart, `how`
    tells what is asked."""

    pair: tuple[str, str]
    answer: Literal["longer form", "spelled read-back", "ask back"]
    say: tuple[str, str] | None = None
    how: str = ""

    @model_validator(mode="after")
    def _says_what_it_promises(self) -> "Answer":
        if (self.answer == "longer form") != (self.say is not None):
            raise ValueError(f"{self.pair}: a longer form, and nothing else, names what to say")
        if (self.answer == "ask back") != bool(self.how):
            raise ValueError(f"{self.pair}: asking back, and nothing else, tells how")
        return self


class Answers(_Data):
    """All answers of a language. Two values of the same slot of `spelled` need none of their own:
    numbers there are read back digit by digit."""

    spelled: list[str] = []
    answer: list[Answer] = []

    def to(self, pair: Alike) -> Answer | None:
        """The answer to a pair, or None when there is none."""
        names = (pair.first, pair.second)
        for answer in self.answer:
            if tuple(sorted(answer.pair)) == names:
                return answer
        if all(place in self.spelled for place in pair.place.split(", ")):
            return Answer(pair=names, answer="spelled read-back")
        return None
