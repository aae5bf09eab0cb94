"""The command ``perpend annotate``."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

import perpend
from perpend.cli import shared_options as opt
from perpend.cli.terminal import end_with, say, while_somebody_reads
from perpend.errors import InputError

EPILOG = opt.examples(
    "perpend annotate shopfront-south.dxf",
    "perpend annotate shopfront-south.dxf -o out.dxf --settings office.toml --results out.json",
    "perpend annotate shopfront-south-annotated.dxf -o shopfront-south-2.dxf --issue 'Addendum 1'",
    "perpend annotate new-base.dxf --from shopfront-south-annotated.dxf -o shopfront-south-3.dxf",
    "perpend annotate shopfront-south-annotated.dxf --clean -o shopfront-south.dxf",
)
_DETAILS = "Draw the typical details below the drawing as well."
_SCHEDULE = "Also write the joint schedule as comma-separated values."
_RELEASE = "Let these joints be placed anew, such as 4,7 or W1-4; all for every one."
_ACCEPT = "Take the joints that check --propose drew, by number, such as 3,5; all for every one."
_ISSUE = "Record an issue of the drawing, such as 'Bid set'; joints keep their numbers from then on."
_FRESH = "Start over: forget what was moved, copied and deleted by hand, and every number."
_FROM = "Carry over joints, numbers, issues and decisions from this annotated drawing, onto a new base."
_CLEAN = "Take out again what perpend drew; goes with -o and --overwrite alone."


def annotate(
    drawing: opt.Drawing,
    output: opt.Output = None,
    settings: opt.SettingsFile = None,
    results: opt.ResultsFile = None,
    sheet: opt.Sheet = None,
    picture: opt.Picture = None,
    waivers: opt.Waivers = None,
    units_of_drawing: opt.UnitsOfDrawing = None,
    layout: opt.Layout = None,
    overwrite: opt.Overwrite = False,
    clean: Annotated[bool, opt.option("--clean", help=_CLEAN)] = False,
    details: Annotated[bool, opt.option("--details", help=_DETAILS)] = False,
    schedule: Annotated[Path | None, opt.option("--schedule", metavar="FILE", help=_SCHEDULE)] = None,
    release: Annotated[str, opt.option("--release", metavar="NUMBERS", help=_RELEASE)] = "",
    accept: Annotated[str, opt.option("--accept", metavar="NUMBERS", help=_ACCEPT)] = "",
    issue: Annotated[str, opt.option("--issue", metavar="NAME", help=_ISSUE)] = "",
    fresh: Annotated[bool, opt.option("--fresh", help=_FRESH)] = False,
    decisions_from: Annotated[Path | None, opt.option("--from", metavar="OLD", help=_FROM)] = None,
    as_json: opt.AsJson = False,
) -> None:
    """Place the control joints of an elevation and write a new drawing that carries them.

    The original stays as it is; everything that is added is on layers of its own. Joints of an earlier run
    that were moved, stretched, copied or put on another layer by hand are held where they are; where one was
    deleted none is placed.
    """
    if clean:
        others = (
            settings,
            results,
            sheet,
            picture,
            waivers,
            units_of_drawing,
            layout,
            schedule,
            decisions_from,
            details or as_json or fresh or None,
            release or accept or issue or None,
        )
        _clean(drawing, output, overwrite=overwrite, alone=all(other is None for other in others))
        return
    outcome = perpend.annotate(
        drawing,
        output,
        settings=settings,
        waivers=waivers,
        results=results,
        sheet=sheet,
        picture=picture,
        units_of_drawing=units_of_drawing,
        layout=layout,
        overwrite=overwrite,
        details=details,
        schedule=schedule,
        release=_numbers(release),
        accept=_numbers(accept),
        issue=issue,
        fresh=fresh,
        decisions_from=decisions_from,
    )
    end_with(outcome.results, as_json, results, sheet, picture, schedule)


def _numbers(given: str) -> list[str]:
    return [number.strip() for number in given.split(",") if number.strip()]


def _clean(drawing: Path, output: Path | None, *, overwrite: bool, alone: bool) -> None:
    if not alone:
        raise InputError(
            "--clean takes out what perpend drew and goes with -o and --overwrite alone: leave the other "
            "options out."
        )
    outcome = perpend.clean(drawing, output, overwrite=overwrite)
    how = "the file is to the byte what it was before" if outcome.exact else "the rest is as it was"
    with while_somebody_reads():
        say(f"Written: {outcome.output}")
        say(f"  {outcome.removed} records of ours were taken out; {how}")
        for remark in outcome.remarks:
            say(f"  {remark}")
    raise typer.Exit(opt.CLEAN)
