"""A scene as plain dictionaries, for the browser and for anyone who draws it anew."""

from dataclasses import fields
from typing import Any

from seatfield.drawing.parts import take_apart
from seatfield.drawing.scene import Element, Scene

FORMAT = "seatfield-scene"
VERSION = 1


def scene_dict(scene: Scene, *, apart: bool = False) -> dict[str, Any]:
    """Give a scene as a dictionary that ``json.dumps`` takes.

    Parameters
    ----------
    scene
        What to give.
    apart
        Whether dimensions, notes and symbols are taken apart into lines and letters.
    """
    elements: list[Element] = list(scene.elements)
    if apart:
        elements = [piece for element in elements for piece in take_apart(element, scene.mm_per_m)]
    return {
        "format": FORMAT,
        "version": VERSION,
        "name": scene.name,
        "about": scene.about,
        "scale": scene.scale,
        "bounds": list(scene.bounds),
        "elements": [_element(element) for element in elements],
    }


def _element(element: Element) -> dict[str, Any]:
    return {"kind": type(element).__name__.lower()} | {
        field.name: _listed(getattr(element, field.name)) for field in fields(element)
    }


def _listed(value: Any) -> Any:
    return [_listed(one) for one in value] if isinstance(value, tuple) else value
