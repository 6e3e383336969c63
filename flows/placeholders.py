"""Every placeholder of the texts, with its longest filling: a text must fit with these in all its places."""

from typing import Final

from flows.promised import Filling, Longest

SHORT_DATE: Final = "Jtano 25/11"
FULL_DATE: Final = "Jtano 25/11/2026"
_PEOPLE: Final = " ".join(f"{number} {'W' * 12}" for number in range(1, 10))

# One name is one value everywhere; a filling is as long as its value can become.
PLACEHOLDERS: Final[dict[str, Filling]] = {
    "name": "W" * 12,
    "svc": "W" * 24,
    "kg": "12500.75",
    "kg_1": "12500.75",
    "kg_2": "12500.75",
    "kg_old": "12500.75",
    "kg_sum": "12500.75",
    "kg_last": "12500.75",
    "total": "125000.75",
    "year_total": "125000.75",
    "n": "100000",
    "farmers": "100000",
    "asked": "10000",
    "questions": "10000",
    "weeks": "3",
    "age": "1095",
    "amount": "12",
    "task": "9",
    "code": "W1234",
    "number": "+255123456789",
    "text": "W" * 20,
    "day": "3 Jtano",
    "days": "1 Jtatu 3 Jtano 6 Jmosi",
    "week": "1 Jtatu 2 Jnne 3 Jtano 4 Alh 5 Ijm 6 Jmosi 7 Jpili",
    "date": SHORT_DATE,
    "date_first": SHORT_DATE,
    "date_from": SHORT_DATE,
    "date_to": SHORT_DATE,
    "day_1": SHORT_DATE,
    "day_2": SHORT_DATE,
    "date_1": FULL_DATE,
    "date_2": FULL_DATE,
    "districts": "W" * 200,
    "place": "9",
    "language": "W" * 12,
    "languages": " ".join(f"{number} {'W' * 12}" for number in range(1, 6)),
    "invitations": "W" * 130,
    "people": _PEOPLE,
    "job": Longest(ids=".label"),
    "jobs": Longest(ids=".label", most=9),
    "what": Longest(ids="finding."),
    "officer": "W" * 16,
    "district": "W" * 24,
    "temp": "-15",
    "chance": "100",
    "mm": "500",
    "least": "-15",
    "most": "500",
    "words": "W" * 240,
}
