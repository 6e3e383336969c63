"""Questions that answers of ours settle, as a part of a language pack."""

from flows.reader.sections import AtLeastOne, Entries, Section


class AskingWords(Section):
    """The words of one such question; what they are for stands in `flows.reader.asking_words.Asking`."""

    how: AtLeastOne
    about: AtLeastOne
    never: Entries = ()


class AskingPack(Section):
    """Each question that an answer of ours settles."""

    total: AskingWords
    water: AskingWords
    price: AskingWords
    who: AskingWords
    help: AskingWords
    records: AskingWords
    visit: AskingWords
