"""`voicelog model`: the neural speech models on this machine."""

import typer
from rich.console import Console
from rich.progress import BarColumn, DownloadColumn, Progress, TextColumn, TransferSpeedColumn
from rich.table import Table

from voicelog.cli.options import DataFolder, house

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
    Console(stderr=True).print(f"{model.name} is ready in {model.folder}")


@app.command("list")
def list_models(data: DataFolder = None) -> None:
    """List the installed models; the first is the one in use.

    Example: voicelog model list
    """
    from voicelog.recognisers.vosk_models import VoskModels

    settings = house(data).settings
    table = Table("Model", "Size", "Folder", box=None, pad_edge=False)
    found = VoskModels(settings.models_folder).installed()
    for model in found:
        table.add_row(model.name, f"{model.size_bytes / 1e6:.0f} MB", str(model.folder))
    nothing = "No Vosk model is installed; PocketSphinx is used. See voicelog model install."
    Console().print(table if found else nothing)
