"""List the sound systems and where their loudspeakers belong."""

import click

from seatfield.cli.files import json_option


@click.command("systems")
@click.argument("name", required=False)
@json_option()
def command(name: str | None, *, as_json: bool) -> None:
    """List the sound systems, or the loudspeakers of one of them.

    NAME is a standard's name such as 4+7+0 or the trade's shorthand such as 7.1.4.
    """
    from seatfield.cli.say import say_json
    from seatfield.pipeline.listing import listed_systems

    listed = listed_systems(name)
    if not listed:
        from seatfield.catalogue.systems import nearest_system

        near = nearest_system(name or "")
        raise click.UsageError(
            f"There is no sound system {name!r}." + (f" Did you mean {near!r}?" if near else "")
        )
    if as_json:
        say_json({"systems": listed})
    elif name:
        _say_one(listed[0])
    else:
        _say_all(listed)


def _say_all(listed: list[dict]) -> None:  # type: ignore[type-arg]
    from rich.table import Table

    from seatfield.cli.say import console

    table = Table(box=None, pad_edge=False)
    for heading in ("name", "shorthand", "loudspeakers", "source"):
        table.add_column(heading, justify="right" if heading == "loudspeakers" else "left")
    for entry in listed:
        table.add_row(entry["name"], entry["shorthand"], str(len(entry["channels"])), entry["source"])
    console().print(table)


def _say_one(entry: dict) -> None:  # type: ignore[type-arg]
    from rich.table import Table

    from seatfield.cli.say import console

    out = console()
    out.print(f"{entry['name']}  {entry['shorthand']}  ({entry['source']})")
    table = Table(box=None, pad_edge=False)
    for heading in ("label", "name", "azimuth", "elevation"):
        table.add_column(heading)
    for channel in entry["channels"]:
        table.add_row(
            channel["label"],
            channel["plain_name"],
            _window(channel["azimuth_range_deg"]),
            _window(channel["elevation_range_deg"]),
        )
    out.print(table)
    out.print("Azimuth is 0° at the screen's centre and positive to the left; elevation is positive up.")


def _window(intervals: list[list[float]] | None) -> str:
    if intervals is None:
        return "free"
    return " or ".join(f"{a:g}°" if a == b else f"{a:g}° to {b:g}°" for a, b in intervals)
