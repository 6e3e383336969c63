"""How the scripts of this folder say that they cannot go on."""


class Refusal(Exception):
    """Why it cannot go on and what would help, in one sentence for the person at the terminal."""
