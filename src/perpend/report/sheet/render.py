"""Put the sheet together: rows, template, style and script become one HTML file."""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Sequence
from functools import cache
from importlib import resources
from typing import TYPE_CHECKING

from perpend.model import WallPlan
from perpend.report.results_document import Results
from perpend.report.sheet.assemble import assemble

if TYPE_CHECKING:
    from jinja2 import Template

_TEMPLATE, _STYLE, _SCRIPT = "sheet.html.j2", "sheet.css", "sheet.js"


def render_sheet(results: Results, plans: Sequence[WallPlan] = ()) -> str:
    """Return the review sheet of one run as HTML.

    Args:
        results: what the run found and decided.
        plans: the walls' plans, in the order of ``results.walls``: they add the steel, arched heads, bond
            beams and supports to the elevations. Without them the sheet has everything else.

    Raises:
        ValueError: there are plans, but not one for each wall.
    """
    from markupsafe import Markup

    style, script = asset(_STYLE), asset(_SCRIPT)
    # Our own files: marked as markup here and nowhere else. The pictures escape what they hold.
    return _template().render(
        sheet=assemble(results, plans),
        style=Markup(style),
        script=Markup(script),
        style_hash=digest(style),
        script_hash=digest(script),
        markup=Markup,
    )


@cache
def _template() -> Template:
    """Make the template ready, which takes longer than to fill it: once for all drawings of a process."""
    from jinja2 import Environment, StrictUndefined

    environment = Environment(
        autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True
    )
    return environment.from_string(asset(_TEMPLATE))


def asset(name: str) -> str:
    """Return the text of a file of ours: a template, a style, a script."""
    return (resources.files("perpend.report.sheet") / name).read_text(encoding="utf-8")


def digest(text: str) -> str:
    """Return a source expression of a content security policy for an inline text."""
    return "sha256-" + base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()
