"""What is said when a quantity cannot be taken as it was written."""


class QuantityError(ValueError):
    """A quantity that cannot be taken as written; says what was given and what would be right.

    Attributes
    ----------
    given : str
        The text as it was written.
    wanted : str
        What would be right, as half a sentence.
    """

    def __init__(self, given: str, wanted: str) -> None:
        self.given = given
        self.wanted = wanted
        super().__init__(given, wanted)

    def __str__(self) -> str:
        return f'"{self.given}" is given; wanted: {self.wanted}'


class UnreadableQuantityError(QuantityError):
    """The text is no quantity of the kind that is wanted."""


class AmbiguousQuantityError(QuantityError):
    """The text can mean two quantities: the person is asked which, with both written out.

    Attributes
    ----------
    choices : tuple of str
        Unmistakable spellings of what may have been meant; each parses.
    """

    def __init__(self, given: str, choices: tuple[str, ...]) -> None:
        self.choices = choices
        super().__init__(given, " or ".join(choices))

    def __str__(self) -> str:
        return f'"{self.given}" can be read in two ways: did you mean {self.wanted}?'
