"""What the terminal map hands on: which loudspeaker on which terminal, and what cannot be done."""

from dataclasses import dataclass

from seatfield.model import Finding


@dataclass(frozen=True, slots=True)
class TerminalUse:
    """One loudspeaker or subwoofer, and where its cable ends at the amplifier.

    Parameters
    ----------
    run
        Id of the loudspeaker or subwoofer, which is also its run's.
    amplifier
        The amplifier that drives it.
    terminal
        In the words of that amplifier's back panel; empty where no amplifier can drive it.
    pre_out
        The line output of the processor that feeds an external amplifier; empty where the processor drives it itself.
    """

    run: str
    channel: str
    amplifier: str
    terminal: str
    pre_out: str = ""


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
