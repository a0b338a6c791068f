"""Labels for both ends of every run, and the notches that tell a cable when its label is gone."""

from seatfield.catalogue.systems import plain_name
from seatfield.model import LengthUnit
from seatfield.stages.cable.result import Label, Run
from seatfield.stages.survey import tell_roughly

TAG_LETTERS = 8
"""What fits a tag in type that is read in a dim cabinet: common practice, no source."""

SHORT = {
    "subwoofer": "sub", "subwoofers": "subs", "loudspeaker": "spkr", "speaker": "spkr", "left": "L", "right": "R",
    "centre": "C", "center": "C", "surround": "surr", "height": "hgt", "ceiling": "clg", "front": "frt", "back": "bk",
    "number": "no",
}  # fmt: skip
"""Words that are written short on drawings and tags; common practice, no source."""

BACK_M = 0.30
"""A second label stands this far from each end, where trimming does not take it: common practice."""

ORDER = (
    "M+000", "M+030", "M-030", "M+110", "M-110", "M+090", "M-090", "M+135", "M-135", "U+030", "U-030", "U+045", "U-045",
    "U+110", "U-110", "U+135", "U-135", "LFE1", "LFE2", "M+180", "M+060", "M-060", "M+SC", "M-SC", "U+000", "U+090",
    "U-090", "U+180", "UH+180", "T+000", "B+000", "B+045", "B-045",
)  # fmt: skip
"""Channels in the order of their notches, the common ones first; a code never changes when a run is added."""

GROUP = 6
FIRST_FREE = len(ORDER)


def label_runs(runs: tuple[Run, ...], units: LengthUnit = LengthUnit.METRE) -> tuple[Label, ...]:
    """Return four labels for every run: at each end, and some way back from it.

    Parameters
    ----------
    runs
        With unique ids.
    units
        For the words.

    Returns
    -------
    tuple
        The same text at both ends; texts and notches are unique in the job.
    """
    texts = short_texts(tuple(run.id for run in runs))
    codes = notch_codes(tuple((run.id, run.channel) for run in runs))
    labels = []
    for run in runs:
        there = f"{plain_name(run.channel)} {'subwoofer' if run.kind == 'line' else 'loudspeaker'}"
        here = f"{run.amplifier}, {run.terminal}" if run.terminal else run.amplifier
        for end, far in ((run.amplifier, there), (run.loudspeaker, here)):
            labels += [
                Label(run.id, f"at {end}", texts[run.id], far, codes[run.id]),
                Label(run.id, f"{back_words(units)} back from {end}", texts[run.id], far, codes[run.id]),
            ]
    return tuple(labels)


def back_words(units: LengthUnit) -> str:
    """Return how far back the second label stands, in the project's unit."""
    return tell_roughly(BACK_M, units)


def short_texts(ids: tuple[str, ...]) -> dict[str, str]:
    """Return a text for every id that fits a tag, is plain letters, and is unique.

    Parameters
    ----------
    ids
        Unique ids, of any letters and length.

    Returns
    -------
    dict
        The id itself where it fits; else its words written short, then without their vowels; with a number where
        that is another's already.
    """
    texts: dict[str, str] = {}
    taken = {i for i in ids if _fits(i)}
    for name in ids:
        if _fits(name):
            texts[name] = name
            continue
        plain = _written_short(name) or "run"
        number = 0
        text = plain[:TAG_LETTERS]
        while text in taken:
            number += 1
            text = f"{plain[: TAG_LETTERS - len(str(number)) - 1]}.{number}"
        texts[name] = text
        taken.add(text)
    return texts


def _written_short(name: str) -> str:
    """Return a name in plain letters, as short as a tag wants it: by known short words, then without vowels."""
    letters = "".join(c if c.isascii() and (c.isalnum() or c in "+-") else " " for c in name)
    words = [SHORT.get(word.lower(), word) for word in letters.split()]
    for place in sorted(range(len(words)), key=lambda i: -len(words[i])):
        if len("".join(words)) <= TAG_LETTERS:
            break
        words[place] = _without_vowels(words[place])
    return "".join(words)


def _without_vowels(word: str) -> str:
    return word[:1] + "".join(c for c in word[1:] if c.lower() not in "aeiou")


def _fits(name: str) -> bool:
    return len(name) <= TAG_LETTERS and name.isascii() and name.isprintable()


def notch_codes(runs: tuple[tuple[str, str], ...]) -> dict[str, str]:
    """Return a notch code for every run: two groups of one to six cuts, the first nearest the end.

    Parameters
    ----------
    runs
        Id and channel of each run.

    Returns
    -------
    dict
        Such as ``|| |||``: two cuts, a gap, three cuts. The code belongs to the channel, so that it stays when other
        runs come or go; a second run of a channel, or a channel of no standard, takes the next free code.
    """
    codes: dict[str, str] = {}
    used: set[int] = set()
    later = []
    for name, channel in runs:
        place = ORDER.index(channel) if channel in ORDER else -1
        if place < 0 or place in used:
            later.append(name)
        else:
            used.add(place)
            codes[name] = _notches(place)
    free = (n for n in range(FIRST_FREE, GROUP**3) if n not in used)
    for name in later:
        codes[name] = _notches(next(free))
    return codes


def _notches(number: int) -> str:
    groups = []
    while True:
        groups.append("|" * (number % GROUP + 1))
        number //= GROUP
        if number == 0:
            break
    if len(groups) == 1:
        groups.append("|")
    return " ".join(groups)
