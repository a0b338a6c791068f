"""Align a measured room: values to type, judged values, what was verified, what has to be done again."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from seatfield.model import ChannelSetting, Project, TakeState, worst_first
from seatfield.pipeline.encoding import encode
from seatfield.pipeline.measuring import Watch, faults_in, prepared, read_takes
from seatfield.pipeline.retelling import read_setting
from seatfield.stages.alignment import (
    LEAVE,
    Aged,
    Alignment,
    Built,
    Judged,
    NothingToAlignError,
    Redo,
    RoomFitted,
    Typed,
    Verified,
    Wishes,
    aged,
    as_built,
    fit_room,
    judge,
    predict,
    redo,
    setup_of,
    verify,
)
from seatfield.stages.alignment import plan as plan_alignment
from seatfield.stages.faults import Faults
from seatfield.stages.takes import Takes, changed, known_of
from seatfield.store import append_record, read_log

SETTINGS = "settings"


@dataclass(frozen=True, slots=True)
class Aligned:
    """Everything that `seatfield align` says.

    Parameters
    ----------
    alignment
        None where no take allows one.
    refusal
        Why not, in words.
    """

    takes: Takes
    faults: Faults
    alignment: Alignment | None
    refusal: str
    built: tuple[Built, ...]
    judged: tuple[Judged, ...]
    verified: tuple[Verified, ...]
    redo: tuple[Redo, ...]
    aged: tuple[Aged, ...]
    room: RoomFitted | None

    @property
    def leave(self) -> bool:
        """Whether nothing gains, so that nothing is to be typed."""
        return self.alignment is not None and any(one.code == LEAVE for one in self.alignment.findings)


def align(
    folder: Path,
    project: Project,
    wishes: Wishes | None = None,
    *,
    typed: Sequence[Typed] = (),
    with_room: bool = False,
    watch: Watch | None = None,
) -> Aligned:
    """Read every take of a project and say what to type, what is wrong and what is left to do.

    Parameters
    ----------
    folder, project
        The project.
    wishes
        For whom, and the target.
    typed
        Values of another calibration, to be judged.
    with_room
        Whether to fit the room model too, which takes some seconds.
    watch
        Called with a sentence before each slow step.

    Returns
    -------
    Aligned
        Takes after the last noted settings are compared with their prediction.
    """
    if watch:
        watch("planning the room")
    made = prepared(project)
    assert made.layout is not None
    assert made.terminals is not None
    takes = read_takes(folder, project, watch=watch)
    if watch:
        watch("weighing what they say")
    noted = noted_settings(folder)
    refusal, alignment = "", None
    try:
        before = noted.settings if noted else ()
        alignment = plan_alignment(project, made.layout, made.terminals, takes, wishes, before)
    except NothingToAlignError as nothing:
        refusal = str(nothing)
    built, off_plan = as_built(project, made.survey, known_of(project, made.layout), takes.spots)
    takes = Takes(takes.takes, takes.spots, (*takes.findings, *off_plan))
    verified: tuple[Verified, ...] = ()
    if noted is not None and alignment is not None:
        verified = _verified(project, made.terminals, takes, noted, wishes)
    return Aligned(
        takes,
        faults_in(project, takes),
        alignment,
        refusal,
        built,
        judge(project, made.layout, alignment, typed),
        verified,
        _changes(takes, redo(noted.setup, setup_of(project, made.layout)) if noted else ()),
        aged(takes.takes),
        fit_room(project, made.survey, known_of(project, made.layout), takes.spots) if with_room else None,
    )


def _changes(takes: Takes, since_typed: tuple[Redo, ...]) -> tuple[Redo, ...]:
    """Return what has moved since the takes were made, then what changed since the values were typed."""
    return (*(Redo(what, (do,)) for what, do in changed(takes.spots)), *since_typed)


@dataclass(frozen=True, slots=True)
class Noted:
    """Settings that were typed into the amplifier, when, and what the room was then."""

    at: str
    settings: tuple[ChannelSetting, ...]
    setup: Mapping[str, str]


def note_settings(folder: Path, project: Project, alignment: Alignment, *, at: str) -> None:
    """Note in the log that these values were typed."""
    made = prepared(project)
    assert made.layout is not None
    record = {"settings": encode(alignment.settings), "setup": setup_of(project, made.layout)}
    append_record(folder, SETTINGS, record, at=at)


def noted_settings(folder: Path) -> Noted | None:
    """Return the settings that were noted last, or None."""
    entries = read_log(folder, SETTINGS).entries
    if not entries:
        return None
    last = entries[-1]
    return Noted(last.at, tuple(read_setting(one) for one in last.data["settings"]), dict(last.data["setup"]))


def _verified(
    project: Project, terminals: Any, takes: Takes, noted: Noted, wishes: Wishes | None
) -> tuple[Verified, ...]:
    """Compare the positions taken since, amplifier as used, with what the noted settings predict."""
    since = {
        (take.position, take.state)
        for take in takes.takes
        if take.at >= noted.at and take.state is TakeState.AS_USED
    }
    spots = [spot for spot in takes.spots if (spot.position, spot.state) in since]
    if not spots:
        return ()
    return verify(predict(project, terminals, takes, noted.settings, wishes), spots)


def encode_aligned(aligned: Aligned) -> dict[str, Any]:
    """Turn what `align` says into the object that it prints."""
    alignment = aligned.alignment
    findings = (
        *aligned.takes.findings,
        *aligned.faults.findings,
        *(alignment.findings if alignment else ()),
    )
    return {
        "format": "seatfield-alignment",
        "version": 1,
        "takes": encode(aligned.takes.takes),
        "faults": encode(aligned.faults.faults),
        "undecided": encode(aligned.faults.undecided),
        "alignment": _without_findings(encode(alignment)) if alignment else None,
        "refusal": aligned.refusal,
        "built": encode(aligned.built),
        "judged": encode(aligned.judged),
        "verified": encode(aligned.verified),
        "redo": encode(aligned.redo),
        "aged": encode(aligned.aged),
        "room": encode(aligned.room),
        "findings": encode(worst_first(findings)),
    }


def _without_findings(encoded: dict[str, Any]) -> dict[str, Any]:
    return {key: value for key, value in encoded.items() if key != "findings"}
