"""What is offered at one moment: the answers of the open question, and the jobs of the farmer's list by their names."""

from collections.abc import Iterable, Mapping

from flows.facts import Facts, Farmer, FarmerState
from flows.moves.jobs import WHICH, placed
from flows.offers import Offers
from flows.reader.normalise import tokens
from flows.reader.offered import Offer
from flows.states import Conversation
from flows.wording import Wording


def whose_jobs(talk: Conversation, facts: Facts) -> Farmer | None:
    """Return the farmer whose list a text may be about, None where it may be more than one's."""
    active = facts.with_state(FarmerState.ACTIVE)
    return active[0] if len(active) == 1 else facts.farmer(talk.farmer_id)


def names_of_jobs(
    farmer: Farmer | None, wording: Wording, languages: Iterable[str]
) -> Mapping[int, tuple[str, ...]]:
    """Return what each job is called in every language, by the number it has or would get."""
    jobs = placed(farmer) if farmer else {}
    return {
        place: tuple(wording.write(job.label, language) for language in languages)
        for place, job in jobs.items()
    }


def offers_of(talk: Conversation, offers: Offers, jobs: Mapping[int, tuple[str, ...]]) -> tuple[Offer, ...]:
    """Return the answers that the open question offers; asked which job is finished, the jobs themselves."""
    if talk.data.get(WHICH):
        return tuple(
            Offer(number=place, words=frozenset(token.key for token in tokens(name)))
            for place, names in jobs.items()
            for name in names
        )
    return offers.of(talk)
