"""`voicelog words`: the practice's own drills, faults, cues and pronunciations."""

import time
from collections.abc import Sequence
from pathlib import Path
from typing import Annotated, cast

import typer
from rich.console import Console
from rich.table import Table

from voicelog.cli.options import DataFolder, Over, counted, house, one_of
from voicelog.cli.tables import show_table
from voicelog.cli.words_said import said_as, say_back
from voicelog.errors import ConfigurationError
from voicelog.exports.files import no_folder
from voicelog.grammar.alike import Alike
from voicelog.grammar.own_words import KINDS, TABLES, Kind, OwnWords
from voicelog.wiring import House
from voicelog.words.adding import Proposal, keep, merged, propose, without
from voicelog.words.file import load_own_words, save_own_words
from voicelog.words.sounds import Sound, pronounced

WORD = "word"
app = typer.Typer(
    help="The practice's own drills, faults, cues and pronunciations.\n\n"
    'Example: voicelog words add drill "sled push"',
    no_args_is_help=True,
)
_KIND_HELP = f"{', '.join(KINDS)}, or {WORD} for how one word sounds."
KindArgument = Annotated[str, typer.Argument(help=_KIND_HELP, metavar="KIND")]
NameArgument = Annotated[str, typer.Argument(help="The name, or the word.", metavar="NAME")]
Also = Annotated[
    list[str] | None,
    typer.Option("--also", help="Another way to say it; can be given more than once."),
]
Phones = Annotated[
    list[str] | None,
    typer.Option("--phones", help='How it sounds: "sled S L EH D"; for a word the phones only.'),
]
Silent = Annotated[bool, typer.Option("--silent", help="Do not say it aloud.")]
Anyway = Annotated[
    bool, typer.Option("--anyway", help="Keep it although it could be mistaken for something.")
]
AudioFile = Annotated[
    Path | None,
    typer.Option("--audio", help="A recording of it being said, to try it on.", metavar="FILE"),
]
Listen = Annotated[bool, typer.Option("--listen", help="Try it at the microphone before keeping.")]
_console = Console(highlight=False)


@app.command("list")
def list_words(data: DataFolder = None) -> None:
    """List the practice's own words.

    Example: voicelog words list
    """
    own = house(data).own_words
    table = Table("Kind", "Name", "Said as", box=None, pad_edge=False)
    for kind in KINDS:
        for name, forms in own.names(kind).items():
            table.add_row(kind, name, " / ".join(forms))
    for word, said in own.pronunciations.items():
        table.add_row(WORD, word, " / ".join(said))
    nothing = 'No words of your own yet. Add one: voicelog words add drill "sled push"'
    _console.print(nothing) if own.is_empty else show_table(_console, table)


@app.command("add")
def add(
    kind: KindArgument,
    name: NameArgument,
    also: Also = None,
    phones: Phones = None,
    audio: AudioFile = None,
    listen: Listen = False,
    anyway: Anyway = False,
    silent: Silent = False,
    data: DataFolder = None,
) -> None:
    """Add a drill, fault or cue, or how a word sounds. It can be said at once.

    Example: voicelog words add drill "sled push"
    """
    built = house(data)
    one_of(kind, (*KINDS, WORD), "KIND")
    if kind == WORD:
        own = _pronounced(built, name, phones or (), anyway=anyway)
    else:
        chosen = cast(Kind, kind)
        name = " ".join(name.split())
        if name in built.own_words.names(chosen):
            what = f'The {kind} "{name}" is there already'
            do = "Change it with `voicelog words edit`"
            raise ConfigurationError(what, kept="Nothing was changed", do=do)
        proposal = propose(built, chosen, name, (name, *(also or ())), phones or ())
        _accept(proposal, anyway=anyway)
        own = proposal.own
    if not silent:
        say_back(built, name)
    if audio is not None or listen:
        said_as(House(built.settings, trial_words=own), kind, name, audio)
    _keep(built, own, f'The {kind} "{name}" can be said now')


@app.command("edit")
def edit(
    kind: KindArgument,
    name: NameArgument,
    new_name: Annotated[str, typer.Option("--name", help="A new name.")] = "",
    also: Also = None,
    phones: Phones = None,
    anyway: Anyway = False,
    silent: Silent = False,
    data: DataFolder = None,
) -> None:
    """Change the name of one of your own words, or the ways to say it.

    Records that were kept under the old name keep it.

    Example: voicelog words edit drill "sled push" --also "push the sled"
    """
    built = house(data)
    one_of(kind, (*KINDS, WORD), "KIND")
    if kind == WORD:
        own = _pronounced(built, name, phones or (), anyway=anyway)
    else:
        chosen = cast(Kind, kind)
        before = built.own_words.names(chosen).get(name, [])
        rest = House(built.settings, trial_words=without(built, chosen, name))
        named = " ".join((new_name or name).split())
        forms = (named, *(form for form in before if form != name), *(also or ()))
        proposal = propose(rest, chosen, named, tuple(dict.fromkeys(forms)), phones or ())
        _accept(proposal, anyway=anyway)
        own = proposal.own
    if not silent:
        say_back(built, new_name or name)
    _keep(built, own, f'The {kind} "{new_name or name}" is changed')


