"""Records of the log back into values: what `encode` wrote, read again."""

from collections.abc import Mapping
from typing import Any

from seatfield.model import (
    ChannelSetting,
    EqFilter,
    Sounding,
    SweepSet,
    SweepSettings,
    Take,
    TakenFile,
    TakeState,
)


def read_sweep_set(data: Mapping[str, Any]) -> SweepSet:
    """Return a set of sweeps from its record."""
    return SweepSet(
        SweepSettings(**data["settings"]),
        tuple(data["columns"]),
        data["mask"],
        data["reference"],
        data["reference_run"],
        tuple(Sounding(**one) for one in data["soundings"]),
        data["one_file"],
    )


def read_take(data: Mapping[str, Any]) -> Take:
    """Return a take from its record."""
    own = {"position", "state", "sweeps", "files", "places"}
    plain = {key: value for key, value in data.items() if key not in own}
    x, y, z = data["position"]
    places = tuple((run, (at[0], at[1], at[2])) for run, at in data.get("places", ()))
    files = tuple(TakenFile(one["name"], one["sha256"], tuple(one["runs"])) for one in data["files"])
    return Take(
        **plain,
        position=(x, y, z),
        state=TakeState(data["state"]),
        sweeps=read_sweep_set(data["sweeps"]),
        files=files,
        places=places,
    )


def read_setting(data: Mapping[str, Any]) -> ChannelSetting:
    """Return what was set for one run from its record."""
    filters = tuple(EqFilter(**one) for one in data.get("filters", ()))
    return ChannelSetting(**{**data, "filters": filters})
