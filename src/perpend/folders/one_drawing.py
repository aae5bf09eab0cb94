"""One drawing, in a worker process: done within its limits, and told in a small outcome."""

from __future__ import annotations

import contextlib
import math
from collections.abc import Callable, Iterable
from dataclasses import replace
from functools import partial
from itertools import pairwise
from typing import TYPE_CHECKING

from perpend.clean_text import quoted
from perpend.errors import InputError, InternalError, NoElevationError, PerpendError
from perpend.folders.orders import Order, Outcome, State
from perpend.folders.resource_limits import confined
from perpend.folders.run_record import fingerprint, hash_of
from perpend.folders.thumbnail import thumbnail
from perpend.jobs.blame import drawing_to_blame

if TYPE_CHECKING:
    from perpend.jobs.request import DrawingOutcome
    from perpend.model import WallPlan
    from perpend.report import Results
    from perpend.report.results_document import FindingEntry, JointEntry


def do_order(order: Order) -> Outcome:
    """Do one drawing, whatever happens.

    Args:
        order: the drawing and where its files go.

    Returns:
        The outcome; a failure is an outcome with a sentence, never an exception.
    """
    try:
        job = _loaded(order)
        with drawing_to_blame(order.source), confined(order.seconds, order.megabytes):
            return _do(order, job)
    except InternalError as error:
        return Outcome(order.name, State.FAULT, str(error))
    except NoElevationError as error:
        return _without_elevation(order, error)
    except PerpendError as error:
        return Outcome(order.name, State.REFUSED, _beside_its_name(order, str(error)))
    except OSError as error:
        place = error.filename or order.source
        reason = f"{place} can't be read or written ({error.strerror or error}): check that it is there."
        return Outcome(order.name, State.REFUSED, reason)
    except Exception as error:
        return Outcome(order.name, State.FAULT, f"{type(error).__name__}: {error}")


def _beside_its_name(order: Order, sentence: str) -> str:
    """Return a sentence as it reads beside the drawing's name: "it is empty", not its path once more."""
    path, told, said = sentence.partition(str(order.source))
    if path or not told or said[:1] not in (" ", ":"):
        return sentence
    return f"it{said}" if said.startswith(" ") else said[1:].lstrip()


def _loaded(order: Order) -> Callable[[], DrawingOutcome]:
    """Return the job of an order, and load what it needs, and no more.

    On a busy machine, or from a slow disk, loading takes seconds; done before the limits are set it costs
    no drawing its time.
    """
    if order.command == "check":
        from perpend.jobs.check import check as job
    else:
        from perpend.jobs.annotate import annotate as job
    return partial(job, order.request)


def _without_elevation(order: Order, error: NoElevationError) -> Outcome:
    """Tell of a drawing that is no elevation, unless an earlier run has seen one in it."""
    sentence = _beside_its_name(order, str(error))
    if not order.target.exists():
        return Outcome(order.name, State.NO_ELEVATION, sentence)
    return Outcome(
        order.name,
        State.REFUSED,
        f"{sentence} There were walls in it when {order.target.name} was written: put them back, or move "
        "that file away.",
    )


def _do(order: Order, job: Callable[[], DrawingOutcome]) -> Outcome:
    mark = _mark(order)
    standing = _standing(order, mark)
    if standing is not None:
        return standing
    _refuse_work_of_others(order)
    order.target.parent.mkdir(parents=True, exist_ok=True)
    done = job()
    return replace(_outcome(order, done.results, done.plans), fingerprint=mark, written=hash_of(order.target))


def _mark(order: Order) -> str:
    """Return the fingerprint of an order as all that decides its outcome is now."""
    from perpend.settings import book_of, load_settings

    settings = load_settings(order.settings, order.source)
    return fingerprint(order, settings.sha256, book_of(settings).sha256)


def _standing(order: Order, mark: str) -> Outcome | None:
    """Return what refers to the outcome of the earlier run, if that still holds and its files are there."""
    if mark != order.known or not all(p.exists() for p in (order.target, order.results, order.sheet)):
        return None
    worked_in = order.written not in ("", hash_of(order.target))
    if worked_in and order.overwrite:
        return None
    return Outcome(order.name, State.CLEAN, fingerprint=mark, reused=True, worked_in=worked_in)


