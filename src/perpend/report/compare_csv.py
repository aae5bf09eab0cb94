"""The comparison as comma-separated values: one row for each wall and option, lengths in inches."""

from __future__ import annotations

from perpend.report.comparison import CompareResults, OptionEntry, WallComparison
from perpend.report.csv_tables import raw_table


def compare_csv(results: CompareResults) -> str:
    """Return the table as text, with a head line; an option that is not possible has empty numbers."""
    rows = [_row(results, wall, option) for wall in results.walls for option in wall.options]
    return raw_table(list(rows[0]) if rows else ["wall"], (row.values() for row in rows))


def _row(results: CompareResults, wall: WallComparison, option: OptionEntry) -> dict[str, object]:
    layout = option.layout
    steel = layout.steel if layout else None
    return {
        "drawing": results.drawing.path,
        "wall": wall.tag,
        "wall_length_in": wall.length_in,
        "wall_height_in": wall.height_in,
        "own": option.own,
        "rulebook": option.rulebook,
        "method": option.method,
        "units": option.units,
        "material": option.material,
        "ccc": option.ccc,
        "openings": option.openings,
        "changed": "; ".join(option.changed),
        "lintel_support": option.lintel_support,
        "max_spacing_in": layout and layout.max_spacing_in,
        "corner_distance_in": layout and layout.corner_distance_in,
        "joints": layout and layout.joints,
        "slip_planes": layout and layout.slip_planes,
        "joint_length_in": layout and layout.joint_length_in,
        "lintel_length_in": layout and layout.lintel_length_in,
        "bond_beam_length_in": layout and layout.bond_beam_length_in,
        "jamb_bars_lb": steel and steel.jamb_bars_lb,
        "sill_bars_lb": steel and steel.sill_bars_lb,
        "corner_beds_lb": steel and steel.corner_beds_lb,
        "horizontal_lb": steel and steel.horizontal_lb,
        "bond_beams_lb": steel and steel.bond_beams_lb,
        "steel_lb": steel and steel.total_lb,
        "horizontal_reinforcement": layout.horizontal_reinforcement if layout else "",
        "longest_panel_in": layout and layout.longest_panel_in,
        "longest_panel_limit_in": layout and layout.longest_panel_limit_in,
        "longest_panel_utilisation": layout and layout.longest_panel_utilisation,
        "fullest_panel_in": layout and layout.fullest_panel_in,
        "fullest_panel_limit_in": layout and layout.fullest_panel_limit_in,
        "greatest_utilisation": layout and layout.greatest_utilisation,
        "not_met": "; ".join(finding.code for finding in option.not_met),
        "why_not": option.why_not,
        "masonry_on_lintels_lb": sum(a.full_lb for a in option.arching) if option.arching else "",
        "if_it_arches_lb": sum(a.arched_lb if a.possible else a.full_lb for a in option.arching)
        if option.arching
        else "",
        "sources": "; ".join(dict.fromkeys(s.row for s in option.sources)),
        "unverified": "; ".join(dict.fromkeys(s.row for s in option.sources if s.unverified)),
        "caution": " ".join(results.cautions),
    }
