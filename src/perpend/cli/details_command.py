"""The command ``perpend details``."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import Annotated

import perpend
from perpend.cli import shared_options as opt
from perpend.cli.terminal import say, while_somebody_reads
from perpend.wording import listed

EPILOG = opt.examples(
    "perpend details",
    "perpend details -o A-501.dxf --settings office.toml",
    "perpend details -o details-metric.dxf --rulebook au-ncc --sheet-size a1",
)
_OUTPUT = "The new drawing. Default: details.dxf."
_RULEBOOK = "Rule book. Default: the settings', or us-cmu."
_METRIC = "Millimeters, or feet and inches. Default: as the rule book."
_SHEET = "Sheet. Default: the settings', arch-d, or a1 in millimeters."


class SheetName(StrEnum):
    """Sheets that the details fit on."""

    ARCH_D = "arch-d"
    A1 = "a1"


def details(
    output: Annotated[Path, opt.option("--output", "-o", metavar="OUT.dxf", help=_OUTPUT)] = Path(
        "details.dxf"
    ),
    rulebook: Annotated[str | None, opt.option("--rulebook", metavar="KEY", help=_RULEBOOK)] = None,
    settings: Annotated[
        Path | None, opt.option("--settings", metavar="FILE.toml", help="Settings file whose sizes count.")
    ] = None,
    metric: Annotated[bool | None, opt.option("--metric/--imperial", help=_METRIC)] = None,
    sheet_size: Annotated[SheetName | None, opt.option("--sheet-size", help=_SHEET)] = None,
    overwrite: opt.Overwrite = False,
) -> None:
    """Draw typical details of control joints, to scale, on one sheet.

    Sizes come from the rule book and the settings. Details are for review by the engineer or architect of
    record, who decides; lintels, jamb steel and shear walls need structural design.
    """
    missing = perpend.details(
        output,
        rulebook=rulebook,
        settings=settings,
        metric=metric,
        sheet=sheet_size,
        overwrite=overwrite,
    )
    with while_somebody_reads():
        say(f"Written: {output}")
        if missing:
            say(f"Left out, as the rule book has no rule for it: {listed(missing)}.")
