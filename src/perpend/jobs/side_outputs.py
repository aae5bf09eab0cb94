"""What every job that writes a drawing writes beside it, and how it tells of it."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from pathlib import Path

from perpend.drawing import Document, DraftingReport
from perpend.dxf.insert.drawing_writer import WriteReport
from perpend.errors import InputError
from perpend.jobs.output_kinds import marked_picture
from perpend.jobs.staging import write_text
from perpend.model import WallPlan
from perpend.report import Results, WrittenEntry


def write_sides(
    where: Mapping[str, Path], document: Results, plans: Sequence[WallPlan], picture: bytes
) -> None:
    """Write what goes beside a drawing.

    Args:
        where: by option, where to write.
        document: the results document.
        plans: the walls' plans, in the order of ``document.walls``.
        picture: the picture, if one is asked for.
    """
    if "--results" in where:
        write_text(where["--results"], document.to_json())
    if "--sheet" in where:
        from perpend.report.sheet import render_sheet

        write_text(where["--sheet"], render_sheet(document, plans))
    if "--sarif" in where:
        from perpend.report.sarif import sarif_text

        write_text(where["--sarif"], sarif_text(document))
    if "--csv" in where:
        from perpend.report.csv_tables import findings_csv

        write_text(where["--csv"], findings_csv(document), table=True)
    if "--picture" in where:
        where["--picture"].write_bytes(marked_picture(picture))


def picture_maker(picture: Path) -> Callable[[Document, Path, str | None], bytes]:
    """Return what draws pictures; its packages come with the extra ``picture`` alone.

    Raises:
        InputError: the packages are not installed, or there is no such kind of picture.
    """
    try:
        from perpend.drawing.picture import KINDS, picture_of
    except ImportError as error:
        raise InputError(
            f"A picture needs a package that is not installed ({error.name}): install perpend[picture]."
        ) from None
    if picture.suffix.lower() not in KINDS:
        raise InputError(f"{picture.name} is no picture that can be drawn: name it .svg or .png.")
    return picture_of


def written_entry(
    target: Path, written: WriteReport, drafted: DraftingReport, layer_prefix: str
) -> WrittenEntry:
    """Tell how a drawing was written, what was drawn in it, and which layers had to take another name."""
    return WrittenEntry.of(
        written,
        path=str(target),
        entities=written.added_entities,
        pieces=dict(sorted(drafted.entities.items())),
        remarks=[*drafted.remarks, *_renamed(drafted.layers, layer_prefix)],
    )


def _renamed(layers: Iterable[str], prefix: str) -> Iterator[str]:
    for name in layers:
        numbered = re.fullmatch(rf"({re.escape(prefix)}(?:-[A-Z]+)?)-[0-9]+", name)
        if numbered:
            yield f"The drawing has a layer {numbered[1]} that looks otherwise, so that ours is {name}."
