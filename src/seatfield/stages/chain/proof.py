"""The proof sheet: what to expect of each service, and blanks for what is seen."""

from seatfield.catalogue.formats import Stream, UnknownFormatError, describe, parse_ability
from seatfield.model import Amplifier, Project
from seatfield.stages.chain.result import ProofLine, ServiceSound
from seatfield.stages.chain.sound import Sound


def shown(amplifier: Amplifier | None, sound: Sound | None) -> str:
    """Return what an amplifier's display says for a sound, as the user typed it; empty where nothing was typed.

    Parameters
    ----------
    amplifier
        With its texts by format.
    sound
        What it plays.

    Returns
    -------
    str
        The text of the entry that names the format and its channels, else of the one that names the format alone.
    """
    if amplifier is None or sound is None:
        return ""
    exact, general = "", ""
    for name, text in amplifier.shows:
        try:
            ability = parse_ability(name)
        except UnknownFormatError:
            continue
        if ability.format == sound.format:
            exact = text if ability.channels == sound.channels else exact
            general = text if ability.channels is None else general
    return exact or general


def proof_line(project: Project, entry: ServiceSound) -> ProofLine:
    """Write the line of the proof sheet for one service.

    Parameters
    ----------
    project
        For the dates at which the devices' facts were looked up.
    entry
        What arrives.

    Returns
    -------
    ProofLine
        With empty texts for the blanks.
    """
    checked = {device.name: device.checked for device in project.devices}
    return ProofLine(
        service=entry.service,
        device=entry.device,
        expected=describe(Stream(entry.format, entry.channels, entry.rate_hz, entry.bits))
        if entry.format
        else "nothing",
        channels=entry.channels,
        objects=entry.objects,
        display_shows=entry.display_shows,
        settings=tuple(f"{need.device}: {need.setting} = {need.value}" for need in entry.settings),
        tell_apart=_tell_apart(entry),
        facts=tuple((name, checked[name]) for name in entry.path if name in checked),
    )


def _tell_apart(entry: ServiceSound) -> str:
    """Say how to tell what arrives from an upmix. Common practice, no source."""
    if not entry.format:
        return "Nothing arrives, so whatever plays comes by another way."
    page = "Read the page about the input signal on the amplifier's display, not the listening mode"
    if entry.objects:
        return (
            f"{page}: it must name objects. Then choose the mode without upmixing: with real objects the upper "
            "loudspeakers still play."
        )
    if entry.channels > 2:
        return (
            f"{page}: it must list {entry.channels} channels. Then choose the mode without upmixing: with real "
            "channels the surround loudspeakers still play."
        )
    return f"{page}: it lists two channels, so any sound from other loudspeakers is an upmix."
