"""Texts made to be taken for a statement, a template or a line of log stay the words they are."""

import io
import json
from itertools import product

import pytest

from service.core.gateway import InboundText
from service.logs import logger, set_up
from service.use_cases.receiving import clean, store
from tests.plain_logs import plain_logs
from tests.village import SERVICE_NUMBER, Village

# Made here from the grammar of SQL, of templates and of terminals: common practice, no source.
OPENINGS = ("'", '"', "')", "`", "\\'", "%27", "'; ", "0; ", "\u02bc", "$$")
STATEMENTS = (
    "DROP TABLE farmer",
    "DELETE FROM phone",
    "UPDATE farmer SET state = 'erased'",
    "OR 1=1",
    "OR '1'='1",
    "UNION SELECT sealed FROM phone",
    "INSERT INTO officer VALUES (1)",
    "ATTACH DATABASE 'x' AS y",
    "COPY farmer TO PROGRAM 'x'",
    "; PRAGMA writable_schema=1",
)
ENDINGS = ("--", "/*", "#", ";", ";--")
SQL = ["".join(words) for words in product(OPENINGS, STATEMENTS, ENDINGS)]
TEMPLATES = ("{svc}", "{{7*7}}", "{0.__class__}", "%s %(name)s", "${jndi:x}", "{% raw %}", "#{7*7}", "$name")
LOG_LINES = (
    '\r\n{"event": "forged"}',
    "\n2026-11-25 ERROR",
    "\x1b[2J\x1b[31mred",
    "\x00",
    "\u2028forged",
    "\x85forged",
    "\x9b31m",
)


def test_five_hundred_statements_are_inert(village: Village) -> None:
    """Each is stored to the byte, and the tables it speaks of are as they were."""
    phone = village.phone()
    phone.joins()
    tables = ("farmer", "phone", "officer", "harvest")
    before = {name: village.rows(f"SELECT * FROM {name}") for name in tables}  # noqa: S608 - names of this test
    now = village.clock.now()
    with village.database.work() as work:
        for place, words in enumerate(SQL):
            # Of many phones, none of which floods us.
            source = f"+25562100{place // 100:04d}"
            event = InboundText(
                event_id=words,
                message_ref=f"{place}{words}",
                source=source,
                destination=SERVICE_NUMBER,
                text=words,
                received_at=now,
            )
            assert store(work, village.tools, event, now, now)
        work.commit()

    rows = village.rows("SELECT text, raw, ref FROM inbound ORDER BY id")[-len(SQL) :]
    assert 500 == len(SQL)
    assert [(clean(words), words.encode(), f"{place}{words}") for place, words in enumerate(SQL)] == [
        (row["text"], bytes(row["raw"]), row["ref"])  # type: ignore[call-overload]
        for row in rows
    ]
    after = {name: village.rows(f"SELECT * FROM {name}") for name in tables}  # noqa: S608 - as above
    assert before["farmer"] == after["farmer"]
    assert before["officer"] == after["officer"]
    assert before["harvest"] == after["harvest"]
    assert len(before["phone"]) + 5 == len(after["phone"])


@pytest.mark.parametrize("words", [*TEMPLATES, SQL[0], *LOG_LINES], ids=repr)
def test_hostile_words_in_a_question_come_back_as_words(village: Village, words: str) -> None:
    """What is asked reaches the officer as it was typed, and nothing of it is filled in or carried out."""
    phone = village.phone()
    phone.joins()

    answer = phone.says(f"ask why {words} leaves")

    assert answer
    assert (
        clean(f"ask why {words} leaves")
        == village.row("SELECT text FROM inbound ORDER BY id DESC LIMIT 1")["text"]
    )
    (question,) = village.rows("SELECT text FROM question")
    assert " ".join(clean(f"why {words} leaves").split()) in " ".join(str(question["text"]).split())
    assert "49" not in answer


@pytest.mark.parametrize("words", LOG_LINES, ids=repr)
def test_no_word_begins_a_line_of_log(words: str) -> None:
    """However it is split, a log line stays one line, one object, and moves no terminal."""
    stream = io.StringIO()
    set_up(stream)
    logger().warning("refused", detail=words, reason=f"before{words}after")
    plain_logs()
    written = stream.getvalue()

    assert 1 == len(written.splitlines()) == written.count("\n")
    assert words == json.loads(written)["detail"]
    assert written.removesuffix("\n").isprintable()
