"""Words that were typed without the space between them: "tenkgs", "VUNAKG9"."""

from collections.abc import Iterator, Sequence
from dataclasses import replace

from flows.reader.lexicon import Lexicon
from flows.reader.normalise import Kind, Token
from flows.reader.pack import Intent


def parted(tokens: Sequence[Token], lexicon: Lexicon) -> tuple[Token, ...]:
    """Return the tokens with a unit of weight cut from the number or the word for a picking it is glued to."""
    if not any(token.kind is Kind.WORD and _ends_in_unit(token.key, lexicon) for token in tokens):
        return tuple(tokens)
    return tuple(piece for token in tokens for piece in _pieces(token, lexicon))


def _ends_in_unit(word: str, lexicon: Lexicon) -> bool:
    units = lexicon.long_units
    return (word.endswith(units) or word.startswith(units)) and word not in lexicon.units


def _pieces(token: Token, lexicon: Lexicon) -> Iterator[Token]:
    cut = _cut(token.key, lexicon) if token.kind is Kind.WORD and len(token.key) == len(token.raw) else None
    if cut is None:
        yield token
        return
    for start, end in ((0, cut), (cut, len(token.key))):
        yield replace(
            token, key=token.key[start:end], raw=token.raw[start:end], end=token.end - len(token.key) + end
        )


def _cut(word: str, lexicon: Lexicon) -> int | None:
    """Return where a word falls apart into a unit and something that stands beside one, None where it does not."""
    for unit in lexicon.long_units:
        front, back = word.removesuffix(unit), word.removeprefix(unit)
        if front != word and (_is_number(front, lexicon) or _is_picking(front, lexicon)):
            return len(front)
        if back != word and _is_number(back, lexicon):
            return len(unit)
    return None


def _is_number(word: str, lexicon: Lexicon) -> bool:
    return any(word in words.ones or word in words.tens for words in lexicon.numbers)


def _is_picking(word: str, lexicon: Lexicon) -> bool:
    command = lexicon.commands.get(word)
    return word in lexicon.picking or (command is not None and command.intent is Intent.HARVEST)
