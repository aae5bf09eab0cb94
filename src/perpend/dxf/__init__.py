"""DXF without masonry: loading, blocks, points, text extents, extended data, inserting into bytes."""
