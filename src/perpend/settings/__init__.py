"""A project's settings: found, read, and turned into the basis of each wall."""

from perpend.settings.load import load_settings, parse_settings, settings_files
from perpend.settings.resolve import (
    compare_arching,
    resolve_wall,
    steel_choices,
    unmatched_tags,
    wall_options,
)
from perpend.settings.schema import Layers, Settings
from perpend.settings.variants import Variant, variants_of, with_variant

__all__ = [
    "Layers",
    "Settings",
    "Variant",
    "compare_arching",
    "load_settings",
    "parse_settings",
    "resolve_wall",
    "settings_files",
    "steel_choices",
    "unmatched_tags",
    "variants_of",
    "wall_options",
    "with_variant",
]
