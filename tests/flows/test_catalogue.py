"""Reading, looking up and filling texts."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from flows.catalogue import (
    BrokenCatalogue,
    Catalogue,
    CatalogueError,
    Entry,
    UnknownText,
    WrongValues,
    load_catalogue,
    parse,
    read_catalogues,
)
from flows.promised import Kind
from flows.texts import TEXTS

HEADER = 'msgid ""\nmsgstr ""\n"Content-Type: text/plain; charset=UTF-8\\n"\n\n'


def catalogue() -> Catalogue:
    """Return two small languages, the second without a text that the first has."""
    return Catalogue(
        {
            "en": {
                "hello": Entry(text="Hello {name}, {n} plants. Bye {name}."),
                "bye": Entry(text="Bye"),
            },
            "sw": {"hello": Entry(text="Habari {name}, miche {n}.", flags=frozenset({"needs-review"}))},
        }
    )


@pytest.mark.parametrize(
    ("language", "expected"),
    [
        pytest.param("en", "Hello Asha, 300 plants. Bye Asha.", id="default"),
        pytest.param("sw", "Habari Asha, miche 300.", id="own-language"),
        pytest.param("fr", "Hello Asha, 300 plants. Bye Asha.", id="no-such-language"),
    ],
)
def test_fills_a_text_in_its_language(language: str, expected: str) -> None:
    """Each placeholder gets its value; a language that is not there is answered in the default one."""
    assert expected == catalogue().render("hello", language, {"name": "Asha", "n": 300})


def test_a_text_its_language_lacks_comes_in_the_default_language() -> None:
    """A half-translated catalogue answers rather than falls silent."""
    assert "Bye" == catalogue().render("bye", "sw", {})


@given(
    value=st.text(max_size=40) | st.sampled_from(["{name}", "{n}", "{svc}", "{{name}}", "%s", "{0}", "\\1"])
)
def test_a_value_is_never_read_as_a_placeholder(value: str) -> None:
    """Whatever somebody calls themselves stands in the text as it is."""
    assert f"Habari {value}, miche 1." == catalogue().render("hello", "sw", {"name": value, "n": 1})


def test_an_unknown_text_is_an_error_that_names_it() -> None:
    """Asking for a text that nobody wrote is a programmer's mistake."""
    with pytest.raises(UnknownText, match="no text 'helo', neither in 'sw' nor in the default language"):
        catalogue().render("helo", "sw", {})


@pytest.mark.parametrize(
    ("values", "message"),
    [
        pytest.param({"name": "Asha"}, r"missing \['n'\], without a place \[\]", id="missing"),
        pytest.param(
            {"name": "Asha", "n": 1, "kg": 2}, r"missing \[\], without a place \['kg'\]", id="extra"
        ),
    ],
)
def test_wrong_values_are_an_error_that_names_them(values: dict[str, str | int], message: str) -> None:
    """A value too few would send a brace to a farmer; one too many is forgotten wording."""
    with pytest.raises(WrongValues, match=message):
        catalogue().render("hello", "en", values)


def test_every_mistake_is_a_catalogue_error() -> None:
    """One type catches whatever is wrong with a text."""
    for mistake in (BrokenCatalogue, UnknownText, WrongValues):
        assert issubclass(mistake, CatalogueError)


def test_a_catalogue_without_its_default_language_is_refused() -> None:
    """There must be something to fall back to."""
    with pytest.raises(BrokenCatalogue, match=r"flows/locale/en\.po: the default language has no texts"):
        Catalogue({"sw": {"bye": Entry(text="Kwaheri")}})


def test_reads_entries_with_their_marks() -> None:
    """An entry is its wording, its marks and its number of forms."""
    po = f"""{HEADER}#, needs-review
msgid "bye"
msgstr "Kwaheri {{name}}, 100% d"

#, fuzzy
msgid "jobs"
msgid_plural "jobs"
msgstr[0] "kazi"
msgstr[1] "kazi {{n}}"

msgid "empty"
msgstr ""
"""

    entries = parse("sw", po)

    assert Entry(text="Kwaheri {name}, 100% d", flags=frozenset({"needs-review"})) == entries["bye"]
    assert Entry(text="kazi", flags=frozenset({"fuzzy"}), forms=2) == entries["jobs"]
    assert Entry(text="") == entries["empty"]
    assert frozenset({"name"}) == entries["bye"].placeholders


@pytest.mark.parametrize(
    ("po", "message"),
    [
        pytest.param(
            'msgid "a"\nmsgstr "b"\n\nmsgid "a"\nmsgstr "c"\n', "more than one entry for a", id="twice"
        ),
        pytest.param(
            'msgid "a"\nmsgstr "b\n', 'line 6 cannot be read: msgstr "b', id="quotation-mark-missing"
        ),
        pytest.param('msgid "a" "b"\n', "line 5 cannot be read", id="two-strings-on-a-line"),
        pytest.param("Hello\n", "line 5 cannot be read: Hello", id="no-catalogue"),
        pytest.param('msgtext "a"\n', r"sw\.po: ", id="no-keyword-of-gettext"),
    ],
)
def test_refuses_a_broken_file_by_name(po: str, message: str) -> None:
    """A file that cannot be used is named, with what is the matter."""
    with pytest.raises(BrokenCatalogue, match=message):
        parse("sw", HEADER + po)


def test_knows_which_texts_wait_for_a_reviewer() -> None:
    """What nobody has read yet can be listed."""
    assert frozenset({"hello"}) == catalogue().needs_review("sw")
    assert frozenset() == catalogue().needs_review("en")


def test_loads_the_languages_that_come_with_it() -> None:
    """English and Swahili are there, and a text comes out filled."""
    texts = load_catalogue()

    assert ("en", "sw") == texts.languages
    assert "Asante Asha. Imekamilika: Magugu." == texts.render(
        "done_noted", "sw", {"name": "Asha", "job": texts.render("task.weeds.label", "sw", {})}
    )


def test_first_aid_waits_for_an_authority_and_all_swahili_for_a_speaker() -> None:
    """Neither has been approved, and the catalogues say so until somebody has."""
    texts = load_catalogue()

    first_aid = {text_id for text_id, text in TEXTS.items() if text.kind is Kind.FIRST_AID}

    assert first_aid | {"paper.emergency"} == texts.needs_review("en")
    assert TEXTS.keys() == texts.needs_review("sw")


def test_every_text_can_be_said_in_every_language() -> None:
    """With the values it is promised, each text comes out without a brace."""
    texts = Catalogue(read_catalogues())

    for text_id, promised in TEXTS.items():
        for language in texts.languages:
            assert "{" not in texts.render(text_id, language, dict.fromkeys(promised.placeholders, 1))
