"""Whatever an office does to a drawing between two runs: no decision is lost without being named.

A machine edits the drawing as a drafter would, by hand and in any order, runs `annotate` and `check` on it,
and keeps a list of its own of what was decided. After every run of `annotate`:

- what was moved or copied stands where it was put, or the run says what became of it;
- where a joint was deleted none is placed, or the run says why;
- once an issue is on record and as long as wall, openings and settings are what they were, nothing moves that
  nobody touched;
- a second run writes the same bytes, and `--clean` gives back what was there before ours.
"""

from __future__ import annotations

import itertools
import shutil
import tempfile
from pathlib import Path

import ezdxf
from ezdxf.document import Drawing
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, precondition, rule

import perpend
from held.revising import AT, JOINTS, OPENING, TAGS, WALL, a_wall, add_window, foot_of, joints_in
from perpend.dxf.insert.take_out import strip_ours
from perpend.dxf.own_plate import read_own_plate
from perpend.dxf.xdata import REVIEW_APPLICATION, own_kind
from perpend.report import Results

STEPS = st.sampled_from([-40.0, -24.0, -8.0, 8.0, 24.0, 56.0, 300.0])
WHICH = st.integers(0, 8)
SETTINGS = ("", "[defaults]\nmodule = 8\n", '[defaults]\nspacing_cap = "20\'"\n', 'renumber = "never"\n')
EDITS = ("move", "move", "copy", "delete", "stretch", "relayer")
NEAR = 1 / 8
EXCUSES = ("released", "doubled", "off-wall", "wall-gone", "redrawn")
"""What a run may say of a joint that it does not hold where a person put it."""


def near(x: float, others: list[float]) -> bool:
    return any(abs(x - other) <= NEAR for other in others)


