"""Sets of plots as whole numbers, held against the sets themselves."""

from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import TypeAdapter, ValidationError

from service.agronomy.traits import (
    EVERY,
    UNTOLD,
    MotherRows,
    MulchKind,
    PlantType,
    PlotTraits,
    Stock,
    WaterMethod,
    Which,
    barred,
    belongs,
    common,
    every_kind,
    groups_named,
    traits_of,
    without,
)

KINDS = tuple(every_kind())


def _some(words: object) -> st.SearchStrategy[tuple[str, ...]]:
    return st.lists(st.sampled_from(get_args(words)), unique=True).map(tuple)


named = st.fixed_dictionaries(
    {
        "plant_type": _some(PlantType),
        "stock": _some(Stock),
        "mulch": _some(MulchKind),
        "water_method": _some(WaterMethod),
        "mother_rows": _some(MotherRows),
    }
)
whiches = named.filter(lambda words: any(words.values())).map(TypeAdapter(Which).validate_python)


def plots_of(allowed: int) -> set[PlotTraits]:
    """Return the plots of a set, one of each kind."""
    return {plot for plot in KINDS if belongs(plot.bits, allowed)}


def test_every_kind_of_plot_is_told_from_the_others() -> None:
    """Three words or fewer and "nobody told" in each of five groups: 3 x 4 x 4 x 3 x 3 kinds."""
    assert 432 == len({plot.bits for plot in KINDS})
    assert set(KINDS) == plots_of(EVERY)
    assert UNTOLD in KINDS


def test_the_bits_fit_the_whole_numbers_of_databases() -> None:
    """Both engines keep whole numbers up to 2,147,483,647 as an Integer."""
    assert max(plot.bits for plot in KINDS) < EVERY < 2**31


def test_bits_say_what_the_plot_is_like() -> None:
    """Whatever a database keeps leads back to the plot it was made of."""
    assert list(KINDS) == [traits_of(plot.bits) for plot in KINDS]


@given(st.lists(whiches, max_size=3))
def test_sets_tell_apart_who_differs_in_a_group_they_name(named: list[Which]) -> None:
    """Two plots equal in these bits are in the same sets, and only groups that are named have bits here."""
    bits = groups_named(which.allowed for which in named)
    by_kind: dict[int, set[tuple[bool, ...]]] = {}
    for plot in KINDS:
        found = tuple(belongs(plot.bits, which.allowed) for which in named)
        by_kind.setdefault(plot.bits & bits, set()).add(found)

    assert {1} == {len(found) for found in by_kind.values()}
    assert (bits == 0) == (not any(barred(which.allowed) for which in named))


@given(whiches)
def test_a_set_holds_who_has_a_word_of_each_group_named(which: Which) -> None:
    """Whoever did not tell is meant only where nobody is asked."""
    groups = ("plant_type", "stock", "mulch", "water_method", "mother_rows")
    expected = {
        plot
        for plot in KINDS
        if all(not getattr(which, name) or getattr(plot, name) in getattr(which, name) for name in groups)
    }

    assert expected == plots_of(which.allowed)


@given(whiches, whiches)
def test_what_two_sets_have_in_common(one: Which, other: Which) -> None:
    """Plots of both, or no set at all."""
    found = common(one.allowed, other.allowed)
    expected = plots_of(one.allowed) & plots_of(other.allowed)

    assert expected == (set() if found is None else plots_of(found))


@given(whiches, whiches)
def test_a_set_taken_from_another_leaves_sets_that_share_no_plot(one: Which, other: Which) -> None:
    """Together they hold exactly what is left, each plot once; so no plot would be texted twice."""
    parts = [plots_of(part) for part in without(one.allowed, other.allowed)]

    assert plots_of(one.allowed) - plots_of(other.allowed) == set().union(*parts)
    assert sum(map(len, parts)) == len(set().union(*parts))
    assert all(parts)


def test_a_database_asks_by_one_number() -> None:
    """A plot with any barred bit is out; of all plots none is barred."""
    short = TypeAdapter(Which).validate_python({"plant_type": ["short_day"]}).allowed

    assert 0 == barred(EVERY)
    assert 0 == PlotTraits(plant_type="short_day", stock="plug").bits & barred(short)
    assert 0 != PlotTraits(plant_type="day_neutral").bits & barred(short)
    assert 0 != UNTOLD.bits & barred(short)


@pytest.mark.parametrize(
    ("said", "sentence"),
    [
        pytest.param({}, "name at least one group, like plant_type", id="nothing"),
        pytest.param({"mulch": []}, "name at least one group, like plant_type", id="no word"),
        pytest.param({"mulch": ["hay"]}, "Input should be 'none', 'straw' or 'plastic'", id="no such word"),
        pytest.param({"colour": ["red"]}, "Unexpected keyword argument", id="no such group"),
    ],
)
def test_what_means_nothing_is_refused(said: dict[str, list[str]], sentence: str) -> None:
    """A slip in a calendar is told when it is read."""
    with pytest.raises(ValidationError, match=sentence):
        TypeAdapter(Which).validate_python(said)
