"""What a piece of furniture is, by the whole words of its kind, or of its name where the kind says nothing.

The lists are common practice, no source. In a compound the last word tells what a thing is: a bedside table is a table,
and a sofa bed a bed.
"""

import re

from seatfield.model import Furniture

SEATING = frozenset(
    {
        "sofa", "couch", "settee", "loveseat", "chair", "armchair", "rocker", "recliner", "bench", "bed", "daybed",
        "stool", "footstool", "seat", "pouf", "pouffe", "ottoman", "hassock", "cushion", "mattress", "beanbag", "futon",
        "divan", "lounger", "chaise", "crib", "cot",
    }
)  # fmt: skip
"""People sit or lie on these, and a flat cable passes under them."""

LAID = frozenset({"rug", "carpet", "mat", "runner", "bag"})
"""These lie on the floor; a bag is a bean bag."""

CARRIERS = frozenset(
    {
        "table", "desk", "shelf", "shelves", "shelving", "cabinet", "cupboard", "console", "sideboard", "chest",
        "drawers", "dresser", "bookcase", "rack", "stand", "credenza", "buffet", "wardrobe", "unit", "locker",
        "nightstand",
        "box", "trunk", "counter", "island", "plinth", "mantelpiece", "piano", "lowboard", "highboard", "closet",
    }
)  # fmt: skip
"""Nobody sits on these, whatever else their name says; a loudspeaker may stand on them."""

_CARRYING_BENCH = frozenset(
    {"media", "tv", "television", "hifi", "fi", "av", "work", "stereo", "screen", "potting"}
)
_PHRASE_ENDS = re.compile(
    r"[,;(/]|\b(?:by|with|for|in|at|on|of|under|behind|near|beside|next|from|against|opposite)\b"
)


def is_seating(piece: Furniture) -> bool:
    """Tell whether people sit or lie on a piece of furniture, or it lies on the floor like a rug.

    Parameters
    ----------
    piece
        Its kind decides where it holds a word that is known here; else its name does. Of a bench without more, the name
        tells which it is: a media bench carries loudspeakers.

    Returns
    -------
    bool
        False for what neither tells.
    """
    told = _seats(piece.kind)
    if piece.kind.lower().strip() == "bench" and _seats(piece.name) is False:
        return False
    return bool(_seats(piece.name) if told is None else told)


def is_one_of(piece: Furniture, words: frozenset[str]) -> bool:
    """Tell whether a piece of furniture is one of some things.

    Parameters
    ----------
    piece
        Its kind decides where it holds a word that is known here; else its name does.
    words
        The things, singular and in small letters; they count as known.

    Returns
    -------
    bool
        By the last known word: a bedside table is no bed, and a plant stand no plant.
    """
    known = SEATING | LAID | CARRIERS | words
    told = (
        next((word for word in reversed(_words(text, known)) if word in known), None)
        for text in (piece.kind, piece.name)
    )
    return next((word for word in told if word is not None), "") in words


def _words(text: str, known: frozenset[str]) -> list[str]:
    """Return the words before the first preposition or comma, known ones in the singular."""
    phrase = next((part for part in _PHRASE_ENDS.split(text.lower()) if part.strip()), "")
    return [_singular(word, known) for word in re.findall(r"[^\W\d_]+", re.sub(r"['’]s\b", "", phrase))]


def _seats(text: str) -> bool | None:
    """Judge by the last known word before the first preposition or comma; None where no word is known."""
    words = _words(text, SEATING | LAID | CARRIERS)
    for place in range(len(words) - 1, -1, -1):
        word = words[place]
        if word in CARRIERS or (word == "bench" and place and words[place - 1] in _CARRYING_BENCH):
            return False
        if word in SEATING or word in LAID:
            return True
    return None


def _singular(word: str, known: frozenset[str]) -> str:
    singular = word.removesuffix("es") if word.endswith("ches") else word.removesuffix("s")
    return singular if word not in known and singular in known else word
