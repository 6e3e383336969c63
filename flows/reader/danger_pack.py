"""Dangers as a part of a language pack: words that raise an alarm only together."""

from collections.abc import Mapping
from typing import Annotated

from pydantic import Field

from flows.alarms import Harm
from flows.reader.sections import AtLeastOne, Entries, Section


class Together(Section):
    """Words that raise an alarm only together: what was done or is seen, and with what.

    Attributes:
        acts: what was done or is seen.
        roots: verb roots of further `acts`, in every person and tense of `Danger`.
        things: with what.
        sprayed: whether everything that is sprayed counts among `things`, among `acts` where bodies are the things.
        bodies: whether parts of somebody's body count among `things`.
        near: how many words may stand between the two.
        over: the only words that may stand between them; any where none is listed.
        across: whether a word of `Danger.apart` may stand between them.
        slips: whether one slip of the finger in `acts` is forgiven.
    """

    harm: Harm
    acts: Entries = ()
    roots: Entries = ()
    things: Entries = ()
    sprayed: bool = False
    bodies: bool = False
    near: Annotated[int, Field(ge=0, le=40)]
    over: Entries = ()
    across: bool = False
    slips: bool = False


class Danger(Section):
    """Dangers that are told in words that are harmless one by one.

    Attributes:
        sprayed: what is sprayed on plants.
        apart: words that part what stands before them from what stands behind.
        harmless: phrases that hold such a word and mean no danger.
        ordinary: words one letter away from one of `acts` or `things`, never taken for it.
        subjects: the persons of verb forms, before a tense.
        tenses: what follows a subject.
        persons: beginnings of verb forms that need no tense: "ka" is everyday speech for "ame".
        objects: what may stand between the beginning of a verb form and its root.
        owners: what stands before a part of a body, where that is said in a word of its own: "my", "his".
        body: the parts of a body.
        somebody: words for persons.
        other: what a word of harm may be about beside persons: plants, pests, prices.
        asking: what says that nothing has happened.
    """

    sprayed: AtLeastOne
    apart: Entries = ()
    harmless: Entries = ()
    ordinary: Entries = ()
    subjects: Entries = ()
    tenses: Entries = ()
    persons: Entries = ()
    objects: Entries = ()
    owners: Entries = ()
    body: AtLeastOne
    somebody: AtLeastOne
    other: AtLeastOne
    asking: AtLeastOne
    pairs: Mapping[str, Together]
