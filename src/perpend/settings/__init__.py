"""A project's settings: found, read, and turned into the basis of each wall.

The variants that `compare` sets side by side are in `perpend.settings.method_variants`.
"""

from perpend.settings.project_book import book_of
from perpend.settings.resolve import (
    compare_arching,
    resolve_wall,
    steel_choices,
    unmatched_tags,
    wall_options,
)
from perpend.settings.settings_files import load_settings, parse_settings, settings_files, sidecar_of
from perpend.settings.settings_schema import Layers, Settings
