"""Whatever is open and whatever else a text says: a word of harm is answered by first aid before anything is asked."""

from hypothesis import given, settings
from hypothesis import strategies as st

from flows.alarms import Harm
from flows.alphabet import parts
from flows.catalogue import load_catalogue
from flows.effects import SaveQuestion, Say
from flows.facts import Farmer
from flows.first_aid_texts import DESPAIR, OF_HARM, WITHOUT_NUMBER
from flows.reader.pack import read_packs
from flows.states import State
from flows.wording import Wording
from tests.depth import times
from tests.talking import ASHA, HELD, NEEMA, SAVED, Talk, facts, said, talk_in

WORDING = Wording(load_catalogue())
ALARMS = [
    *((harm, word) for pack in read_packs() for harm in Harm for word in pack.alarm.harms[harm]),
    *((None, word) for pack in read_packs() for word in pack.alarm.distress),
]
BESIDE = (
    "",
    "12 kg, ",
    "vuna 12, ",
    "yes ",
    "2 ",
    "STOP, ",
    "jobs, ",
    "JIUNGE Rehema 300, ",
    "nimepulizia 7, ",
    "? ",
)
PEOPLE = ((NEEMA,), (HELD,), (NEEMA, ASHA))


@settings(max_examples=times(3_000, each=300))
@given(
    state=st.sampled_from(State),
    alarm=st.sampled_from(ALARMS),
    before=st.sampled_from(BESIDE),
    people=st.sampled_from(PEOPLE),
    number=st.sampled_from(["+255123456789", None]),
)
def test_first_aid_is_never_kept_waiting(
    state: State,
    alarm: tuple[Harm | None, str],
    before: str,
    people: tuple[Farmer, ...],
    number: str | None,
) -> None:
    """One text of one part for that kind or a graver one, an officer's list, and the open question stays as it was."""
    harm, word = alarm
    talk = talk_in(state)
    kinds = list(Harm)
    # Despair may name a poison, which is graver.
    aid = (
        [OF_HARM[one] for one in kinds[: kinds.index(harm) + 1]] if harm else [OF_HARM[Harm.POISON], DESPAIR]
    )

    turn = Talk(facts=facts(*people, saved=SAVED, emergency_number=number), conversation=talk).says(
        before + word
    )

    (told,) = said(turn)
    assert [SaveQuestion, Say] == [type(effect) for effect in turn.effects]
    assert told in (aid if number else [WITHOUT_NUMBER[one] for one in aid])
    assert talk == turn.conversation
    (say,) = (effect for effect in turn.effects if isinstance(effect, Say))
    assert [1, 1] == [parts(WORDING.write(say.phrase, language)) for language in ("en", "sw")]
