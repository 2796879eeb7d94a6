"""`voicelog caseload`: how often each direction eased, over everybody, beside the rule of thumb."""

from collections.abc import Iterator

from rich.console import Console
from rich.table import Table

from voicelog.analysis import caseload as shares
from voicelog.analysis.caseload import JointShares
from voicelog.analysis.direction import Eased
from voicelog.analysis.wilson import Share
from voicelog.cli.options import DataFolder, house
from voicelog.records.entry import Entry
from voicelog.store.base import Store

_WAYS = (Eased.GAP, Eased.COMPRESSION, Eased.BOTH, Eased.NEITHER)
_BAR = 20


def caseload(data: DataFolder = None) -> None:
    """Count which direction eased, per joint, with 95 % intervals. Names no client.

    A movement of a client counts once, by the latest visit with enough to say.

    Example: voicelog caseload
    """
    built = house(data)
    store = built.store()
    try:
        visits = built.comparer.every_visit(_every_record(store))
        found = shares.caseload(visits, built.tables.rules)
    finally:
        store.close()
    console = Console(highlight=False)
    if not found:
        console.print("No trial is on record yet, so there is nothing to count.")
        return
    console.print("[bold]Which way it eased[/]  movements, 95 % interval in percent\n")
    console.print(_table(found))
    _one_way(console, found[0])


def _every_record(store: Store) -> Iterator[Entry]:
    for visit in store.visits():
        yield from store.records(visit.visit_id)


def _table(found: tuple[JointShares, ...]) -> Table:
    ways = (way.value.capitalize() for way in _WAYS)
    table = Table("Joint", "Clients", "Enough", *ways, box=None, pad_edge=False)
    for joint in found:
        enough = f"{joint.movements - joint.not_enough} of {joint.movements}"
        shares_here = (_short(joint.eased[way]) for way in _WAYS)
        style = "bold" if joint is found[0] else ""
        table.add_row(joint.joint, str(joint.clients), enough, *shares_here, style=style)
    return table


def _short(share: Share) -> str:
    """The count and its 95 % interval in percent, such as "3 (30-95)"."""
    if share.share is None:
        return "-"
    return f"{share.count} ({100 * share.low:.0f}-{100 * share.high:.0f})"


def _one_way(console: Console, every: JointShares) -> None:
    share, rule = every.gap_of_one_way, every.rule_of_thumb
    console.print("\n[bold]Gap among those that eased in one direction only[/]")
    if share.share is None:
        console.print("None counted yet.")
    else:
        console.print(
            f"{share.count} of {share.total}, {100 * share.share:.0f} %; 95 % interval "
            f"{100 * share.low:.0f} to {100 * share.high:.0f} %"
        )
        console.print(f"  0 %  {_bar(share, rule.value)}  100 %   ━ interval  ┃ rule of thumb")
    console.print(f"Rule of thumb: {rule.note} ({rule.status}).")
    console.print(
        "Wilson intervals. Same-visit changes, never the effect of a treatment.", style="dim"
    )


def _bar(share: Share, rule: float) -> str:
    cells = ["━" if share.low * _BAR <= n + 0.5 <= share.high * _BAR else "·" for n in range(_BAR)]
    cells[min(_BAR - 1, int(rule * _BAR))] = "┃"
    return "".join(cells)
