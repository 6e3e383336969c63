"""The turn from taking flowers off to leaving them on: nobody is told to remove what would be fruit."""

from dataclasses import dataclass

import pytest

from tests.village import Village

# Day 120 is the programme's own setting, see service/agronomy/data/calendar.toml.
STAY = 120
# Plots whose text day is today and have each another age: so every text day before day 120 is among them.
AGES = range(100, 107)


@dataclass(frozen=True, kw_only=True)
class Words:
    """How one language says it."""

    language: str
    off: str
    stay: str
    jobs: str


@pytest.mark.parametrize(
    "words",
    [
        Words(language="en", off="lowers off", stay="leave the flowers on", jobs="JOBS"),
        Words(language="sw", off="Toa maua", stay="usitoe maua tena", jobs="KAZI"),
    ],
    ids=["en", "sw"],
)
def test_the_last_removal_is_told_a_week_before_flowers_stay(village: Village, words: Words) -> None:
    """Whatever the text day: no text of the week before day 120 speaks of removing, and no list does from then on."""
    phones = {age: village.phone() for age in AGES}
    for age, phone in phones.items():
        phone.joins(days_ago=age, language=words.language)
    removing: dict[int, int] = {}
    leaving: dict[int, int] = {}
    listed: set[int] = set()
    for passed in range(1, STAY + 8 - AGES[0]):
        before = {age: len(phone.texts) for age, phone in phones.items()}
        village.pass_days(1)
        for joined, phone in phones.items():
            age, told = joined + passed, " ".join(phone.texts[before[joined] :])
            if words.off in told:
                removing[joined] = age
            if words.stay in told:
                leaving.setdefault(joined, age)
            if STAY <= age < STAY + 7 and words.off in phone.says(words.jobs):
                listed.add(age)

    assert set(AGES) == set(removing)
    assert max(removing.values()) <= STAY - 7 + 2, "a list on day 113, and the one question after it"
    assert dict.fromkeys(AGES, STAY) == leaving
    assert set() == listed
