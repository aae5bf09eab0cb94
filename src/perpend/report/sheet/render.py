"""Put the sheet together: rows, template, style and script become one HTML file."""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Sequence
from functools import cache
from importlib import resources
from typing import TYPE_CHECKING, Final

from perpend.model import WallPlan
from perpend.report.results_document import Results
from perpend.report.sheet.assemble import assemble

if TYPE_CHECKING:
    from jinja2 import Template

_HERE: Final = "perpend.report.sheet"


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

    style, script = asset("sheet.css"), asset("sheet.js")
    # Our own files: marked as markup here and nowhere else. The pictures escape what they hold.
    return template("sheet.html.j2").render(
        sheet=assemble(results, plans),
        style=Markup(style),
        script=Markup(script),
        style_hash=digest(style),
        script_hash=digest(script),
        markup=Markup,
    )


@cache
def template(name: str, package: str = _HERE) -> Template:
    """Make a template ready, which takes longer than to fill it: once for all drawings of a process."""
    from jinja2 import Environment, StrictUndefined

    environment = Environment(
        autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True
    )
    return environment.from_string(asset(name, package))


def asset(name: str, package: str = _HERE) -> str:
    """Return the text of a file of ours: a template, a style, a script."""
    return (resources.files(package) / name).read_text(encoding="utf-8")


def digest(text: str) -> str:
    """Return a source expression of a content security policy for an inline text."""
    return "sha256-" + base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()
