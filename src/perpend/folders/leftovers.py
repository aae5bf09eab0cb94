"""What runs leave behind: scraps of workers that died, and outputs that no drawing stands for any more."""

from __future__ import annotations

import contextlib
from collections.abc import Iterable, Iterator, Mapping, Sequence
from pathlib import Path

from perpend.folders.find_drawings import MOST_NAMED, order_for
from perpend.folders.orders import Order, Outcome, State
from perpend.jobs.staging import sweep
from perpend.wording import listed


def sweep_all(orders: Sequence[Order], record: Path) -> None:
    """Take away what workers that died have left; the lock is held, so that scraps of a record are nobody's.

    Args:
        orders: the drawings of this run.
        record: the record of the run.
    """
    for folder in {record.parent, *(order.target.parent for order in orders)}:
        sweep(folder)
    for left in record.parent.glob(f".{record.name}.*.part"):
        with contextlib.suppress(OSError):
            left.unlink()


def left_behind(
    orders: Sequence[Order], outcomes: Sequence[Outcome], earlier: Iterable[str], folder: Path, out: Path
) -> tuple[str, ...]:
    """Say which outputs of earlier runs still stand though this run did not make them anew; none is deleted.

    Args:
        orders: the drawings of this run.
        outcomes: what became of them, in the same order.
        earlier: names of all drawings that earlier runs have done.
        folder: where the drawings are.
        out: where the outputs are.

    Returns:
        One sentence for those whose drawing is gone, one for those whose drawing could not be done now.
    """
    command = orders[0].command
    known = {order.name for order in orders}
    absent = [name for name in sorted(earlier) if name not in known and not (folder / name).exists()]
    gone = [order_for(Path(name), folder, out, command) for name in absent]
    failed = (State.REFUSED, State.FAULT)
    undone = [order for order, now in zip(orders, outcomes, strict=True) if now.state in failed]
    whys = {
        f"of drawings that are not in {folder} any more": gone,
        "of drawings that could not be done now": undone,
    }
    return tuple(_told(whys, out))


def _told(whys: Mapping[str, Sequence[Order]], out: Path) -> Iterator[str]:
    for why, orders in whys.items():
        names = [order.target.relative_to(out).as_posix() for order in orders if order.target.is_file()]
        if names:
            yield f"Still in {out} from earlier runs, {why}: {listed(names, MOST_NAMED)}. Nothing is deleted."
