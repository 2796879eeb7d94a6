"""Unpacking what was fetched: a model as a whole, or nothing of it."""

import shutil
import zipfile
from pathlib import Path, PurePosixPath, PureWindowsPath

from voicelog.errors import RecogniserError
from voicelog.recognisers.download import Progress, Report, discard
from voicelog.recognisers.vosk_models import check_model


def unpack(archive: Path, target: Path, report: Report) -> None:
    """Unpack a model beside the target, and move it into place at the very end.

    Raises RecogniserError when it is no model or leads out of its folder; nothing is left of it.
    """
    workplace = target.with_name(f".{target.name}.unpacking")
    shutil.rmtree(workplace, ignore_errors=True)
    try:
        with zipfile.ZipFile(archive) as content:
            _extract(content, workplace, report)
        tops = list(workplace.iterdir())
        top = tops[0] if len(tops) == 1 else workplace
        check_model(top)
        top.rename(target)
    except zipfile.BadZipFile as error:
        discard(archive)
        raise RecogniserError(
            "The file from the server is not a sound zip file",
            kept="It was thrown away",
            do="Check the address of the model",
        ) from error
    finally:
        shutil.rmtree(workplace, ignore_errors=True)


def _extract(content: zipfile.ZipFile, workplace: Path, report: Report) -> None:
    entries = content.infolist()
    total = sum(entry.file_size for entry in entries)
    for entry in entries:
        _refuse_outside(entry.filename)
    _make_room(workplace, total)
    done = 0
    for entry in entries:
        report(Progress("unpacking", done, total))
        content.extract(entry, workplace)
        done += entry.file_size
    report(Progress("unpacking", total, total))


def _refuse_outside(name: str) -> None:
    outside = PurePosixPath(name).is_absolute() or bool(PureWindowsPath(name).anchor)
    if outside or ".." in PureWindowsPath(name).parts:
        raise RecogniserError(
            f"The archive wants to write outside its own folder ({name})",
            kept="Nothing was unpacked",
            do="Don't use this archive; check the address of the model",
        )


def _make_room(workplace: Path, needed_bytes: int) -> None:
    workplace.mkdir()
    free = shutil.disk_usage(workplace).free
    if free < needed_bytes:
        raise RecogniserError(
            f"The disk has {free / 1e6:.0f} MB free, the model needs {needed_bytes / 1e6:.0f} MB",
            kept="The download is kept",
            do="Free some space and run the command again",
        )
