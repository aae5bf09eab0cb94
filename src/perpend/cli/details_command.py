"""The command ``perpend details``."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from perpend.cli.shared_options import examples

EPILOG = examples(
    "perpend details",
    "perpend details -o A-501.dxf --settings office.toml",
    "perpend details -o details-metric.dxf --rulebook au-ncc --sheet-size a1",
)


class SheetName(StrEnum):
    """Sheets that the details fit on."""

    ARCH_D = "arch-d"
    A1 = "a1"


def details(
    output: Annotated[
        Path,
        typer.Option("--output", "-o", metavar="OUT.dxf", help="The new drawing. Default: details.dxf."),
    ] = Path("details.dxf"),
    rulebook: Annotated[
        str | None,
        typer.Option("--rulebook", metavar="KEY", help="Rule book. Default: the settings', or us-cmu."),
    ] = None,
    settings: Annotated[
        Path | None,
        typer.Option("--settings", metavar="FILE.toml", help="Settings file whose sizes count."),
    ] = None,
    metric: Annotated[
        bool | None,
        typer.Option(
            "--metric/--imperial", help="Millimetres, or feet and inches. Default: as the rule book."
        ),
    ] = None,
    sheet_size: Annotated[
        SheetName | None,
        typer.Option("--sheet-size", help="Sheet. Default: the settings', arch-d, or a1 in millimetres."),
    ] = None,
    overwrite: Annotated[
        bool, typer.Option("--overwrite", help="Replace the file that is there, whoever made it.")
    ] = False,
) -> None:
    """Draw typical details of control joints, to scale, on one sheet.

    Sizes come from the rule book and the settings. Details are for review by the engineer or architect of
    record, who decides; lintels, jamb steel and shear walls need structural design.
    """
    from perpend.jobs.write_details import write_details

    write_details(
        output,
        rulebook=rulebook,
        settings=settings,
        metric=metric,
        sheet=sheet_size.value if sheet_size else None,
        overwrite=overwrite,
    )
    print(f"Written: {output}")
