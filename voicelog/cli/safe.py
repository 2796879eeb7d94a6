"""`voicelog safe`: how the records are locked, and the ways into them."""

import typer

from voicelog.cli.backup import amount
from voicelog.cli.options import DataFolder, house
from voicelog.cli.terminal import Terminal, say
from voicelog.safekeeping.locking import lock_up, new_recovery_key, plain_copies, set_passphrase
from voicelog.safekeeping.unlocking import LOST_IS_LOST
from voicelog.store.keys import keys_path, read_keys
from voicelog.wiring import House

_EARLIER_BACKUPS = (
    "Earlier backups go on opening here, where the records are. Anywhere else they need what opened"
    " them so far, and a key on this machine goes now: back up again when this is done."
)

app = typer.Typer(
    help="Lock the records up, and look after the ways into them.\n\nExample: voicelog safe show",
    no_args_is_help=True,
)


@app.command("show")
def show(data: DataFolder = None) -> None:
    """Say whether the records are encrypted, and what opens them.

    Example: voicelog safe show
    """
    typer.echo(described(house(data)))


@app.command("lock")
def lock(data: DataFolder = None) -> None:
    """Encrypt records that are not encrypted yet, such as those of an earlier version.

    The old file stays until the new one has been looked through; then it is overwritten and
    removed. Close every other voicelog first; a desk that is open goes on with the new lock, unless
    only a typed passphrase opens it.

    Example: voicelog safe lock
    """
    found = lock_up(house(data))
    say(f"Encrypted and looked through: {amount(found)}.")


@app.command("passphrase")
def passphrase(data: DataFolder = None) -> None:
    """Set a passphrase, or change it. A key on this machine opens nothing from then on.

    A lost passphrase is lost: only the recovery key on paper opens the records without it.
    Earlier backups go on opening where these records are, or a newer backup was restored first.

    Example: voicelog safe passphrase
    """
    Terminal().tell(f"{LOST_IS_LOST}\n{_EARLIER_BACKUPS}")
    set_passphrase(house(data))
    say("The new passphrase holds from now on.")


@app.command("recovery-key")
def recovery_key(data: DataFolder = None) -> None:
    """Show a new recovery key to print; the one before it opens nothing any more.

    Example: voicelog safe recovery-key
    """
    new_recovery_key(house(data))


def described(built: House) -> str:
    """How the records are locked, in one sentence."""
    keys = read_keys(keys_path(built.settings.store_file))
    if keys is not None:
        left = plain_copies(built.settings.store_file)
        warning = f"; BUT these older copies are not: {', '.join(map(str, left))}" if left else ""
        return f"encrypted, opened by {built.lock.describe(keys)}{warning}"
    if built.settings.store_file.exists():
        return "not encrypted: whoever can read the file can read the records"
    return "no records yet"
