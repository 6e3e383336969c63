"""Septets packed into octets, for SMS and USSD."""

import gsm0338
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from flows.alphabet import parts, septets
from flows.gsm7_tables import BASIC, CHARACTERS, EXTENSION
from flows.packing import USSD_SEPTETS, pack, pack_ussd, unpack, unpack_ussd

LOREM = (
    "Lorem ipsum dolor sit amet, consectetur adipiscing elit, sed do eiusmod tempor incididunt "
    "ut labore et dolore magna aliqua."
)
LOREM_PACKED = (
    "CCB7BCDC06A5E1F37A1B447EB3DF72D03C4D0785DB653A0B347EBBE7E531BD4CAFCB4161721A9E9E8FD3EE33A8CC4ED359A079990C"
    "22BF41E5747DDE7E9341F4721BFE9683D2EE719A9C26D7DD74509D0E6287C56F791954A683C86FF65B5E06B5C36777181466A7E3F5"
    "B00B"
)

# Origins: smspdudecoder's tests and docstrings (MIT), node-pdu's README (MIT), the README of npm gsm7 (ISC).
PACKED = [
    pytest.param("hello", 5, "E8329BFD06", id="smspdudecoder-hello"),
    pytest.param("hellohello", 10, "E8329BFD4697D9EC37", id="smspdudecoder-hellohello"),
    pytest.param("How are you?", 12, "C8F71D14969741F977FD07", id="smspdudecoder-how-are-you"),
    pytest.param("1234567", 7, "31D98C56B3DD00", id="smspdudecoder-seven"),
    pytest.param("12345678", 8, "31D98C56B3DD70", id="smspdudecoder-eight"),
    pytest.param("[10€]", 8, "1B5E0CB6296F7C", id="smspdudecoder-extension"),
    pytest.param("2 € par mois", 13, "32D0A60C8287E5A0F63B3D07", id="smspdudecoder-euro"),
    pytest.param("Hello, world!", 13, "C8329BFD6681EE6F399B1C02", id="node-pdu-world"),
    pytest.param("Hello everyone!", 15, "C8329BFD0695ED6579FEED2E8700", id="node-pdu-everyone"),
    pytest.param(
        "This ~is a ^test for GSM7 {decoder}.",
        40,
        "54747A0EDAF4D2735018B4A1D0CB733AC8FC96838ED3E60DB44191CBE337B92CDFA45C",
        id="npm-gsm7-decoder",
    ),
    pytest.param(LOREM, 123, LOREM_PACKED, id="smspdudecoder-lorem"),
]

# Origins: smspdudecoder (MIT); the fifteen-septet case is also a fact of libosmocore's ussd_test.
USSD = [
    pytest.param("1234567", "31D98C56B3DD1A", id="seven-filled-with-return"),
    pytest.param("0123456789ABCDE", "B0986C46ABD96EB85C503824161B", id="fifteen-filled-with-return"),
    pytest.param("*115*5#", "AA58ACA6AA8D1A", id="service-code"),
    pytest.param("123456€\r", "31D98C56B36DCA0D", id="wanted-return-after-euro"),
    pytest.param("12345678\r", "31D98C56B3DD700D", id="wanted-return-alone-in-its-octet"),
]

GSM7_TEXT = st.text(alphabet=sorted(CHARACTERS), max_size=400)


@pytest.mark.parametrize(("text", "count", "packed"), PACKED)
def test_packs_and_unpacks_published_vectors(text: str, count: int, packed: str) -> None:
    """Published texts have the published length, octets and single part, and come back from the octets."""
    assert count == septets(text)
    assert packed == pack(text).hex().upper()
    assert text == unpack(bytes.fromhex(packed), count)
    assert 1 == parts(text)


@pytest.mark.parametrize(("text", "packed"), USSD)
def test_packs_and_unpacks_published_ussd_vectors(text: str, packed: str) -> None:
    """Published USSD strings have the published octets, filled with a return where seven bits are spare."""
    assert packed == pack_ussd(text).hex().upper()
    assert text == unpack_ussd(bytes.fromhex(packed))


def test_a_ussd_string_holds_182_septets() -> None:
    """160 octets are 182 septets (GSM 04.80 annex A, as quoted by libosmocore)."""
    assert USSD_SEPTETS == 160 * 8 // 7


def test_both_tables_are_those_of_the_standard() -> None:
    """Every character packs to the code gsm0338 gives it (MIT; 3GPP TS 23.038, 6.2.1)."""
    codec = gsm0338.Codec()

    for char, code in BASIC.items():
        assert (bytes([code]), 1) == codec.encode(char)
    for char, code in EXTENSION.items():
        assert (bytes([0x1B, code]), 1) == codec.encode(char)
    assert (127, 10) == (len(BASIC), len(EXTENSION))


@pytest.mark.parametrize(
    ("octets", "count", "text"),
    [
        pytest.param([0x1B, 0x61], 2, "a", id="unknown-extension-shows-the-basic-character"),
        pytest.param([0x1B, 0x1B], 2, " ", id="escape-of-an-escape-is-a-space"),
        pytest.param([0x61, 0x1B], 2, "a ", id="escape-at-the-end-is-a-space"),
        pytest.param([0x1B, 0x1B, 0x65], 3, " e", id="the-second-escape-escapes-nothing"),
    ],
)
def test_reads_odd_escapes_as_a_receiver_must(octets: list[int], count: int, text: str) -> None:
    """What no sender should send is shown as the standard asks (3GPP TS 23.038, 6.2.1.1, from memory)."""
    bits = sum(code << 7 * place for place, code in enumerate(octets))

    assert text == unpack(bits.to_bytes(8, "little"), count)


@pytest.mark.parametrize(
    ("octets", "held", "count"),
    [
        pytest.param(2, 2, 3, id="one-too-many"),
        pytest.param(7, 8, 9, id="one-more-than-the-last-octet-completes"),
        pytest.param(2, 2, -1, id="less-than-none"),
    ],
)
def test_refuses_more_septets_than_there_are(octets: int, held: int, count: int) -> None:
    """A length that its octets cannot hold is an error, not silence."""
    with pytest.raises(ValueError, match=f"^{octets} octets hold {held} septets, not {count}$"):
        unpack(bytes(octets), count)


def test_a_wanted_return_at_the_end_of_an_octet_is_sent_twice() -> None:
    """Returning twice does no harm, losing the return would (3GPP TS 23.038, 6.1.2.3.1)."""
    assert "1234567\r\r" == unpack_ussd(pack_ussd("1234567\r"))


@given(text=GSM7_TEXT)
def test_packing_gives_the_text_back(text: str) -> None:
    """Packing and unpacking are each other's inverse for every GSM-7 text."""
    assert text == unpack(pack(text), septets(text))


@given(text=GSM7_TEXT)
@example(text="a" * 7 + "\r")
@example(text="a" * 6 + "\r")
def test_ussd_gives_the_text_back(text: str) -> None:
    """A USSD string comes back, at most with its last carriage return doubled."""
    back = unpack_ussd(pack_ussd(text))

    assert back in {text, text + "\r"}
    assert back == text or text.endswith("\r")
