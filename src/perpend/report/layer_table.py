"""The layers of a drawing and their probable roles, as data and as text."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, Literal

from perpend.reading import MODELSPACE, Role
from perpend.reading.survey.layer_survey import LayerSurvey
from perpend.report.document_parts import SCHEMA_VERSION, Document, Part, described
from perpend.report.summary import wrapped
from perpend.report.text_lines import Line
from perpend.version import __version__

_NAME = 26
_ROLE = 23
_MOST_KINDS = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class LayerEntry(Part):
    """One layer."""

    name: str
    state: Annotated[
        Literal["on", "off", "frozen", "missing"],
        described("missing: used, but not in the layer table."),
    ]
    counts: Annotated[dict[str, int], described("Entities by DXF type, the most frequent first.")]
    closed: Annotated[
        int, described("Closed outlines that show on it, put together from lines and in blocks too.")
    ]
    texts: Annotated[list[str], described("A few of its texts.")]
    role: Annotated[str | None, described("The role it probably plays: a key of [layers] in the settings.")]
    why: str
    fits: Annotated[bool, described("True when the present settings take it for that role already.")]
    maybe: Annotated[
        str | None,
        described("The role it may play although another layer has it; drafted as a comment."),
    ]
    shared: Annotated[bool, described("True where walls are on it and their openings too.")]


@dataclass(frozen=True, slots=True, kw_only=True)
class LayersResults(Document):
    """Every layer that is used in a drawing."""

    schema_version: Literal["1"] = SCHEMA_VERSION
    perpend_version: str
    path: str
    units: str
    units_why: str
    layout: Annotated[str, described("The layout that was looked at; Model is modelspace.")]
    layouts: Annotated[list[str], described("Layouts besides modelspace that hold something.")]
    external: Annotated[list[str], described("External references whose content is not in the file.")]
    layers: list[LayerEntry]
    settings_written: str | None


def build_layers(survey: LayerSurvey, settings_written: Path | None) -> LayersResults:
    """Gather a survey.

    Args:
        survey: what is on which layer.
        settings_written: the settings file that was drafted, or None.
    """
    return LayersResults.of(
        survey,
        perpend_version=__version__,
        layers=[LayerEntry.of(row, counts=dict(row.counts)) for row in survey.rows],
        settings_written=None if settings_written is None else str(settings_written),
    )


def layers_text(results: LayersResults) -> list[Line]:
    """Print the layers for a person: each with its role, what is on it, and why it has that role."""
    count = f"{len(results.layers)} {'layer' if len(results.layers) == 1 else 'layers'} in use"
    lines = [Line(f"{Path(results.path).name}: {count}; unit {results.units} ({results.units_why})", "title")]
    lines += _layouts(results)
    if results.external:
        lines += wrapped(f"Not in the file, bind them to have them read: {', '.join(results.external)}")
    lines += [Line(""), Line(f"{'Layer':<{_NAME}} {'Role':<{_ROLE}} Holds", "title")]
    for layer in results.layers:
        lines += _layer(layer)
    lines.append(Line(""))
    missed = [r.name for r in results.layers if r.role and r.role != Role.TAGS and not r.fits]
    if missed:
        do = "check the draft" if results.settings_written else "draft settings with --write, then check them"
        lines += wrapped(f"The settings do not cover {', '.join(missed)}: {do}.", tone="advisory")
    if results.settings_written:
        lines.append(Line(f"Written: {results.settings_written}"))
    return lines


def _layouts(results: LayersResults) -> Iterable[Line]:
    """Say which layout was looked at where it is not modelspace, and which others there are."""
    others = [name for name in results.layouts if name != results.layout]
    if results.layout == MODELSPACE:
        return wrapped(f"Layouts besides modelspace: {', '.join(others)} (--layout)") if others else []
    return wrapped(f"Layout {results.layout}; besides it: {', '.join(['modelspace', *others])}")


def _layer(layer: LayerEntry) -> Iterator[Line]:
    kinds = [f"{count} {kind}" for kind, count in layer.counts.items()]
    holds = ", ".join(kinds[:_MOST_KINDS]) + (", ..." if len(kinds) > _MOST_KINDS else "")
    closed = f"; {layer.closed} closed" if layer.closed else ""
    state = f" [{layer.state}]" if layer.state != "on" else ""
    role = layer.role or (f"{layer.maybe}?" if layer.maybe else "-")
    head = f"{layer.name + state:<{_NAME}} {role:<{_ROLE}} "
    tone = "good" if layer.role and layer.fits else "advisory" if layer.role else "plain"
    yield from wrapped(f"{holds}{closed}", first=head, then=" " * len(head), tone=tone)  # type: ignore[arg-type]
    texts = f"; such as {', '.join(repr(text) for text in layer.texts)}" if layer.texts else ""
    indent = " " * (_NAME + 1)
    yield from wrapped(f"{layer.why}{texts}", first=indent, then=indent, tone="quiet")
