"""Stop events in words: what raised them, and what was done then."""

from voicelog.analysis.numbering import Names
from voicelog.analysis.stop_events import StopEvent
from voicelog.analysis.stops import Stop
from voicelog.grammar.language import LanguageData
from voicelog.telling.names import named


def raised_by(stop: Stop, language: LanguageData) -> str:
    """What in the record raised a stop, such as "numb" or "pain 6 to 8"."""
    text = language.texts.findings.stops
    match stop.cause:
        case "quality":
            return named("quality", stop.word, language)
        case "end feel":
            return text.end_feel.format(value=named("end_feel", stop.word, language))
        case "pain":
            return text.pain.format(before=stop.before, after=stop.after)
        case "onset":
            return text.onset.format(before=stop.before, after=stop.after)


def stop_event_words(event: StopEvent, names: Names, language: LanguageData) -> str:
    """What raised a stop event, and where it stands what was done, or that it does not."""
    text = language.texts.findings.stops
    told = text.event.format(
        trial=names.get(event.trial, event.trial),
        raised=", ".join(raised_by(stop, language) for stop in event.stops),
    )
    if not event.noted:
        return text.not_done.format(event=told)
    notes = language.texts.findings.both.join(names.get(note, note) for note in event.noted)
    return text.done.format(event=told, notes=notes)
