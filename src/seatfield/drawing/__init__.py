"""Scenes in metres with named styles: floor plan, wall elevations, tape sketches; as SVG, DXF and JSON."""

from seatfield.drawing.dxf import dxf
from seatfield.drawing.elevations import elevations
from seatfield.drawing.floor_plan import Shown, floor_plan, floor_sketch, routes_sketch
from seatfield.drawing.scene import (
    Arc,
    Area,
    Circle,
    Dimension,
    Element,
    Line,
    Note,
    Plain,
    Scene,
    Symbol,
    Text,
)
from seatfield.drawing.scene_json import scene_dict
from seatfield.drawing.sheet import Sheet, Title
from seatfield.drawing.style import colours, style, styles, tokens
from seatfield.drawing.svg import style_sheet, svg
from seatfield.drawing.tapes import marking_sketch

__all__ = [
    "Arc",
    "Area",
    "Circle",
    "Dimension",
    "Element",
    "Line",
    "Note",
    "Plain",
    "Scene",
    "Sheet",
    "Shown",
    "Symbol",
    "Text",
    "Title",
    "colours",
    "dxf",
    "elevations",
    "floor_plan",
    "floor_sketch",
    "marking_sketch",
    "routes_sketch",
    "scene_dict",
    "style",
    "style_sheet",
    "styles",
    "svg",
    "tokens",
]
