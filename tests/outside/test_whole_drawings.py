"""The annotated samples as ezdxf and GDAL see them: nothing of the original lost, all of ours there."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable

import ezdxf
import numpy as np
import pyogrio
import pytest
import shapely
from ezdxf.document import Drawing
from ezdxf.entities import DXFEntity
from ezdxf.lldxf.tagwriter import TagCollector

from cli.harness import perpend
from outside.annotated import APPLICATION, NAMES, Annotated, annotated

OURS = "A-ELEV-JNTC"
ADVICE = {"shopfront-south.dxf": [("width-on-boundary", "N1")]}
"""N1 is exactly 6'-0" wide, which falls in neither printed branch: remarked on, and no violation."""


@pytest.fixture(params=NAMES)
def sample(request: pytest.FixtureRequest) -> Annotated:
    return annotated(request.param)


def tags_of(entity: DXFEntity) -> list[tuple[int, object]]:
    return [(tag.code, tag.value) for tag in TagCollector.dxftags(entity)]


def ours(doc: Drawing) -> Iterable[DXFEntity]:
    return (entity for entity in doc.modelspace() if entity.has_xdata(APPLICATION))


def test_the_sample_is_done_and_clean(sample: Annotated) -> None:
    assert (sample.ending.code, sample.ending.err) == (0, "")
    told = [(f.code, f.opening) for f in sample.results.all_findings]
    assert told == ADVICE.get(sample.results.drawing.path.rsplit("/", 1)[-1], [])
    checks = sample.results.checks
    assert checks.ran > checks.passed > 0 if told else checks.ran == checks.passed > 0


def test_the_input_is_as_it_was(sample: Annotated) -> None:
    now = hashlib.sha256(sample.source.read_bytes()).hexdigest()
    assert now == sample.results.drawing.sha256


def test_ezdxf_has_no_complaint(sample: Annotated) -> None:
    auditor = ezdxf.readfile(sample.output).audit()  # on a copy of its own: an audit mends what it finds
    assert (auditor.errors, auditor.fixes) == ([], [])


def test_every_entity_of_the_original_is_there_unchanged(sample: Annotated) -> None:
    """By handle, tag by tag, in every layout and block."""
    after = sample.after.entitydb
    counted = 0
    for layout in [*sample.before.layouts, *sample.before.blocks]:
        for entity in layout:
            twin = after.get(entity.dxf.handle)
            assert twin is not None, f"{entity} is gone"
            assert tags_of(twin) == tags_of(entity), f"{entity} was changed"
            counted += 1
    assert counted > 100


def test_everything_added_is_marked_and_on_our_layers(sample: Annotated) -> None:
    known = {entity.dxf.handle for entity in sample.before.modelspace()}
    added = [entity for entity in sample.after.modelspace() if entity.dxf.handle not in known]
    assert added
    assert all(entity.has_xdata(APPLICATION) for entity in added)
    assert all(entity.dxf.layer == OURS or entity.dxf.layer.startswith(f"{OURS}-") for entity in added)
    assert {e.dxftype() for e in added} <= {"LINE", "LWPOLYLINE", "TEXT", "DIMENSION", "MTEXT", "INSERT"}
    written = sample.results.written
    assert written is not None
    assert written.entities == len(added)


def test_it_was_inserted_not_saved(sample: Annotated) -> None:
    written = sample.results.written
    assert written is not None
    assert (written.method, written.changes) == ("inserted", [])


def test_gdal_sees_every_joint_where_the_results_say(sample: Annotated) -> None:
    lines = _gdal(sample, f"Layer = '{OURS}'")
    drawn = [shapely.get_coordinates(g) for g in lines if shapely.get_type_id(g) == 1]
    for number, wall in enumerate(sample.results.walls):
        for joint in wall.joints:
            wanted = np.array([sample.on_sheet(number, point) for point in joint.path])
            assert any(_covers(line, wanted) for line in drawn), f"{wall.tag} joint {joint.number}"
    assert sum(len(wall.joints) for wall in sample.results.walls) > 0


def _covers(line: np.ndarray, wanted: np.ndarray) -> bool:
    """Say whether a drawn line runs through all the corners of a joint and from its foot to its head."""
    drawn = shapely.LineString(line)
    path = shapely.LineString(wanted)
    return bool(shapely.hausdorff_distance(drawn, path) < 1 / 64)


def _gdal(sample: Annotated, where: str) -> np.ndarray:
    _, _, geometry, _ = pyogrio.raw.read(sample.output, columns=[], where=where)
    return shapely.from_wkb(geometry)


def test_gdal_reads_our_texts(sample: Annotated) -> None:
    meta, _, _, (texts,) = pyogrio.raw.read(
        sample.output, columns=["Text"], where=f"Layer LIKE '{OURS}%' AND Text IS NOT NULL"
    )
    assert list(meta["fields"]) == ["Text"]
    read = " ".join(str(text) for text in texts)
    blocks = [block for block in sample.after.blocks if block.name.startswith("PERPEND-")]
    entities = [*ours(sample.after), *(entity for block in blocks for entity in block)]
    written = [entity.dxf.text for entity in entities if entity.dxftype() == "TEXT"]
    assert len(written) > 10
    for text in written:
        assert text in read
    for word in ("CONTROL JOINT NOTES", "CONTROL JOINT SCHEDULE", "REVIEW BY ENGINEER OF RECORD"):
        assert word in read.upper()


def test_gdal_sees_all_of_the_original_as_before(sample: Annotated) -> None:
    before = _features(sample.source, "1 = 1")
    after = _features(sample.output, f"Layer NOT LIKE '{OURS}%'")
    assert after == before


def _features(path: object, where: str) -> list[tuple[str, str, bytes]]:
    _, _, geometry, (layers, handles) = pyogrio.raw.read(path, columns=["Layer", "EntityHandle"], where=where)
    return sorted(zip(layers, handles, (bytes(g) for g in geometry), strict=True))


def test_a_second_run_on_the_output_changes_nothing(sample: Annotated) -> None:
    again = sample.output.with_name(f"again-{sample.output.name}")
    results = again.with_suffix(".json")
    settings = sample.source.with_name("perpend.toml")
    ending = perpend("annotate", sample.output, "-o", again, "--results", results, "--settings", settings)
    assert ending.code == 0
    assert again.read_bytes() == sample.output.read_bytes()
    second = type(sample.results).from_json(results.read_text(encoding="utf-8"))
    assert second.walls == sample.results.walls
