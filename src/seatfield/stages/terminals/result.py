"""What the terminal map hands on: which loudspeaker on which terminal, and what cannot be done."""

from dataclasses import dataclass

from seatfield.model import Finding


@dataclass(frozen=True, slots=True)
class TerminalUse:
    """One run to a loudspeaker or subwoofer, and where it ends at the amplifier.

    Parameters
    ----------
    run
        Id of the run: that of its loudspeaker or subwoofer, save for a second run to a loudspeaker and for the second
        zone.
    channel
        Label of the channel; empty in the second zone.
    amplifier
        The amplifier that drives it.
    terminal
        In the words of that amplifier's back panel; empty where no amplifier can drive it.
    pre_out
        The line output of the processor that feeds an external amplifier; empty where the processor drives it itself.
    loudspeaker
        Id of the loudspeaker or subwoofer where the run ends; empty in the second zone.
    """

    run: str
    channel: str
    amplifier: str
    terminal: str
    pre_out: str = ""
    loudspeaker: str = ""


@dataclass(frozen=True, slots=True)
class CannotDo:
    """A pair or single that finds no amplifier, why, and three ways out, the cheapest first."""

    runs: tuple[str, ...]
    why: str
    ways_out: tuple[str, str, str]


@dataclass(frozen=True, slots=True)
class TerminalMap:
    """Every loudspeaker's terminal.

    Parameters
    ----------
    uses
        In the order of the layout, subwoofers last.
    spare
        Terminals that stay free: amplifier and name.
    cannot
        What finds no amplifier.
    """

    uses: tuple[TerminalUse, ...]
    spare: tuple[tuple[str, str], ...]
    cannot: tuple[CannotDo, ...]
    findings: tuple[Finding, ...]
