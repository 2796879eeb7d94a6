"""`voicelog model`: the neural speech models on this machine."""

import typer
from rich.console import Console
from rich.progress import BarColumn, DownloadColumn, Progress, TextColumn, TransferSpeedColumn
from rich.table import Table

from voicelog.cli.options import DataFolder, house
from voicelog.cli.tables import show_table
from voicelog.cli.terminal import say
from voicelog.wiring import House

app = typer.Typer(
    help="Install and list the models of the Vosk engine.\n\nExample: voicelog model list",
    no_args_is_help=True,
)


@app.command("install")
def install(data: DataFolder = None) -> None:
    """Fetch the small English model (about 40 MB, Apache License 2.0), checked by its checksum.

    Example: voicelog model install
    """
    from voicelog.recognisers.download import Progress as Step
    from voicelog.recognisers.vosk_models import VoskModels

    columns = (
        TextColumn("{task.description}"),
        BarColumn(),
        DownloadColumn(),
        TransferSpeedColumn(),
    )
    with Progress(*columns, console=Console(stderr=True)) as bar:
        task = bar.add_task("Starting", total=None)

        def report(step: Step) -> None:
            bar.update(
                task,
                description=step.stage.capitalize(),
                completed=step.done_bytes,
                total=step.total_bytes,
            )

        model = VoskModels(house(data).settings.models_folder).install(report)
    say(f"{model.name} is ready in {model.folder}")


@app.command("list")
def list_models(data: DataFolder = None) -> None:
    """List the models on this machine, with a mark at the one in use.

    Example: voicelog model list
    """
    from voicelog.recognisers.vosk_models import VoskModels

    built = house(data)
    models = VoskModels(built.settings.models_folder)
    found = list(models.installed())
    named = built.settings.vosk_model
    if named is not None:
        found.append(models.find(named))
    used = built.vosk_folder if built.engine_name() == "vosk" else None
    table = Table("Model", "Size", "In use", "Folder", box=None, pad_edge=False)
    for model in found:
        mark = "yes" if model.folder == used else ""
        table.add_row(model.name, f"{model.size_bytes / 1e6:.0f} MB", mark, str(model.folder))
    if found:
        show_table(Console(), table)
    else:
        Console().print(no_model(built))


def no_model(built: House) -> str:
    """What it means that there is no Vosk model for the language."""
    if "pocketsphinx" in built.language.engines:
        return "no Vosk model installed, PocketSphinx is used (voicelog model install gets one)"
    return (
        f"no Vosk model for {built.language.name} installed: nothing can be heard until one is in"
        f" {built.settings.models_folder}"
    )
