"""What is taken back: "undo", "undo 3 kg", "I was wrong, it is 7 kg, not 3".

A weight beside such a word speaks of a weight: no job that was reported is opened again by it.
"""

from flows.inputs import Input, Undo
from flows.reader.given import Given
from flows.reader.lexicon import Form
from flows.reader.replies import put_right
from flows.remarks import Correct


def taken_back(given: Given) -> Input:
    """Read what shall be taken back, or what shall stand instead."""
    scan = given.scan
    weights = [amount for amount in scan.amounts if amount.thing is None]
    if not weights or scan.question:
        return Undo()
    right = put_right(scan, weights)
    if right is not None:
        given.why.append("a weight put right")
        return right
    first = weights[0]
    denied = first.start > 0 and scan.word(first.start - 1) in scan.lexicon.negations
    if first.unit is None and not denied:
        return Undo()
    if len(weights) > 1 or denied or given.found.command.form is Form.MAIN:
        return Undo(grams=first.grams)
    return Correct(grams=first.grams)
