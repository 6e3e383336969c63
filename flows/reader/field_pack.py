"""Work in the field as a part of a language pack: the words around picking, jobs, sprays and water."""

from collections.abc import Mapping

from flows.reader.sections import AtLeastOne, Entries, Section
from flows.vessels import Vessel


class Picking(Section):
    """Words that report a picking only with a weight beside them.

    Attributes:
        words: such words.
        fields: what tells one of several fields.
        none: what says that nothing will be brought, where that is asked.
        beside: words that change nothing about a picking: who of the family picked, why not more.
        people: who may have picked; where no picking is told, a weight may be their own.
        other: what else is weighed: beside it a weight may not be of our fruit.
        counted_before: what, before a number, says that it counts no kilos: an hour, a row, people.
        counted_behind: the same behind a number.
        each: what says that a weight is of one thing among several.
    """

    subjects: Entries = ()
    tenses: Entries = ()
    roots: Entries = ()
    words: Entries
    fields: Entries
    none: AtLeastOne
    beside: Entries = ()
    people: Entries = ()
    other: Entries = ()
    counted_before: Entries = ()
    counted_behind: Entries = ()
    each: Entries = ()


class JobWords(Section):
    """How a job is reported by the words of its title.

    Attributes:
        done: beginnings of verb forms that say it is finished.
        not_yet: beginnings of verb forms that say it is not.
        plain: beginnings of verb forms that say neither.
        same: other words for a word of a title.
    """

    done: Entries = ()
    not_yet: Entries = ()
    plain: Entries = ()
    same: Mapping[str, str] = {}


class Spraying(Section):
    """The words around the report of a spray.

    Attributes:
        named: commands that only name a spray: with other words beside them they report none.
        beside: words that change nothing about a spray, or about the days of its label.
        other: what is sprayed and holds no picking back.
        unsure: what says that something is not known.
    """

    named: Entries
    beside: AtLeastOne
    other: Entries
    unsure: AtLeastOne


class VesselWords(Section):
    """Words around what fruit is picked into.

    Attributes:
        kinds: what each kind is called.
        holds: what stands between a container and the kilos it holds.
        own: what may stand beside and changes nothing.
        lain: what may stand beside the hours for which fruit has lain in it.
    """

    kinds: Mapping[Vessel, AtLeastOne]
    holds: AtLeastOne
    own: Entries
    lain: AtLeastOne


class WaterWords(Section):
    """Words around water.

    Attributes:
        can: one thing that a person carries water in.
        hour: what may stand behind the litres that drip gives.
        gauge: what may stand beside the figure of a rain gauge and changes nothing.
    """

    can: AtLeastOne
    drip: AtLeastOne
    litre: AtLeastOne
    hour: AtLeastOne
    millimetre: AtLeastOne
    gauge: AtLeastOne
