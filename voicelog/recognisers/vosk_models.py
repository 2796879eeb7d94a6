"""The models of the Vosk engine on this computer: find them, check them, install one."""

from dataclasses import dataclass
from pathlib import Path, PurePosixPath
from typing import TYPE_CHECKING
from urllib.parse import urlparse

from voicelog.errors import RecogniserError

if TYPE_CHECKING:
    from voicelog.recognisers.download import Report

# The small English model, Apache License 2.0, about 40 MB.
SMALL_ENGLISH_URL = "https://alphacephei.com/vosk/models/vosk-model-small-en-us-0.15.zip"
SMALL_ENGLISH_SHA256 = "30f26242c4eb449f948e42cb302dd7a686cb29a3423a8367f99ff41780942498"

MODEL_FILES = ("am/final.mdl", "conf/mfcc.conf", "conf/model.conf")
DYNAMIC_GRAPH = ("graph/HCLr.fst", "graph/Gr.fst", "graph/disambig_tid.int")
FIXED_GRAPH = "graph/HCLG.fst"


@dataclass(frozen=True, slots=True)
class InstalledModel:
    """A model that is ready for use. `size_bytes` is what it takes on the disk."""

    name: str
    folder: Path
    size_bytes: int


class VoskModels:
    """The models in one folder, and the one that can be fetched into it.

    `url` is the address of a zip file with one model, `sha256` its checksum in hex digits.
    """

    def __init__(
        self, folder: Path, url: str = SMALL_ENGLISH_URL, sha256: str = SMALL_ENGLISH_SHA256
    ) -> None:
        self.folder = folder
        self.url = url
        self.sha256 = sha256
        self.name = PurePosixPath(urlparse(url).path).stem

    def install(self, report: "Report") -> InstalledModel:
        """Download, check and unpack the model, telling `report` how far it is.

        The model appears under its name only when it is complete. Raises RecogniserError, also
        while another run is at it; what was downloaded is kept for the next try. A model that is
        there already is left alone.
        """
        from voicelog.recognisers.download import discard, disk_trouble, download
        from voicelog.recognisers.one_install import only_install
        from voicelog.recognisers.vosk_unpacking import unpack

        target = self.folder / self.name
        if _is_model(target):
            return _installed(target)
        with disk_trouble(self.folder):
            self.folder.mkdir(parents=True, exist_ok=True)
            with only_install(self.folder):
                if _is_model(target):  # another run was done just before
                    return _installed(target)
                _refuse_in_the_way(target)
                part = self.folder / f"{self.name}.zip.part"
                download(self.url, self.sha256, part, report)
                unpack(part, target, report)
                discard(part)
        return _installed(target)

    def installed(self) -> tuple[InstalledModel, ...]:
        """The complete models in the folder, by name. Raises RecogniserError."""
        try:
            places = sorted(self.folder.iterdir()) if self.folder.is_dir() else []
            return tuple(_installed(place) for place in places if _is_model(place))
        except OSError as error:
            raise RecogniserError(
                f"The models in {self.folder} cannot be read ({error.strerror or error})",
                do="Look who may read there, or name another data_folder in the settings",
            ) from error

    def of_language(self, code: str) -> Path | None:
        """The folder of the first model for a language, by the language's code in its name, as in
        vosk-model-small-en-us-0.15; None when there is none."""
        found = (m.folder for m in self.installed() if code in m.name.split("-"))
        return next(found, None)

    def find(self, name: str | Path) -> InstalledModel:
        """The model of that name, or in that folder. Raises RecogniserError when there is none."""
        for model in self.installed():
            if model.name == str(name):
                return model
        folder = Path(name).expanduser()
        if folder.exists():
            check_model(folder)
            return _installed(folder)
        names = ", ".join(model.name for model in self.installed()) or "none"
        raise RecogniserError(
            f"There is no Vosk model called {name}",
            do=f"Run `voicelog model install`, or choose one that is installed ({names})",
        )


def check_model(folder: Path) -> None:
    """Make sure that a folder holds a model that can be held to phrases.

    Raises RecogniserError that names the files that are missing. Done before the engine sees the
    folder, as the engine itself only says that it failed.
    """
    if not folder.is_dir():
        raise RecogniserError(
            f"There is no folder {folder}",
            do="Give the folder of a Vosk model, or run `voicelog model install`",
        )
    if _missing(folder, MODEL_FILES) == [] and (folder / FIXED_GRAPH).is_file():
        raise RecogniserError(
            f"The model in {folder} has a fixed graph and cannot be held to phrases",
            do="Choose a model with a dynamic graph, as the small ones have",
        )
    if missing := _missing(folder, MODEL_FILES + DYNAMIC_GRAPH):
        raise RecogniserError(
            f"{folder} is not a complete Vosk model; it lacks {', '.join(missing)}",
            do="Give the folder that holds am, conf and graph, or run `voicelog model install`",
        )


def _refuse_in_the_way(target: Path) -> None:
    if target.exists():
        raise RecogniserError(
            f"{target} is in the way: it is not a complete Vosk model",
            kept="It was left as it is",
            do="Move it away and run the command again",
        )


def _missing(folder: Path, files: tuple[str, ...]) -> list[str]:
    return [name for name in files if not _has_content(folder / name)]


def _has_content(file: Path) -> bool:
    return file.is_file() and file.stat().st_size > 0


def _is_model(folder: Path) -> bool:
    return not folder.name.startswith(".") and not _missing(folder, MODEL_FILES + DYNAMIC_GRAPH)


def _installed(folder: Path) -> InstalledModel:
    size = sum(file.stat().st_size for file in folder.rglob("*") if file.is_file())
    return InstalledModel(folder.resolve().name, folder, size)
