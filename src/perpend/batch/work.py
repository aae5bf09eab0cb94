"""One drawing, in a worker process: done within its limits, and told in a small outcome."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise
from typing import TYPE_CHECKING

from perpend.batch.confine import confined
from perpend.batch.orders import Order, Outcome, State
from perpend.batch.record import fingerprint, hash_of
from perpend.batch.thumbnail import thumbnail
from perpend.errors import InputError, InternalError, PerpendError

if TYPE_CHECKING:
    from perpend.model import WallPlan
    from perpend.report import Results
    from perpend.report.document import FindingEntry, JointEntry


def do_order(order: Order) -> Outcome:
    """Do one drawing, whatever happens.

    Args:
        order: the drawing and where its files go.

    Returns:
        The outcome; a failure is an outcome with a sentence, never an exception.
    """
    try:
        with confined(order.seconds, order.megabytes):
            return _do(order)
    except InternalError as error:
        return Outcome(order.name, State.FAULT, str(error))
    except PerpendError as error:
        return Outcome(order.name, State.REFUSED, str(error))
    except OSError as error:
        place = error.filename or order.source
        reason = f"{place} can't be read or written ({error.strerror or error}): check that it is there."
        return Outcome(order.name, State.REFUSED, reason)
    except Exception as error:
        return Outcome(order.name, State.FAULT, f"{type(error).__name__}: {error}")


def _do(order: Order) -> Outcome:
    from perpend.rulebook import load_rulebook
    from perpend.settings import load_settings

    settings = load_settings(order.settings, order.source)
    mark = fingerprint(order, settings.sha256, load_rulebook(settings.rulebook).sha256)
    if mark == order.known and all(p.exists() for p in (order.target, order.results, order.sheet)):
        worked_in = order.written not in ("", hash_of(order.target))
        if not (worked_in and order.overwrite):
            return Outcome(order.name, State.CLEAN, fingerprint=mark, reused=True, worked_in=worked_in)
    _refuse_work_of_others(order)
    order.target.parent.mkdir(parents=True, exist_ok=True)
    results, plans = _run(order)
    return replace(_outcome(order, results, plans), fingerprint=mark, written=hash_of(order.target))


def _refuse_work_of_others(order: Order) -> None:
    """Keep an output that is not, to the byte, what perpend wrote, as the jobs do, with the cures of a batch.

    Raises:
        InputError: somebody has worked in it, or it was not written by perpend.
    """
    from perpend.jobs.files import holds_work

    if not order.overwrite and holds_work(order.target):
        raise InputError(
            f"{order.target.name} is not as perpend wrote it (somebody has worked in it, or made it): it is "
            f"kept, and the drawing is not done. Move it away, put it in the place of {order.source.name} to "
            "keep what was added to it, or pass --overwrite to replace it."
        )


def _run(order: Order) -> tuple[Results, tuple[WallPlan, ...]]:
    from perpend.jobs.annotate import annotate
    from perpend.jobs.check import check

    job = check if order.command == "check" else annotate
    done = job(
        order.source,
        output=order.target,
        settings=order.settings,
        results=order.results,
        sheet=order.sheet,
        overwrite=order.overwrite,
    )
    return done.results, done.plans


def _outcome(order: Order, results: Results, plans: tuple[WallPlan, ...]) -> Outcome:
    """Sum a drawing up; the results document itself stays in its file."""
    placed = _each_once(results)
    joints = [joint for _, joint in placed]
    lintels = [o.lintel for wall in results.walls for o in wall.openings if o.lintel is not None]
    standing = [f for f in results.all_findings if f.waived is None]
    required = [f for f in standing if f.severity == "required"]
    gravest = sorted(standing, key=_gravity)[:1]
    doubts = [f"{plan.wall.tag}: {doubt}" for plan in plans for doubt in plan.wall.doubts]
    worst = [f.message for f in gravest if required or not doubts] or doubts[:1]
    return Outcome(
        order.name,
        State.VIOLATIONS if results.violated else State.CLEAN,
        walls=len(results.walls),
        joints=len(joints),
        joint_ft=sum(_length(joint.path) for joint in joints) / 12,
        slip_planes=sum(len(joint.slip_planes) for joint in joints),
        lintels=len(lintels),
        lintel_ft=sum(lintel.x1_in - lintel.x0_in for lintel in lintels) / 12,
        steel_ft=sum(_length(bar.path) for plan in plans for bar in plan.bars) / 12,
        violations=len(required),
        remarks=len(standing) - len(required) + len(doubts),
        worst="".join(worst),
        missed=sum(_missed(f) for f in gravest),
        thumbnail=thumbnail(results.walls),
        schedule=tuple((tag, j.number, j.x_in, j.kind, j.type or "", j.reason) for tag, j in placed),
    )


def _gravity(finding: FindingEntry) -> tuple[bool, float]:
    """Sort key: required ones first, and of those what misses its limit by the largest part."""
    return finding.severity != "required", -_missed(finding)


def _missed(finding: FindingEntry) -> float:
    """Return by what part of its limit a finding misses it; 0 where it has no measure."""
    measured, limit = finding.measured_in, finding.limit_in
    return abs(measured - limit) / limit if measured is not None and limit else 0.0


def _each_once(results: Results) -> list[tuple[str, JointEntry]]:
    """Return every joint with its wall's tag; one that two adjoining walls share counts for the first."""
    seen: set[str] = set()
    found = []
    for wall in results.walls:
        for joint in wall.joints:
            if joint.handle not in seen:
                found.append((wall.tag, joint))
            seen |= {joint.handle} - {""}
    return found


def _length(path: list[tuple[float, float]] | tuple[tuple[float, float], ...]) -> float:
    return sum(math.dist(a, b) for a, b in pairwise(path))
