"""The part of the record that geometry can't show, in words on the sheet: it survives every save.

Issues, stations without a joint, numbers that are gone and superseded joints are listed in a note on the
layer that does not plot. It is read only where the extended data was lost.

    RECORD OF JOINTS (DOES NOT PLOT; KEEP IT)
    ISSUED 2026-12-01, 4 JOINTS: Bid set
    W1: NO JOINT AT 368 IN. (WAS 2)
    W1: NUMBER 2 IS NOT USED AGAIN
    W1: SUPERSEDED IS 200,0 TO 200,192 IN.
    W1: ISSUED ARE 1 AT 144, 3 AT 592 IN.
    W1: BASIS 5A02C1F7
"""

from __future__ import annotations

import contextlib
import re
from collections import defaultdict
from collections.abc import Iterator, Sequence
from typing import Final

from perpend.decisions.joint_record import (
    Issue,
    JointRecord,
    NoJoint,
    RecordedJoint,
    Superseded,
    WallRecord,
)
from perpend.dxf.own_plate import NOTE_TITLE
from perpend.dxf.plate_tally import TALLY_LINE

_ISSUE: Final = re.compile(r"ISSUED (\S+), (\d+) JOINTS?: (.*)")
_STATES: Final = ("issued", "placed", "held", "drawn", "found")
_IN_A_LINE: Final = 6
_JOINTS: Final = re.compile(rf"(.*): ({'|'.join(_STATES).upper()}) ARE (\w+ AT .*) IN\.")
_BASIS: Final = re.compile(r"(.*): BASIS ([0-9A-F]{8})")
_NONE: Final = re.compile(r"(.*): NO JOINT AT ([-\d.e]+) IN\.(?: \(WAS (\S+)\))?")
_GONE: Final = re.compile(r"(.*): NUMBER (\S+) IS NOT USED AGAIN")
_SUPERSEDED: Final = re.compile(r"(.*): SUPERSEDED IS (.*) IN\.")


def note_lines(record: JointRecord) -> list[str]:
    """Return the lines of the note, without its title; none where geometry and tags say it all.

    Args:
        record: of the drawing as it is now.
    """
    return [line.replace("%%", "% %") for line in _lines(record)]


def _lines(record: JointRecord) -> Iterator[str]:
    if (
        not any((wall.no_joint, wall.gone, wall.superseded) != ((), (), ()) for wall in record.walls)
        and not record.issues
    ):
        return
    for issue in record.issues:
        noun = "JOINT" if issue.joints == 1 else "JOINTS"
        yield f"ISSUED {issue.day}, {issue.joints} {noun}: {issue.name}"
    for wall in record.walls:
        for none in wall.no_joint:
            was = f" (WAS {none.label})" if none.label else ""
            yield f"{wall.tag}: NO JOINT AT {_number(none.x_in)} IN.{was}"
        for label in wall.gone:
            yield f"{wall.tag}: NUMBER {label} IS NOT USED AGAIN"
        for old in wall.superseded:
            path = " TO ".join(f"{_number(x)},{_number(y)}" for x, y in old.path)
            yield f"{wall.tag}: SUPERSEDED IS {path} IN."
        for state in _STATES:
            joints = [f"{j.label} AT {_number(j.path[0][0])}" for j in wall.joints if j.state == state]
            for start in range(0, len(joints), _IN_A_LINE):
                yield f"{wall.tag}: {state.upper()} ARE {', '.join(joints[start : start + _IN_A_LINE])} IN."
        if wall.basis and wall.joints:
            yield f"{wall.tag}: BASIS {wall.basis}"


def _number(value: float) -> str:
    return f"{value:.6f}".rstrip("0").rstrip(".")


def is_all_ours(lines: Sequence[str]) -> bool:
    """Say whether every line of a note is one that we write: nobody added any."""
    shapes = (_ISSUE, _NONE, _GONE, _SUPERSEDED, _JOINTS, _BASIS, TALLY_LINE)
    said = (" ".join(line.split()) for line in lines)
    return all(
        not line or line == NOTE_TITLE or any(shape.fullmatch(line) for shape in shapes) for line in said
    )


def read_note(lines: Sequence[str]) -> JointRecord:
    """Read a note back; a line that is none of ours is passed over, one that is there twice counts once.

    Args:
        lines: of every text on our layers, in any order.
    """
    issues: dict[Issue, None] = {}
    none: dict[str, dict[float, NoJoint]] = defaultdict(dict)
    gone: dict[str, dict[str, None]] = defaultdict(dict)
    superseded: dict[str, dict[str, Superseded]] = defaultdict(dict)
    joints: dict[str, dict[str, RecordedJoint]] = defaultdict(dict)
    basis: dict[str, str] = {}
    for line in dict.fromkeys(" ".join(line.split()) for line in lines):
        with contextlib.suppress(ValueError):
            if match := _ISSUE.fullmatch(line):
                issues[Issue(match[3], match[1], int(match[2]))] = None
            elif match := _NONE.fullmatch(line):
                none[match[1]][float(match[2])] = NoJoint(float(match[2]), match[3] or "")
            elif match := _GONE.fullmatch(line):
                gone[match[1]][match[2]] = None
            elif match := _SUPERSEDED.fullmatch(line):
                superseded[match[1]][match[2]] = Superseded("-", _path(match[2]))
            elif match := _BASIS.fullmatch(line):
                basis[match[1]] = match[2]
            elif match := _JOINTS.fullmatch(line):
                for label, x in (part.split(" AT ") for part in match[3].split(", ")):
                    foot = (float(x), 0.0)
                    joints[match[1]][label] = RecordedJoint(label, match[2].lower(), (foot, foot))
    walls = tuple(
        WallRecord(
            tag,
            "-",
            tuple(joints[tag].values()),
            tuple(gone[tag]),
            tuple(none[tag].values()),
            tuple(superseded[tag].values()),
            basis.get(tag, ""),
        )
        for tag in dict.fromkeys([*none, *gone, *superseded, *joints])
    )
    return JointRecord("", tuple(sorted(issues, key=lambda issue: issue.day)), walls)


def _path(text: str) -> tuple[tuple[float, float], ...]:
    pairs = (pair.split(",") for pair in text.split(" TO "))
    return tuple((float(x), float(y)) for x, y in pairs)
