"""perpend: control joints for masonry wall elevations in DXF."""

__version__ = "0.1.0"
