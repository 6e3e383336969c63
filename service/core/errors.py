"""The service's own exceptions.

TrusslineError
├── SettingError            a setting is missing or wrong; the sentence says which and what to do
├── KeyFileError            the key file cannot be read or made
└── Refused                 a person asked for something that may not be done; the sentence is for them
    └── Unsure              what a person entered may be a slip: it is kept as soon as they say that it is right

A farmer's text is never an exception: whatever is typed is an input and gets an answer.
"""


class TrusslineError(Exception):
    """Base of everything this service raises on purpose."""


class SettingError(TrusslineError):
    """A setting is missing or wrong."""


class KeyFileError(TrusslineError):
    """The key file cannot be read, made or trusted."""


class Refused(TrusslineError):
    """What was asked may not be done; the message is one sentence for the person who asked."""


class Unsure(Refused):
    """What was entered may be a slip; the message is the question for the person who entered it.

    Attributes:
        expected_g: what was expected in its place, in grams.
    """

    def __init__(self, question: str, *, expected_g: int) -> None:
        super().__init__(question)
        self.expected_g = expected_g
