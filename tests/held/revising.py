"""A drawing that goes through an office: annotated, revised by hand in a CAD program, annotated again."""

from __future__ import annotations

from pathlib import Path

import ezdxf
from ezdxf.document import Drawing
from ezdxf.entities import DXFGraphic, LWPolyline

import perpend
from perpend.jobs.request import DrawingOutcome
from perpend.report import Results

WALL, OPENING, TAGS, JOINTS = "A-ELEV-WALL", "A-ELEV-OPNG", "A-ELEV-TEXT", "A-ELEV-JNTC"
AT = (1000.0, 500.0)
"""Left end and bottom of the wall in the drawing."""

Window = tuple[str, float, float, float, float]


def a_wall(
    length: float = 960.0,
    height: float = 192.0,
    windows: tuple[Window, ...] = (("A", 400.0, 48.0, 440.0, 96.0),),
    at: tuple[float, float] = AT,
    release: str = "R2010",
) -> Drawing:
    """Draw one wall, W1, with its windows (tag, x0, y0, x1, y1)."""
    doc = ezdxf.new(release, units=1)
    space = doc.modelspace()
    x, y = at
    corners = [(x, y), (x + length, y), (x + length, y + height), (x, y + height)]
    if release == "R12":
        space.add_polyline2d(corners, close=True, dxfattribs={"layer": WALL})
    else:
        space.add_lwpolyline(corners, close=True, dxfattribs={"layer": WALL})
    space.add_text("W1", height=9, dxfattribs={"layer": TAGS, "insert": (x + 20, y + 20)})
    for window in windows:
        add_window(doc, window, at)
    return doc


def add_window(doc: Drawing, window: Window, at: tuple[float, float] = AT) -> None:
    """Draw a window with its tag."""
    tag, x0, y0, x1, y1 = window
    x, y = at
    corners = [(x + x0, y + y0), (x + x1, y + y0), (x + x1, y + y1), (x + x0, y + y1)]
    space = doc.modelspace()
    if doc.dxfversion == "AC1009":
        space.add_polyline2d(corners, close=True, dxfattribs={"layer": OPENING})
    else:
        space.add_lwpolyline(corners, close=True, dxfattribs={"layer": OPENING})
    middle = (x + (x0 + x1) / 2 - 4, y + (y0 + y1) / 2)
    space.add_text(tag, height=6, dxfattribs={"layer": TAGS, "insert": middle})


def joints_in(doc: Drawing) -> dict[str, list[DXFGraphic]]:
    """Return the joint lines of ours by their number, such as ``1``, copies beside their originals."""
    found: dict[str, list[DXFGraphic]] = {}
    for entity in doc.modelspace().query("LWPOLYLINE POLYLINE LINE"):
        said = dict(
            str(tag.value).partition("=")[::2]
            for tag in (entity.get_xdata("PERPEND") if entity.has_xdata("PERPEND") else ())
        )
        if said.get("kind") == "joint":
            found.setdefault(said["number"].rpartition("-")[2], []).append(entity)
    return found


def stations(results: Results, tag: str = "W1") -> dict[str, float]:
    """Return where the joints of a wall stand, by their numbers."""
    wall = next(wall for wall in results.walls if wall.tag == tag)
    return {joint.mark: joint.x_in for joint in wall.joints}


def said(results: Results) -> list[tuple[str, str, float | None, float | None]]:
    """Return the decisions: code, number, from, to."""
    return [(d.code, d.number, d.from_in, d.to_in) for d in results.decisions]


def foot_of(entity: DXFGraphic) -> float:
    """Return the station of a joint line's foot in the wall."""
    assert isinstance(entity, LWPolyline)
    return float(min(entity.get_points("xy"), key=lambda p: p[1])[0]) - AT[0]


class Office:
    """A folder in which one drawing is revised."""

    def __init__(self, folder: Path, doc: Drawing, settings: str = "") -> None:
        self.folder, self.count = folder, 0
        self.path = folder / "south-0.dxf"
        doc.saveas(self.path)
        self.settings = folder / "perpend.toml"
        self.settings.write_text(settings, encoding="utf-8")

    def next(self) -> Path:
        """Return the place of the next state of the drawing."""
        self.count += 1
        return self.folder / f"south-{self.count}.dxf"

    def annotate(self, **options: object) -> Results:
        """Run annotate; what it writes is the drawing from then on."""
        return self.done(perpend.annotate(self.path, self.next(), **options))  # type: ignore[arg-type]

    def check(self, *, propose: bool = False) -> Results:
        """Run check; what it writes is the drawing from then on."""
        return self.done(perpend.check(self.path, self.next(), propose=propose))

    def done(self, outcome: DrawingOutcome) -> Results:
        self.path = outcome.output
        return outcome.results

    def open(self) -> Drawing:
        """Open the drawing in a CAD program."""
        return ezdxf.readfile(self.path)

    def save(self, doc: Drawing) -> None:
        """Save it there."""
        self.path = self.next()
        doc.saveas(self.path)

    def move(self, number: str, by: float) -> None:
        """Move a joint by hand."""
        doc = self.open()
        joints_in(doc)[number][0].translate(by, 0, 0)
        self.save(doc)

    def erase(self, number: str) -> None:
        """Delete a joint by hand."""
        doc = self.open()
        doc.modelspace().delete_entity(joints_in(doc)[number][0])
        self.save(doc)

    def copy(self, number: str, by: float) -> None:
        """Copy a joint by hand."""
        doc = self.open()
        copy = joints_in(doc)[number][0].copy()
        doc.modelspace().add_entity(copy)
        copy.translate(by, 0, 0)
        self.save(doc)
