"""The functions of ``import perpend`` that need no single drawing: limits, rule books, details.

See `perpend.api` for those on one drawing, `perpend.api_folders` for folders.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Literal

from perpend.api import AnyPath, as_path

if TYPE_CHECKING:
    from perpend.report.limit_table import LimitsResults
    from perpend.report.unverified_list import UnverifiedList


def limits(
    height: str,
    *,
    method: str | None = None,
    units: str | None = None,
    material: str | None = None,
    ccc: float | None = None,
    shrinkage: float | None = None,
    temperature_drop_f: float | None = None,
    thermal: Literal["printed", "code"] = "printed",
    rulebook: str | None = None,
    settings: AnyPath | None = None,
) -> LimitsResults:
    """Return the limits of a plain wall.

    Args:
        height: as typed: ``16'-8"``, ``16.67 ft``, ``200 in``, ``5.08 m``, ``5080 mm``.
        method: as the rule book names it; None takes the settings' default.
        units: ``full-height`` or ``half-high``; None takes the settings' default.
        material: of the units, in rule books that tell several apart; None takes the settings' default.
        ccc: crack control coefficient, in/in, engineered method only.
        shrinkage: drying shrinkage of the units, in/in; with `temperature_drop_f` instead of `ccc`.
        temperature_drop_f: greatest drop of temperature, °F.
        thermal: the thermal coefficient printed with the method, or the building code's (recalled, not seen).
        rulebook: key of the rule book; None takes the settings'.
        settings: a settings file; None takes the defaults.

    Raises:
        InputError: the height is no length above zero, the rule book has no such method or units, or
            the coefficient does not belong to the method or is outside the rule book's rows.
    """
    from perpend.jobs.limits import limits_at

    return limits_at(
        height,
        method=method,
        units=units,
        material=material,
        ccc=ccc,
        shrinkage=shrinkage,
        temperature_drop_f=temperature_drop_f,
        thermal=thermal,
        rulebook=rulebook,
        settings=as_path(settings),
    )


def unverified(rulebook: str | None = None, settings: AnyPath | None = None) -> UnverifiedList:
    """Return what an office has to look up: what was typed from memory, and not verified by the settings.

    Args:
        rulebook: key of the rule book; None takes the settings'.
        settings: a settings file; None takes the defaults.

    Raises:
        InputError: there is no such rule book, or the settings do not fit.
    """
    from perpend.jobs.limits import unverified_of

    return unverified_of(rulebook, as_path(settings))


def details(
    output: AnyPath = "details.dxf",
    *,
    rulebook: str | None = None,
    settings: AnyPath | None = None,
    metric: bool | None = None,
    sheet: str | None = None,
    overwrite: bool = False,
) -> None:
    """Write a drawing with the typical details of a rule book, at scale on one sheet.

    Args:
        output: the new drawing.
        rulebook: key of the rule book; None takes the settings'.
        settings: a settings file; None takes the defaults.
        metric: dimension in millimeters; None goes by the rule book.
        sheet: ``arch-d`` or ``a1``; None takes the settings', or what goes with the units.
        overwrite: replace whatever is there; without it only what perpend wrote is replaced.

    Raises:
        InputError: anything wrong with the settings or the place to write; nothing is written then.
    """
    from perpend.jobs.write_details import write_details

    write_details(
        Path(output),
        rulebook=rulebook,
        settings=as_path(settings),
        metric=metric,
        sheet=sheet,
        overwrite=overwrite,
    )
