"""What the search did and what its layout costs, in the results document."""

from __future__ import annotations

from dataclasses import dataclass

from perpend.report.document_parts import Number, Part


@dataclass(frozen=True, slots=True, kw_only=True)
class CostEntry(Part):
    """What a layout costs, in the order in which it was minimised (docs/placement.md)."""

    violations: int
    excess_in: Number
    joints: int
    slip_planes: int
    longest_in: Number
    unevenness_in2: Number


@dataclass(frozen=True, slots=True, kw_only=True)
class SearchEntry(Part):
    """Work done by the search."""

    candidates: int
    pairs_examined: int
