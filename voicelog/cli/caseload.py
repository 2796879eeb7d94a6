"""`voicelog caseload`: how often each direction eased, over everybody, beside the rule of thumb."""

from collections.abc import Iterator

from rich.console import Console
from rich.table import Table

from voicelog.analysis import caseload as shares
from voicelog.analysis.caseload import ALL_JOINTS, JointShares
from voicelog.analysis.direction import Eased
from voicelog.analysis.wilson import Share
from voicelog.cli.options import DataFolder, house, listed_store
from voicelog.cli.tables import show_table
from voicelog.grammar.language import LanguageData
from voicelog.records.entry import Entry
from voicelog.store.base import Store
from voicelog.telling.names import joint_name

_WAYS = (Eased.GAP, Eased.COMPRESSION, Eased.BOTH, Eased.NEITHER)
_BAR = 20


def caseload(data: DataFolder = None) -> None:
    """Count which direction eased, per joint, with 95 % intervals. Names no client.

    A movement of a client counts once, by the latest visit with enough to say.

    Example: voicelog caseload
    """
    built = house(data)
    console = Console(highlight=False)
    text, store = built.language.texts.tables.caseload, listed_store(built)
    if store is None:
        console.print(text.empty)
        return
    try:
        visits = built.comparer.every_visit(_every_record(store))
        found = shares.caseload(visits, built.tables.rules)
    finally:
        store.close()
    if not found:
        console.print(text.empty)
        return
    console.print(f"[bold]{text.title}[/]  {text.counted}\n")
    show_table(console, _table(found, built.language))
    _one_way(console, found[0], built.language)


def _every_record(store: Store) -> Iterator[Entry]:
    for visit in store.visits():
        yield from store.records(visit.visit_id)


def _table(found: tuple[JointShares, ...], language: LanguageData) -> Table:
    text = language.texts.tables.caseload
    ways = (language.texts.findings.pictures.ways[way].capitalize() for way in _WAYS)
    table = Table(*text.columns, *ways, box=None, pad_edge=False)
    for joint in found:
        says = joint.movements - joint.not_enough
        enough = text.enough.format(count=says, total=joint.movements)
        name = joint_name(joint.joint, language)
        name = text.all_joints if joint.joint == ALL_JOINTS else name
        shares_here = (_short(joint.eased[way]) for way in _WAYS)
        style = "bold" if joint is found[0] else ""
        table.add_row(name, str(joint.clients), enough, *shares_here, style=style)
    return table


def _short(share: Share) -> str:
    """The count and its 95 % interval in percent, such as "3 (30-95)"."""
    if share.share is None:
        return "-"
    return f"{share.count} ({100 * share.low:.0f}-{100 * share.high:.0f})"


def _one_way(console: Console, every: JointShares, language: LanguageData) -> None:
    text, statuses = language.texts.tables.caseload, language.texts.findings.figures.statuses
    share, rule = every.gap_of_one_way, every.rule_of_thumb
    console.print(f"\n[bold]{text.one_way}[/]")
    if share.share is None:
        console.print(text.none_yet)
    else:
        percent, low, high = (f"{100 * s:.0f}" for s in (share.share, share.low, share.high))
        blanks = {"percent": percent, "low": low, "high": high}
        console.print(text.share.format(count=share.count, total=share.total, **blanks))
        console.print(f"  0 %  {_bar(share, rule.value)}  100 %   {text.signs}")
    console.print(text.rule.format(status=statuses[rule.status]))
    console.print(text.care, style="dim")


def _bar(share: Share, rule: float) -> str:
    cells = ["━" if share.low * _BAR <= n + 0.5 <= share.high * _BAR else "·" for n in range(_BAR)]
    cells[min(_BAR - 1, int(rule * _BAR))] = "┃"
    return "".join(cells)