@app.command("remove")
def remove(kind: KindArgument, name: NameArgument, data: DataFolder = None) -> None:
    """Remove one of your own words. Records that hold it stay as they are.

    Example: voicelog words remove drill "sled push"
    """
    built = house(data)
    one_of(kind, (*KINDS, WORD), "KIND")
    if kind == WORD:
        sounds = dict(built.own_words.pronunciations)
        if not sounds.pop(name, None):
            do = "Look at your own words with: voicelog words list"
            what = f'You gave no pronunciation for "{name}"'
            raise ConfigurationError(what, kept="Nothing was removed", do=do)
        own = built.own_words.model_copy(update={"pronunciations": sounds})
    else:
        own = without(built, cast(Kind, kind), name)
    _keep(built, own, f'The {kind} "{name}" is gone')


@app.command("export")
def export(
    output: Annotated[Path, typer.Argument(help="File to write.", metavar="FILE")],
    over: Over = False,
    data: DataFolder = None,
) -> None:
    """Write the practice's own words to a file, for another computer or a colleague.

    With --over it may take the place of another file of words, and of no other file.

    Example: voicelog words export words.toml
    """
    own = house(data).own_words
    if not output.parent.is_dir():
        raise no_folder(output.parent)
    if output.exists() and not over:
        what, do = f"{output} is there already", "Choose another name, or add --over to replace it"
        raise ConfigurationError(what, kept="It was left as it is", do=do)
    load_own_words(output, "It was left as it is; choose another name")
    save_own_words(output, own)
    _console.print(f"{_count(own)} written to {output}")


@app.command("import")
def import_words(
    file: Annotated[Path, typer.Argument(help="A file of words.", metavar="FILE")],
    anyway: Anyway = False,
    data: DataFolder = None,
) -> None:
    """Bring in words from a file, checked as `add` does; where both have a name, the file counts.

    Example: voicelog words import words.toml
    """
    built = house(data)
    found = merged(built, file)
    for name in found.changed:
        _console.print(f'"{name}" is said otherwise here; the file counts')
    _refuse_alike(found.alike, "Some of these words", anyway=anyway)
    _keep(built, found.own, f"{_count(found.own)} in use")


def _pronounced(built: House, word: str, phones: Sequence[str], *, anyway: bool) -> OwnWords:
    own, sound, alike = pronounced(built, word, phones)
    _show_sounds([sound])
    _refuse_alike(alike, f'"{word}"', anyway=anyway)
    return own


def _accept(proposal: Proposal, *, anyway: bool) -> None:
    """Show what was found out. Raises ConfigurationError when it could be mistaken."""
    _show_sounds(proposal.sounds)
    for word, spellings in proposal.unheard.items():
        offer = " or ".join(f'"{spelling}"' for spelling in spellings) or "another word"
        _console.print(f'The neural model does not have "{word}". With --also, try {offer}.')
    _refuse_alike(proposal.alike, f'"{proposal.name}"', anyway=anyway)


def _refuse_alike(alike: Sequence[Alike], what: str, *, anyway: bool) -> None:
    for pair in alike:
        like = f'sounds like "{pair.second}" ({pair.distance:.0f} apart)'
        same = "means something already where it is heard alone"
        _console.print(f'"{pair.first}" {same if pair.first == pair.second else like}')
    if alike and not anyway:
        raise ConfigurationError(
            f"{what} could be mistaken for something else",
            kept="Nothing was added",
            do="Choose words that sound different, or add --anyway and mind the read-back",
        )


def _show_sounds(sounds: Sequence[Sound]) -> None:
    for sound in sounds:
        if sound.source != "spelling":
            _console.print(f"{sound.word}: {' / '.join(sound.phones)} ({sound.source})")


def _keep(built: House, own: OwnWords, done: str) -> None:
    """Put the words on file and get the engine ready for them, ahead of the next visit."""
    started, ready = time.perf_counter(), keep(built, own)
    if ready.engine_name() == "pocketsphinx":
        ready.recogniser()
    took_s = time.perf_counter() - started
    _console.print(f"{done} (ready in {took_s:.1f} s). A visit that is running keeps its words.")


def _count(own: OwnWords) -> str:
    names = sum(len(getattr(own, table)) for table in TABLES.values())
    return f"{counted(names, 'name')} and {counted(len(own.pronunciations), 'pronunciation')}"
