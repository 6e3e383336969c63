"""Work in the field as a part of a language pack: the words around a spray and around water."""

from flows.reader.sections import AtLeastOne, Entries, Section


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
