"""Plane and solid geometry of rooms, on plain tuples: outlines, segments, ceilings, directions, tapes."""
