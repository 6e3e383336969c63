import phonenumbers
import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from phonenumbers import PhoneNumberFormat, PhoneNumberType

from service.core.phone import BadNumber, PhoneNumber, read_number

REGIONS = ("TZ", "KE", "IN", "GH", "PE")
TZ = "+255621234567"


def example_of(region: str) -> phonenumbers.PhoneNumber:
    """Return the mobile number that phonenumbers' metadata gives as the region's example."""
    number = phonenumbers.example_number_for_type(region, PhoneNumberType.MOBILE)
    assert number is not None
    return number


@pytest.mark.parametrize("region", REGIONS)
@pytest.mark.parametrize(
    "form", [PhoneNumberFormat.E164, PhoneNumberFormat.INTERNATIONAL, PhoneNumberFormat.NATIONAL]
)
def test_the_example_numbers_of_five_regions_are_read_in_every_form(region: str, form: int) -> None:
    """The examples of phonenumbers' metadata (ITU numbering plans): as written at home and abroad."""
    expected = phonenumbers.format_number(example_of(region), PhoneNumberFormat.E164)

    assert PhoneNumber(expected, region) == read_number(
        phonenumbers.format_number(example_of(region), form), region
    )


@pytest.mark.parametrize("region", REGIONS)
def test_a_number_abroad_needs_its_plus(region: str) -> None:
    """With plus or 00 a number is read the same wherever we are."""
    expected = phonenumbers.format_number(example_of(region), PhoneNumberFormat.E164)

    for home in REGIONS:
        assert PhoneNumber(expected, region) == read_number(expected, home)
        assert PhoneNumber(expected, region) == read_number("00" + expected[1:], home)


SPELLINGS = [
    "0621234567",
    "621234567",
    "255621234567",
    "00255621234567",
    " +255 621 234 567 ",
    "+255 (0) 621 234 567",
    "+255-621-234-567",
    "0621/234.567",
    "0621\u2011234\u2013567",
    "\uff0b\uff12\uff15\uff15\uff16\uff12\uff11\uff12\uff13\uff14\uff15\uff16\uff17",
    "\u0660\u0666\u0662\u0661\u0662\u0663\u0664\u0665\u0666\u0667",
    "\u0660\u0660\u0662\u0665\u0665\u0666\u0662\u0661\u0662\u0663\u0664\u0665\u0666\u0667",
]


@pytest.mark.parametrize("text", SPELLINGS)
def test_one_number_has_many_spellings(text: str) -> None:
    """Groups, brackets, 00, no plus, full width and Arabic-Indic digits: one phone."""
    assert PhoneNumber(TZ, "TZ") == read_number(text, "TZ")


def test_00_is_the_international_prefix_everywhere() -> None:
    """Kenya dials 000 abroad, and phonenumbers would read 00254... as a number that is none."""
    assert (
        phonenumbers.format_number(example_of("KE"), PhoneNumberFormat.E164)
        == read_number("00254" + str(example_of("KE").national_number), "KE").e164
    )


@pytest.mark.parametrize(("region", "expected"), [("TZ", "+255621234567"), ("ZA", "+27621234567")])
def test_a_local_number_valid_in_two_countries_is_read_by_the_region(region: str, expected: str) -> None:
    """0621234567 is a mobile number in both: the region is told, never guessed."""
    assert PhoneNumber(expected, region) == read_number("0621234567", region)


NO_NUMBERS = {
    "typed O": "O621234567",
    "typed O inside": "0621O34567",
    "vanity": "0621BERRY7",
    "name": "ZARUVI",
    "extension": "0621234567;ext=5",
    "extension by mark": "0621234567#5",
    "pause": "0621234567,5",
    "service code": "*150*00#",
    "two pluses": "++255621234567",
    "plus inside": "0621+234567",
    "two numbers": "0621234567 0621234568 0621234569",
    "nothing": "",
    "blank": "  ",
    "only 00": "00",
    "short code": "15077",
    "digit missing": "062123456",
    "digit too many": "06212345678",
    "superscript": "062123456\u00b2\u00b2",
}


@pytest.mark.parametrize("text", NO_NUMBERS.values(), ids=NO_NUMBERS.keys())
def test_what_is_no_number_is_refused_with_an_example(text: str) -> None:
    """Nothing is dropped in silence: the sentence shows how a number is written here."""
    with pytest.raises(BadNumber, match=r"write it like \+255 621 234 567\.$"):
        read_number(text, "TZ")


@pytest.mark.parametrize(
    "text",
    [
        # A number of one's own with a digit too many would be a mobile number in Kazakhstan.
        "77012345678",
        # South Africa's code without its plus, in Tanzania.
        "27621234567",
    ],
)
def test_a_country_code_without_plus_is_understood_at_home_only(text: str) -> None:
    """Elsewhere a slip of the finger would text a stranger."""
    with pytest.raises(BadNumber, match="write it like"):
        read_number(text, "TZ")


def test_short_codes_are_no_phones() -> None:
    """12345 looks like a number to phonenumbers; nobody's phone has it."""
    for region in (*REGIONS, "US"):
        for code in ("12345", "15077", "911", "112"):
            with pytest.raises(BadNumber):
                read_number(code, region)


def test_a_fixed_line_cannot_be_texted() -> None:
    """Phonenumbers' example of a fixed line in Tanzania is a number, and no mobile."""
    fixed = phonenumbers.example_number_for_type("TZ", PhoneNumberType.FIXED_LINE)
    assert fixed is not None

    with pytest.raises(BadNumber, match="cannot receive texts: give a mobile number"):
        read_number(phonenumbers.format_number(fixed, PhoneNumberFormat.E164), "TZ")


def test_a_region_without_phones_is_a_fault_of_ours() -> None:
    """Settings refuse such a region; reading a number for it is no farmer's mistake."""
    with pytest.raises(LookupError, match="XX is no region"):
        read_number("0621234567", "XX")


def test_a_number_never_shows_itself() -> None:
    """Printed, formatted or in a traceback it shows its last three digits."""
    number = read_number(TZ, "TZ")

    assert ("567", "+...567") == (number.last3, number.masked)
    assert ["PhoneNumber(+...567)"] * 3 == [repr(number), str(number), f"{number}"]


@given(st.text(max_size=30))
@example("\x00")
@example("+")
@example("\ud800")
def test_any_text_is_a_number_or_a_sentence(text: str) -> None:
    """Whatever is typed, the answer is a phone or one sentence."""
    try:
        heard = read_number(text, "TZ").e164
    except BadNumber as error:
        heard = str(error)

    assert heard.endswith(".") or heard == read_number(heard, "KE").e164


@given(st.sampled_from(REGIONS), st.text(alphabet="0123456789+ -()", min_size=6, max_size=16))
def test_what_is_read_is_read_again(region: str, text: str) -> None:
    """The form that is kept is a form that is understood, and is the same number."""
    try:
        number = read_number(text, region)
    except BadNumber:
        return

    assert number == read_number(number.e164, region)
