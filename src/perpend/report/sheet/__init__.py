"""The review sheet: one HTML file with every wall's elevation and everything found, without a network.

The file carries its own style and script and forbids everything else: its content security policy names
the two by their hashes, so nothing that a drafter typed into a drawing can run.
"""

from perpend.report.sheet.render import render_sheet

__all__ = ["render_sheet"]
