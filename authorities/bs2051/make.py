"""Write loudspeakers.json from the reference renderer's own copy of the BS.2051 tables.

Run in an environment of its own: `pip install ear==2.1.0 'setuptools<80'`, then `python make.py`.
"""

import json
import pathlib

from ear.core import bs2051


def channel(entry):
    """One loudspeaker as plain values; an omitted range is the nominal value in the renderer."""
    return {
        "label": entry.name,
        "azimuth_deg": entry.polar_nominal_position.azimuth,
        "elevation_deg": entry.polar_nominal_position.elevation,
        "azimuth_range_deg": list(entry.az_range),
        "elevation_range_deg": list(entry.el_range),
        "is_lfe": entry.is_lfe,
    }


def main():
    """Every layout that the package names."""
    systems = {
        name: [channel(entry) for entry in bs2051.get_layout(name).channels] for name in bs2051.layout_names
    }
    target = pathlib.Path(__file__).with_name("loudspeakers.json")
    target.write_text(json.dumps(systems, indent=1) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
