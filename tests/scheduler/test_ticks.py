import threading

from scheduler.ticks import SECONDS, Ticks


def test_a_tick_is_never_missed_piled_up_or_doubled() -> None:
    """However late, once; however many are due, one; and no second one while one runs."""
    ticks = Ticks(lambda: None)
    ticks.start()
    (job,) = ticks._scheduler.get_jobs()
    ticks.stop()

    assert (None, True, 1) == (job.misfire_grace_time, job.coalesce, job.max_instances)
    assert SECONDS == job.trigger.interval.total_seconds()


def test_ticks_go_on_and_stop() -> None:
    """The function is called again and again, and not any more once the stop has returned."""
    calls: list[int] = []
    third = threading.Event()

    def tick() -> None:
        calls.append(len(calls))
        if len(calls) == 3:
            third.set()

    ticks = Ticks(tick, seconds=0.02)
    ticks.start()
    assert third.wait(10)
    ticks.stop()
    seen = len(calls)
    threading.Event().wait(0.1)

    assert seen == len(calls)


def test_a_slow_tick_is_alone_and_is_waited_for() -> None:
    """A tick that takes longer than the pause is not joined by a second; stopping waits for its end."""
    begun, go_on = threading.Event(), threading.Event()
    at_once, most, ended = 0, 0, 0

    def tick() -> None:
        nonlocal at_once, most, ended
        at_once += 1
        most = max(most, at_once)
        begun.set()
        go_on.wait(10)
        at_once -= 1
        ended += 1

    ticks = Ticks(tick, seconds=0.02)
    ticks.start()
    assert begun.wait(10)
    threading.Event().wait(0.2)
    threading.Timer(0.1, go_on.set).start()
    ticks.stop()

    assert (1, 0) == (most, at_once)
    assert ended >= 1


def test_a_tick_that_fails_does_not_end_the_others() -> None:
    """One bad moment leaves the next tick as it was."""
    calls = 0
    again = threading.Event()

    def tick() -> None:
        nonlocal calls
        calls += 1
        if calls == 1:
            raise ConnectionError("the database is away")
        again.set()

    ticks = Ticks(tick, seconds=0.02)
    ticks.start()

    assert again.wait(10)
    ticks.stop()
