"""Playing days of the past through the service: what a worker would have done in them, quickly and in one thread."""

from collections.abc import Sequence
from datetime import datetime, timedelta
from pathlib import Path
from typing import Final

from flows.states import State
from scheduler.merge import merge_due
from scheduler.receiver import Receiver
from scheduler.sender import Sender
from scheduler.sweep import plan_due
from service.bootstrap import House
from service.clock import HandClock, local_day, local_instant
from service.core.phone import PhoneNumber
from service.demo_played import DemoDeed, DemoText, Played
from service.gateways.simulator import SIMULATOR_LIMITS, SimulatorGateway
from service.gateways.simulator_journal import Journal
from service.gateways.simulator_network import SimulatedNetwork

# Texts are written in the night and leave in the morning.
_PLANS_AT: Final = 1
_SENDS_AT: Final = 8


def rehearse(house: House, played: Sequence[Played], until: datetime, *, journal: Path) -> None:
    """Live through the days from the first text to `until`: plan, send, take in texts at their times, answer them.

    What reaches a phone is written to `journal`, from which the network's own process knows it afterwards.
    """
    zone = house.settings.zone
    kept = Journal(journal)
    stage = _Stage(house, kept, played[0].at)
    try:
        waiting = list(reversed(played))
        day = local_day(played[0].at, zone)
        while (night := local_instant(day, _PLANS_AT, zone)) < until:
            morning = local_instant(day, _SENDS_AT, zone)
            day += timedelta(days=1)
            midnight = local_instant(day, 0, zone)
            stage.plan(night)
            stage.send(morning)
            while waiting and waiting[-1].at < min(midnight, until):
                stage.play(waiting.pop())
    finally:
        kept.close()


class _Stage:
    """The service between a network and a clock that are both only its own."""

    def __init__(self, house: House, journal: Journal, start: datetime) -> None:
        self._house = house
        self._clock = HandClock(start)
        network = SimulatedNetwork(ids=house.ids, journal=journal.append, past=())
        self._gateway = SimulatorGateway(network, clock=self._clock.now)
        self._receiver = Receiver(house.database, house.tools, self._gateway, self._clock)
        self._sender = Sender(
            house.database,
            house.tools,
            self._gateway,
            self._clock,
            window=house.settings.sender_window,
            per_second=SIMULATOR_LIMITS.per_second,
        )

    def plan(self, now: datetime) -> None:
        """Plan the day that has begun and write its texts."""
        self._clock.set(now)
        plan_due(self._house.database, self._house.calendar, now)
        merge_due(self._house.database, self._house.tools, now)

    def send(self, now: datetime) -> None:
        """Send what is due, and hear what came of it."""
        self._clock.set(now)
        self._sender.drain()
        self._receiver.take_in()

    def play(self, one: Played) -> None:
        """Take a text in, or let an officer do something and what is due leave."""
        if isinstance(one, DemoDeed):
            one.do(self._house, one.at)
            self.send(one.at)
        else:
            self.say(one)

    def say(self, text: DemoText) -> None:
        """Take a text in and answer it, and what the farmer says if that asks for whom it is."""
        self._clock.set(text.at)
        self._answer(text.number, text.words)
        if self._asks_for_whom(text.number):
            self._answer(text.number, text.whom)

    def _answer(self, number: str, words: str) -> None:
        service = self._house.settings.service_number
        self._gateway.text_in(source=number, destination=service, text=words)
        self._receiver.take_in()
        self._receiver.answer_all()
        self.send(self._clock.now())

    def _asks_for_whom(self, number: str) -> bool:
        with self._house.database.look() as work:
            phone_id = work.people.find_phone(PhoneNumber(number, self._house.settings.region))
            return (
                phone_id is not None and work.talks.open_on(phone_id, self._clock.now()).state is State.WHOM
            )
