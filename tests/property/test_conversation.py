"""However long a farmer talks: an answer or a deliberate silence, never an error, at most one open question."""

from hypothesis import given, settings
from hypothesis import strategies as st

from flows.alphabet import parts
from flows.catalogue import load_catalogue
from flows.effects import Say
from flows.facts import Facts
from flows.states import JOINING, Conversation, State
from flows.texts import TEXTS
from flows.wording import Wording
from tests.depth import times
from tests.talking import ASHA, HELD, NEEMA, SAVED, Talk, facts

WORDING = Wording(load_catalogue())
WORDS = st.one_of(
    st.sampled_from(
        [
            *(
                "JOIN",
                "JIUNGE Asha 300",
                "12/10/2026",
                "Ketumali",
                "Rehema",
                "yes",
                "hapana",
                "1",
                "2",
                "3",
                "4",
                "5",
            ),
            *(
                "harvest 4",
                "vuna 500",
                "harvest 0",
                "harvest",
                "9 kg",
                "12.5",
                "done",
                "done 1",
                "tayari 2",
                "jobs",
            ),
            *(
                "kazi 2",
                "total",
                "undo",
                "stop",
                "acha",
                "cancel",
                "help",
                "ask",
                "why?",
                "hello",
                "sumu",
                "sprayed",
                "pulizia 7",
                "sijui",
                "0",
                "99",
            ),
        ]
    ),
    st.text(max_size=30),
)
PEOPLE = st.sampled_from(
    [facts(), facts(NEEMA), facts(NEEMA, ASHA), facts(HELD, ASHA), facts(ASHA, saved=SAVED)]
)


@settings(max_examples=times(60, each=40), deadline=None)
@given(known=PEOPLE, texts=st.lists(WORDS, max_size=25))
def test_any_walk_is_answered(known: Facts, texts: list[str]) -> None:
    """Every step ends in one state with plain data, and every answer fits the parts it is promised."""
    talk = Talk(facts=known)
    for words in texts:
        turn = talk.says(words)
        says = [effect for effect in turn.effects if isinstance(effect, Say)]

        assert says or turn.why == "yes or no without a question"
        assert isinstance(turn.conversation, Conversation)
        for say in says:
            assert parts(WORDING.write(say.phrase, say.language)) <= TEXTS[say.phrase.text_id].parts


@settings(max_examples=times(60, each=40), deadline=None)
@given(texts=st.lists(WORDS, max_size=12))
def test_a_stranger_gives_no_farmer_anything(texts: list[str]) -> None:
    """Without a farmer nothing but joining, asking and stopping can come of any texts."""
    talk = Talk(facts=facts())
    for words in texts:
        turn = talk.says(words)

        kinds = {type(effect).__name__ for effect in turn.effects}
        assert kinds <= {"Say", "AddFarmer", "AskedConsent", "SaveQuestion", "StopPhone"}
        assert turn.conversation.state in JOINING | {
            State.IDLE,
            State.CONSENT,
            State.QUESTION,
            State.STOP_OR_UNDO,
        }
