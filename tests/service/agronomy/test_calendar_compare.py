"""What another calendar would change, counted by hand for a few ages."""

from dataclasses import replace

from service.agronomy.calendar import Calendar, load_calendar
from service.agronomy.calendar_compare import Difference, Standing, compare, compare_rest
from service.agronomy.traits import UNTOLD, PlotTraits

SHIPPED = load_calendar()
# One plot each, but for two of day 100.
AGES = {50: 1, 95: 1, 100: 2, 119: 1, 120: 1, 300: 1}


def stands(traits: PlotTraits = UNTOLD) -> list[Standing]:
    """Return these plots, all of one kind."""
    return [Standing(age=age, traits=traits.bits, plots=plots) for age, plots in AGES.items()]


def other(**days: dict[str, object]) -> Calendar:
    """Return the shipped calendar with other days for some jobs."""
    return replace(SHIPPED, tasks=tuple(replace(task, **days.get(task.id, {})) for task in SHIPPED.tasks))  # type: ignore[arg-type]


def test_flowers_left_on_sooner() -> None:
    """From day 91 instead of 120: of seven plots one is before both days and two after; four have missed the new one."""
    sooner = other(flowers_off={"last": 90}, flowers_stay={"first": (91,)})
    off, stay = compare(SHIPPED, sooner, stands())

    # Of the 14 rounds on days 21 to 112 those after day 90 are gone: on day 119 none was ahead any more.
    assert ("flowers_off", (("last", "113", "90"),), 4) == (off.task, off.figures, off.moved)
    assert (0, 0) == (off.missed, off.told)
    # Ahead on day 95: 120 and 123, now none; on day 120 still 123. Missed are days 95, 100 twice and 119, and of the
    # second asking, 94 instead of 123, day 120 as well.
    assert (
        Difference(
            task="flowers_stay",
            figures=(("first", "120", "91"),),
            is_new=False,
            is_gone=False,
            moved=6,
            missed=5,
            told=0,
        )
        == stay
    )


def test_flowers_left_on_later() -> None:
    """From day 134: the plot of day 120 was told and is not told again."""
    _, stay = compare(SHIPPED, other(flowers_off={"last": 133}, flowers_stay={"first": (134,)}), stands())

    assert (0, 1) == (stay.missed, stay.told)


def test_a_job_left_out_and_a_new_one() -> None:
    """They say so, and have no figures to tell."""
    less = replace(SHIPPED, tasks=tuple(task for task in SHIPPED.tasks if task.id != "mulch"))
    (gone,), (new,) = compare(SHIPPED, less, stands()), compare(less, SHIPPED, stands())

    assert (True, False, (), 7) == (gone.is_gone, gone.is_new, gone.figures, gone.moved)
    assert (False, True, (), 7) == (new.is_gone, new.is_new, new.figures, new.moved)


def test_entries_for_some_plots_count_those_alone() -> None:
    """Mother rows get their runners cut again: nobody else has other days."""
    plain = other(runners={"instead": ()})
    (mother,) = compare(SHIPPED, plain, stands(PlotTraits(mother_rows="yes")))
    (untold,) = compare(SHIPPED, plain, stands())

    assert ("runners", (), 7) == (mother.task, mother.figures, mother.moved)
    assert 0 == untold.moved


def test_paces_and_picking_are_told_as_the_file_has_them() -> None:
    """Two paces, and picking from another day on, which moves it for plots that do not pick yet."""
    paced = other(runners={"every": ({"days": 10},)}, picking={"first": (150,)})
    runners, picking = compare(SHIPPED, paced, stands())

    assert (("every", "7 until 120, 14 until 1095", "10 until 1095"),) == runners.figures
    assert ((("first", "144", "150"),), 6) == (picking.figures, picking.moved)


def test_a_calendar_like_the_one_in_force_changes_nothing() -> None:
    """Where it says the same, nothing is told."""
    assert () == compare(SHIPPED, replace(SHIPPED, version=9), stands())
    assert () == compare_rest(SHIPPED, replace(SHIPPED, version=9))


def test_what_stands_beside_the_jobs_is_told() -> None:
    """The range of first fruit, and when weekly jobs move to a picking day."""
    fruit = replace(SHIPPED.first_fruit, days=(114, 134))

    assert (("riding_moves", "14", "7"), ("first_fruit.days", "144, 164", "114, 134")) == compare_rest(
        SHIPPED, replace(SHIPPED, riding_moves=7, first_fruit=fruit)
    )
