"""Alerts in the terminal's words: a draft with what it would do, and how one goes."""

import json

from service.core.alerts import EXCLUDED_WORDS, Alert, Count
from service.use_cases.alerts.previewing import Preview


def preview_lines(made: Alert, preview: Preview) -> str:
    """Return a draft with whom it would reach and what it would cost."""
    reach = preview.reach
    lines = [f"Alert {made.id} is a draft for {reach.phones} phones of {reach.audience}:"]
    lines += [f"  {text.language}, {text.parts} part(s): {text.text}" for text in made.texts]
    lines += [f"  left out: {phones} {EXCLUDED_WORDS[reason]}" for reason, phones in reach.excluded.items()]
    lines += [
        f"  {one.phones} of {preview.free} get alert {one.alert.id} that day as well"
        for one in preview.earlier
    ]
    paid = "no cap" if preview.parts_left is None else f"{preview.parts_left} left"
    lines.append(f"  cost: {preview.parts} parts ({paid}); reached in time: {preview.in_time}")
    if preview.night:
        when = "people sleep" if preview.night.late else "the sun sets"
        lines.append(f"  texted before {when}: {preview.by_night}")
    if preview.second_person:
        lines.append("  a second person has to approve it")
    return "\n".join([*lines, f"Send it: trussline alert send {made.id} --by NAME"])


def preview_json(made: Alert, preview: Preview) -> str:
    """Return the same for a script."""
    return json.dumps(
        {
            "alert": made.id,
            "state": made.state,
            "texts": {text.language: text.text for text in made.texts},
            "phones": preview.reach.phones,
            "farmers": preview.reach.farmers,
            "excluded": preview.reach.excluded,
            "parts": preview.parts,
            "in_time": preview.in_time,
            "missing": dict(preview.missing),
            "second_person": preview.second_person,
        }
    )


def figures(counted: Count) -> list[tuple[str, int]]:
    """Return how an alert goes, a name and a number a line."""
    names = ("sent", "waiting", "failed", "cancelled", "in_doubt")
    lines = [(name.replace("_", " "), int(getattr(counted, name))) for name in names]
    lines += [(EXCLUDED_WORDS[reason], phones) for reason, phones in counted.excluded.items()]
    lines.append(("audience", counted.audience))
    return lines + [
        (f"answered {answer.replace('_', ' ')}", phones) for answer, phones in counted.answers.items()
    ]