class Revisions(RuleBasedStateMachine):
    """One drawing, and what was decided about its joints."""

    @initialize(release=st.sampled_from(["R2000", "R2010", "R2018"]), issued=st.booleans())
    def draw(self, release: str, issued: bool) -> None:
        self.folder = Path(tempfile.mkdtemp())
        self.names = itertools.count()
        self.path = self.folder / "south.dxf"
        a_wall(release=release).saveas(self.path)
        self.config = self.folder / "perpend.toml"
        self.config.write_text("", encoding="utf-8")
        self.issue = "Bid set" if issued else ""
        self.doc: Drawing | None = None
        self.length = 960.0
        self.windows: list[float] = []
        self.held: list[float] = []
        self.barred: list[float] = []
        self.put: list[float] = []
        self.gone: list[float] = []
        self.stood: list[float] = []
        self.changed = False
        self.homes: dict[str, float] = {}
        self.annotate()

    def teardown(self) -> None:
        if hasattr(self, "folder"):
            shutil.rmtree(self.folder)

    # by hand

    def _open(self) -> Drawing:
        if self.doc is None:
            self.doc = ezdxf.readfile(self.path)
        return self.doc

    def _joint(self, which: int) -> ezdxf.entities.DXFGraphic | None:
        lines = [line for lines in joints_in(self._open()).values() for line in lines]
        lines.sort(key=foot_of)
        return lines[which % len(lines)] if lines else None

    def _left(self, line: ezdxf.entities.DXFGraphic) -> None:
        """Note that nothing stands where a joint stood."""
        x = foot_of(line)
        self.stood = [other for other in self.stood if abs(other - x) > NEAR]
        self.held = [other for other in self.held if abs(other - x) > NEAR]
        if near(x, self.put):
            self.put = [other for other in self.put if abs(other - x) > NEAR]
        else:
            self.gone.append(x)

    @rule(edits=st.lists(st.tuples(st.sampled_from(EDITS), WHICH, STEPS), min_size=1, max_size=4))
    def revise(self, edits: list[tuple[str, int, float]]) -> None:
        """Do several things to the joints, and run annotate: what most revisions are."""
        for what, which, by in edits:
            if what in ("delete", "relayer"):
                getattr(self, what)(which)
            else:
                getattr(self, what)(which, by)
        self.annotate()

    @rule(which=WHICH, by=STEPS)
    def move(self, which: int, by: float) -> None:
        line = self._joint(which)
        if line is not None:
            home = self.homes.setdefault(line.dxf.handle, foot_of(line))
            self._left(line)
            line.translate(by, 0, 0)
            if abs(foot_of(line) - home) <= NEAR:  # one that is back where it was drawn was not moved
                self.gone = [x for x in self.gone if abs(x - home) > NEAR]
            else:
                self.put.append(foot_of(line))

    @rule(which=WHICH, by=STEPS)
    def copy(self, which: int, by: float) -> None:
        line = self._joint(which)
        if line is not None:
            copy = line.copy()
            self._open().modelspace().add_entity(copy)
            copy.translate(by, 0, 0)
            self.put.append(foot_of(copy))

    @rule(which=WHICH)
    def delete(self, which: int) -> None:
        line = self._joint(which)
        if line is not None:
            self._left(line)
            self._open().modelspace().delete_entity(line)

    @rule(which=WHICH, by=st.sampled_from([-64.0, -24.0, 30.0]))
    def stretch(self, which: int, by: float) -> None:
        line = self._joint(which)
        if line is not None:
            *rest, (x, y) = line.get_points("xy")  # type: ignore[attr-defined]
            line.set_points([*rest, (x, y + max(by, -64.0))], format="xy")  # type: ignore[attr-defined]
            self.put.append(foot_of(line))

    @rule(which=WHICH)
    def relayer(self, which: int) -> None:
        line = self._joint(which)
        if line is not None:
            line.dxf.layer = "0"
            self.put.append(foot_of(line))

    @rule(x=st.sampled_from([200.0, 336.0, 600.0, 904.0]))
    def add_by_hand(self, x: float) -> None:
        ends = (AT[0] + x, AT[1]), (AT[0] + x, AT[1] + 192)
        self._open().modelspace().add_line(*ends, dxfattribs={"layer": JOINTS})

    @rule(
        which=st.integers(0, 80),
        dx=st.sampled_from([-40.0, 0.0, 24.0]),
        dy=st.sampled_from([-20.0, 12.0, 30.0]),
    )
    def move_label(self, which: int, dx: float, dy: float) -> None:
        """Move a label, a list, a bar: the run says what became of it, and a second one changes nothing."""
        ours = [e for e in self._open().modelspace() if own_kind(e) not in ("", "joint")]
        if ours:
            ours[which % len(ours)].translate(dx, dy, 0)

    @precondition(lambda self: len(self.windows) < 2)
    @rule(x=st.sampled_from([100.0, 248.0, 560.0, 720.0]))
    def add_window(self, x: float) -> None:
        if x not in self.windows:
            self.windows.append(x)
            add_window(self._open(), (f"N{len(self.windows)}", x, 48.0, x + 40, 96.0))
            self.changed = True

    @rule(by=st.sampled_from([-24.0, 8.0, 32.0]), wider=st.booleans())
    def change_window(self, by: float, wider: bool) -> None:
        """Move a window with its tag, or make it wider."""
        space = self._open().modelspace()
        window = next(e for e in space.query("LWPOLYLINE") if e.dxf.layer == OPENING)
        points = list(window.get_points("xy"))
        right = max(x for x, _ in points)
        if not wider:
            window.translate(by, 0, 0)
            tag = next(e for e in space.query("TEXT") if e.dxf.layer == TAGS and e.dxf.text == "A")
            tag.translate(by, 0, 0)
        elif by > 0:
            window.set_points([(x + by if x == right else x, y) for x, y in points], format="xy")
        self.changed = True

    @rule(by=st.sampled_from([-16.0, 24.0]), end=st.booleans())
    def change_wall(self, by: float, end: bool) -> None:
        """Change its height, or its right end."""
        wall = next(e for e in self._open().modelspace().query("LWPOLYLINE") if e.dxf.layer == WALL)
        points = list(wall.get_points("xy"))
        right, top = max(x for x, _ in points), max(y for _, y in points)
        if top + by < AT[1] + 160 or right + by < AT[0] + 900:
            return
        changed = [
            (x + by if end and x == right else x, y + by if not end and y == top else y) for x, y in points
        ]
        wall.set_points(changed, format="xy")
        self.changed = True
        self.length = max(x for x, _ in changed) - AT[0]

    @rule(text=st.sampled_from(SETTINGS))
    def set_up(self, text: str) -> None:
        self.config.write_text(text, encoding="utf-8")
        self.changed = True

    # runs

    def _saved(self) -> Path:
        if self.doc is not None:
            self.path = self._new()
            self.doc.saveas(self.path)
            self.doc = None
        return self.path

    def _new(self) -> Path:
        return self.folder / f"south-{next(self.names)}.dxf"

    @rule()
    def issue_it(self) -> None:
        self.issue = "Addendum"
        self.annotate()

    @rule()
    def annotate(self) -> None:
        before = self._saved()
        results = perpend.annotate(before, self._new(), issue=self.issue).results
        issuing, self.issue, self.homes = bool(self.issue), "", {}
        if not self.changed:
            standing = [joint.x_in for wall in results.walls for joint in wall.joints]
            for x in self.stood:
                assert near(x, standing), f"the joint at {x} of an issued drawing was moved"
        self.changed = False
        ours = [joint.x_in for wall in results.walls for joint in wall.joints if joint.state != "existing"]
        self.stood = ours if issuing else [x for x in ours if near(x, self.stood)]
        out = Path(results.written.path)  # type: ignore[union-attr]
        self._compare(results)
        again = perpend.annotate(out, self._new()).output
        assert again.read_bytes() == out.read_bytes(), "a second run changes nothing"
        cleaned = perpend.clean(out, self._new())
        assert cleaned.exact
        assert cleaned.output.read_bytes() == self._without_ours(before)
        self.path = out

    @rule()
    def check(self) -> None:
        self.path = perpend.check(self._saved(), self._new()).output

    @rule()
    def accept(self) -> None:
        checked = perpend.check(self._saved(), self._new(), propose=True)
        proposed = [p for wall in checked.results.walls for p in wall.proposed if p.change != "kept"]
        self.path = checked.output
        if proposed:
            results = perpend.annotate(self.path, self._new(), accept=["all"]).results
            self.homes = {}
            standing = [joint.x_in for wall in results.walls for joint in wall.joints]
            for entry in proposed:
                if entry.change in ("moved", "added", "redrawn"):
                    told = [
                        d for d in results.decisions if d.to_in is not None and near(d.to_in, [entry.x_in])
                    ]
                    assert near(entry.x_in, standing) or told
            # a proposal overrules what was moved since, so that the list starts anew
            self.held = [joint.x_in for wall in results.walls for joint in wall.joints if joint.held]
            self.barred, self.put, self.gone, self.stood = [], [], [], []
            self.path = Path(results.written.path)  # type: ignore[union-attr]

    @rule()
    def clean(self) -> None:
        self.path = perpend.clean(self._saved(), self._new()).output
        self.held, self.barred, self.put, self.gone, self.stood = [], [], [], [], []
        self.annotate()

    def _without_ours(self, path: Path) -> bytes:
        data = strip_ours(path.read_bytes(), REVIEW_APPLICATION).data
        plate = read_own_plate(ezdxf.readfile(path), str(path))
        return strip_ours(data, copies={j.handle for j in plate.joints if j.is_copy}).data

    def _compare(self, results: Results) -> None:
        joints = [joint for wall in results.walls for joint in wall.joints]
        standing = [joint.x_in for joint in joints]
        hand = [joint.x_in for joint in joints if joint.held or joint.state == "existing"]
        told = [x for d in results.decisions for x in (d.from_in, d.to_in) if x is not None]
        excused = [
            x for d in results.decisions if d.code in EXCUSES for x in (d.from_in, d.to_in) if x is not None
        ]
        lost_lines = any(d.code == "off-wall" for d in results.decisions)
        for x in {*self.put, *self.held}:
            inside = -NEAR <= x <= self.length + NEAR
            assert near(x, hand) or near(x, excused) or (not inside and lost_lines), f"{x} is not held"
        for x in {*self.gone, *self.barred}:
            if near(x, standing) and not near(x, hand):
                raise AssertionError(f"a joint is placed at {x} again")
            assert near(x, told) or near(x, hand), f"the station {x} is lost silently"
        self.held = [joint.x_in for joint in joints if joint.held]
        kept = {x for x in (*self.gone, *self.barred) if not near(x, hand)}
        released = [d.from_in for d in results.decisions if d.code == "released" and d.from_in is not None]
        self.barred = [x for x in kept if not near(x, released)]
        self.put, self.gone = [], []

    @invariant()
    def nothing_of_the_drafter_is_lost(self) -> None:
        """The wall and its windows are in the drawing, whatever was run."""
        if hasattr(self, "path") and self.doc is None:
            space = ezdxf.readfile(self.path).modelspace()
            assert len(space.query(f'LWPOLYLINE[layer=="{WALL}"]')) == 1


Revisions.TestCase.settings = settings(
    max_examples=15,
    stateful_step_count=10,
    deadline=None,
    suppress_health_check=list(HealthCheck),
    print_blob=True,
)
TestRevisions = Revisions.TestCase
