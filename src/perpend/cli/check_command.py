"""The command ``perpend check``."""

from __future__ import annotations

import perpend
from perpend.cli import shared_options as opt
from perpend.cli.terminal import end_with

EPILOG = opt.examples(
    "perpend check north-wing.dxf",
    "perpend check north-wing.dxf --propose --sheet north-wing.html",
    "perpend check north-wing.dxf --waivers agreed.toml --sarif findings.sarif --csv findings.csv",
)


def check(
    drawing: opt.Drawing,
    output: opt.Output = None,
    settings: opt.SettingsFile = None,
    results: opt.ResultsFile = None,
    sheet: opt.Sheet = None,
    sarif: opt.Sarif = None,
    csv: opt.Csv = None,
    propose: opt.Propose = False,
    waivers: opt.Waivers = None,
    picture: opt.Picture = None,
    units_of_drawing: opt.UnitsOfDrawing = None,
    layout: opt.Layout = None,
    overwrite: opt.Overwrite = False,
    as_json: opt.AsJson = False,
) -> None:
    """Judge the joints that are drawn in an elevation, and mark in a new one what is wrong.

    Joints of an earlier annotate are judged too, moved by hand or not. Nothing but marks is added.
    """
    outcome = perpend.check(
        drawing,
        output,
        settings=settings,
        waivers=waivers,
        results=results,
        sheet=sheet,
        picture=picture,
        sarif=sarif,
        csv=csv,
        propose=propose,
        units_of_drawing=units_of_drawing,
        layout=layout,
        overwrite=overwrite,
    )
    end_with(outcome.results, as_json, results, sheet, picture, sarif, csv)
