"""Septets packed into octets, as a modem or a USSD gateway carries them.

Sources: 3GPP TS 23.038, sections 6.1.2.1 (SMS), 6.1.2.3 (USSD) and 6.2.1 (escapes).
"""

from collections.abc import Iterable, Iterator
from itertools import chain
from typing import Final

from flows.alphabet import refuse_unfit
from flows.gsm7_tables import (
    BASIC,
    BASIC_BY_CODE,
    CARRIAGE_RETURN,
    ESCAPE,
    EXTENSION,
    EXTENSION_BY_CODE,
)

# The longest USSD string: 160 octets.
USSD_SEPTETS: Final = 182


def pack(text: str) -> bytes:
    """Return the septets of `text` packed for an SMS; spare bits at the end are 0.

    Raises:
        ValueError: a character is not in the 7-bit alphabet.
    """
    return _packed(_codes(text))


def unpack(octets: bytes, count: int) -> str:
    """Return the text of the first `count` septets packed in `octets`.

    As TS 23.038 asks of a receiver: an escape before a code the extension table lacks shows the basic
    character; an escape before another escape, or at the end, shows a space.

    Raises:
        ValueError: `octets` holds fewer septets than `count`.
    """
    held = len(octets) * 8 // 7
    if not 0 <= count <= held:
        message = f"{len(octets)} octets hold {held} septets, not {count}"
        raise ValueError(message)
    return "".join(_decoded(_unpacked(octets, count)))


def pack_ussd(text: str) -> bytes:
    """Return the septets of `text` packed for USSD.

    Seven spare bits would read as "@", so they are filled with a carriage return; a wanted carriage return
    that would be taken for such filling is sent twice (TS 23.038, 6.1.2.3.1).

    Raises:
        ValueError: a character is not in the 7-bit alphabet.
    """
    codes = _codes(text)
    spare = -len(codes) % 8
    if spare == 1 or (codes and spare == 0 and codes[-1] == CARRIAGE_RETURN):
        codes.append(CARRIAGE_RETURN)
    return _packed(codes)


def unpack_ussd(octets: bytes) -> str:
    """Return the text packed in a USSD string, without the carriage return that only fills the last octet."""
    codes = _unpacked(octets, len(octets) * 8 // 7)
    if codes and len(codes) % 8 == 0 and codes[-1] == CARRIAGE_RETURN:
        codes.pop()
    return "".join(_decoded(codes))


def _codes(text: str) -> list[int]:
    refuse_unfit(text)
    return list(
        chain.from_iterable(
            (ESCAPE, EXTENSION[char]) if char in EXTENSION else (BASIC[char],) for char in text
        )
    )


def _packed(codes: list[int]) -> bytes:
    bits = sum(code << 7 * place for place, code in enumerate(codes))
    return bits.to_bytes((len(codes) * 7 + 7) // 8, "little")


def _unpacked(octets: bytes, count: int) -> list[int]:
    bits = int.from_bytes(octets, "little")
    return [bits >> 7 * place & 0x7F for place in range(count)]


def _decoded(codes: Iterable[int]) -> Iterator[str]:
    escaped = False
    for code in codes:
        if escaped:
            yield " " if code == ESCAPE else EXTENSION_BY_CODE.get(code, BASIC_BY_CODE[code])
        elif code != ESCAPE:
            yield BASIC_BY_CODE[code]
        escaped = code == ESCAPE and not escaped
    if escaped:
        yield " "
