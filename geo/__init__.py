"""Positions and shapes on the ground: frames, boundaries, footprints, chances, sun, files.

Plain values in and out: numpy arrays, shapely geometries, GeoJSON dicts, floats. Positions are
[longitude, latitude] on WGS 84; local coordinates are metres east and north of a `frame.LocalFrame`.
"""