def look_up(order: Order) -> Outcome | None:
    """Say whether the outcome of an earlier run still holds; the drawing is not done.

    Args:
        order: the drawing, with what is known of that run.

    Returns:
        What refers to the earlier outcome; None where it does not hold, or nothing is known.
    """
    if not order.known:
        return None
    with contextlib.suppress(PerpendError, OSError):
        return _standing(order, _mark(order))
    return None


def _refuse_work_of_others(order: Order) -> None:
    """Keep an output that is not, to the byte, what perpend wrote, as the jobs do, with the cures of a batch.

    Raises:
        InputError: somebody has worked in it, or it was not written by perpend.
    """
    from perpend.jobs.output_kinds import DRAWING, RESULTS, SHEET
    from perpend.jobs.output_places import holds_work

    if order.overwrite:
        return
    for path, kind in ((order.target, DRAWING), (order.results, RESULTS), (order.sheet, SHEET)):
        if holds_work(path, kind):
            to_keep = f"put it in the place of {quoted(order.source.name)} to keep what was added to it, "
            raise InputError(
                f"{quoted(path.name)} is not as perpend wrote it (somebody has worked in it, or made it): it "
                f"is kept, and the drawing is not done. Move it away, {to_keep if kind is DRAWING else ''}or "
                "pass --overwrite to replace it."
            )


def _outcome(order: Order, results: Results, plans: tuple[WallPlan, ...]) -> Outcome:
    """Sum a drawing up; the results document itself stays in its file."""
    from perpend.report.csv_tables import finding_rows
    from perpend.report.lengths import Lengths

    placed = _each_once(results)
    joints = [joint for _, joint in placed]
    openings = [o for wall in results.walls for o in wall.openings]
    drawn = order.command == "annotate"  # a check assumes lintels where it judges, and draws marks alone
    lintels = [o.lintel for o in openings if drawn and o.lintel is not None]
    bars = [bar for plan in plans if drawn for bar in plan.bars]
    printed = Lengths.of(results).plain
    standing = [f for f in results.all_findings if f.waived is None]
    required = [f for f in standing if f.severity == "required"]
    gravest = sorted(standing, key=_gravity)[:1]
    doubts = _doubts(results, plans)
    worst = [f.message for f in gravest if required or not doubts] or doubts[:1]
    return Outcome(
        order.name,
        State.VIOLATIONS if results.violated else State.CLEAN,
        metric=results.drawing.metric,
        walls=len(results.walls),
        joints=len(joints),
        joint_in=sum(_length(joint.path) for joint in joints),
        slip_planes=sum(len(joint.slip_planes) for joint in joints),
        lintels=len(lintels),
        lintel_in=sum(lintel.x1_in - lintel.x0_in for lintel in lintels),
        steel_in=sum(_length(bar.path) for bar in bars),
        violations=len(required),
        remarks=len(standing) - len(required) + len(doubts),
        doubts=len(doubts),
        worst="".join(worst),
        doubt="".join(doubts[:1]),
        grave_doubt=results.needs_look,
        missed=sum(_missed(f) for f in gravest),
        thumbnail=thumbnail(results.walls),
        schedule=tuple(
            (tag, j.mark, j.x_in, printed(j.x_in), j.kind, j.type or "", j.reason) for tag, j in placed
        ),
        findings=tuple(finding_rows(results, order.name)),
    )


def _doubts(results: Results, plans: Iterable[WallPlan]) -> list[str]:
    """Return what may have been read wrongly, the gravest first: of the walls, and of the drawing as a whole.

    What a wall's doubt says already is not repeated for the drawing.
    """
    of_walls = [doubt for plan in plans for doubt in plan.wall.doubts]
    of_walls.sort(key=lambda doubt: not doubt.is_grave)
    known = {doubt.code for doubt in of_walls}
    grave = [n.words for n in results.notices if n.severity == "grave-doubt" and n.code not in known]
    said = [(doubt.is_grave, f"{doubt.place.wall}: {doubt.words}") for doubt in of_walls]
    return [words for _, words in sorted([(True, words) for words in grave] + said, key=lambda d: not d[0])]


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
