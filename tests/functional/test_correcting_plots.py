"""An officer corrects a plot: what is foretold is what happens, and it can be taken back."""

import json
from dataclasses import replace
from datetime import date, timedelta

import pytest

from service.core.errors import Refused
from service.core.model import Plot
from service.core.rights import Role
from service.core.staff import Officer
from service.use_cases.editing_plots import (
    Impact,
    before_correction,
    edit_plot,
    fingerprint,
    impact,
)
from service.use_cases.plot_edits import PlotEdit
from tests.village import Phone, Village

GRACE = Officer(id=7, name="Grace", role=Role.OFFICER, districts=None)


class Desk:
    """An officer before the only plot there is; it speaks for the test."""

    def __init__(self, village: Village) -> None:
        """Sit down."""
        self.village = village

    @property
    def plot(self) -> Plot:
        """The plot as it is now."""
        plot_id = int(str(self.village.row("SELECT id FROM plot")["id"]))
        with self.village.database.look() as work:
            found = work.plots.get(plot_id)
        assert found is not None
        return found

    def wish(self, **changed: object) -> PlotEdit:
        """Return the plot with some of it changed."""
        return replace(PlotEdit.of(self.plot), **changed)  # type: ignore[arg-type]

    def foretells(self, edit: PlotEdit) -> Impact:
        """Look at what would follow."""
        with self.village.database.look() as work:
            return impact(work, self.village.tools, self.plot, edit, self.village.today)

    def corrects(self, edit: PlotEdit, *, seen: str | None = None) -> None:
        """Do it."""
        now = self.village.clock.now()
        with self.village.database.work() as work:
            edit_plot(
                work,
                self.village.tools,
                GRACE,
                self.plot.id,
                edit,
                seen=fingerprint(self.plot) if seen is None else seen,
                on=self.village.today,
                now=now,
                real_now=now,
            )

    def earlier(self) -> PlotEdit | None:
        """Return what can be taken back."""
        with self.village.database.look() as work:
            return before_correction(work, self.plot)

    def reminders(self, state: str) -> set[tuple[str, str]]:
        """Return day and task of the reminders in a state, of this revision of the plot where they wait."""
        rows = self.village.rows(
            "SELECT due_on, task FROM reminder WHERE state = :state AND (:state <> 'due' OR revision ="
            " (SELECT revision FROM plot))",
            state=state,
        )
        return {(str(row["due_on"]), str(row["task"])) for row in rows}


@pytest.fixture
def neema(village: Village) -> Phone:
    """A farmer who joined sixty days after planting, five days ago."""
    phone = village.phone()
    phone.joins(days_ago=60)
    village.pass_days(5)
    return phone


@pytest.fixture
def desk(village: Village, neema: Phone) -> Desk:
    """An officer before that farmer's plot."""
    assert neema.texts
    return Desk(village)


def test_nothing_changes_by_looking(desk: Desk) -> None:
    """What would follow is only told."""
    before = desk.plot
    desk.foretells(desk.wish(planted_on=before.planted_on - timedelta(days=40), plants=7))

    assert before == desk.plot
    assert None is desk.earlier()


@pytest.mark.parametrize("days", [-80, -40, -9, 12, 55, 90])
def test_what_is_foretold_happens(days: int, desk: Desk, village: Village) -> None:
    """Exactly the jobs named are called off and planned, and the next weeks hold what was shown."""
    check_what_follows(desk, village, desk.wish(planted_on=desk.plot.planted_on + timedelta(days=days)))


def test_what_is_foretold_of_mother_rows_happens(desk: Desk, village: Village) -> None:
    """Their runners are wanted: the job is called off and falls due no more, all others stay."""
    told = check_what_follows(desk, village, desk.wish(mother_rows="yes"))

    assert "runners" in {job.task for job in told.before}
    assert {job for job in told.before if job.task != "runners"} == set(told.after)


def check_what_follows(desk: Desk, village: Village, edit: PlotEdit) -> Impact:
    """Make a correction and hold the four weeks after it against what was foretold, which is returned."""
    told = desk.foretells(edit)
    desk.corrects(edit)
    called_off, waiting = desk.reminders("cancelled"), desk.reminders("due")
    due: set[tuple[str, str]] = set()
    for _ in range(28):
        village.pass_days(1)
        rows = village.rows("SELECT due_on, task FROM reminder WHERE revision = 1")
        today = village.today.isoformat()
        due |= {(today, str(row["task"])) for row in rows if str(row["due_on"]) == today}

    assert {(job.due_on.isoformat(), job.task) for job in told.called_off} == called_off
    assert {(job.due_on.isoformat(), job.task) for job in (*told.planned, *told.not_again)} == waiting
    assert {(job.due_on.isoformat(), job.task) for job in told.after} == due
    return told


def test_what_was_texted_is_not_texted_again(desk: Desk, village: Village, neema: Phone) -> None:
    """A correction by a day repeats no job that was texted within its least gap."""
    village.pass_days(3)
    before = len(neema.texts)
    edit = desk.wish(planted_on=desk.plot.planted_on - timedelta(days=1))
    told = desk.foretells(edit)
    desk.corrects(edit)
    village.pass_days(1)

    assert told.stays > 0
    assert told.not_again
    assert not set(neema.texts[before:]) & set(neema.texts[:before])


def test_another_kind_of_plot_repeats_nothing(desk: Desk, village: Village, neema: Phone) -> None:
    """Told of the mother rows, the farmer hears of no job again that was texted within its least gap."""
    village.pass_days(3)
    before = len(neema.texts)
    desk.corrects(desk.wish(mother_rows="yes"))
    village.pass_days(1)
    reasons = {str(row["why"]) for row in village.rows("SELECT why FROM reminder WHERE state = 'cancelled'")}

    assert not set(neema.texts[before:]) & set(neema.texts[:before])
    assert reasons <= {"what the plot is like was corrected"}


def test_mother_rows_are_taken_back(desk: Desk, village: Village) -> None:
    """What the plot was like before is offered, and after it the jobs to come are those of before."""
    first = desk.plot
    desk.corrects(desk.wish(mother_rows="yes", plants=350))
    earlier = desk.earlier()
    assert earlier is not None
    told = desk.foretells(earlier)
    desk.corrects(earlier)
    change = village.row("SELECT who, before, after FROM plot_change ORDER BY id LIMIT 1")

    assert PlotEdit.of(first) == earlier == PlotEdit.of(desk.plot)
    assert first.traits == desk.plot.traits
    assert "runners" in {job.task for job in told.after}
    assert "officer:7" == change["who"]
    assert ({"mother_rows": None, "plants": 400, "revision": 0}, "yes") == (
        in_words(change["before"]),
        in_words(change["after"])["mother_rows"],
    )


def test_beds_and_height_move_no_job(desk: Desk) -> None:
    """How the plants stand is kept for what is reckoned with them."""
    waiting = desk.reminders("due")
    edit = desk.wish(bed_width_cm=100, path_width_cm=50, bed_rows=2, spacing_cm=30, elevation_m=1650)
    told = desk.foretells(edit)
    desk.corrects(edit)

    assert ("bed_width_cm", "path_width_cm", "bed_rows", "spacing_cm", "elevation_m") == told.changed
    assert not told.moves
    assert edit == PlotEdit.of(desk.plot)
    assert (waiting, 0) == (desk.reminders("due"), desk.plot.revision)


def in_words(kept: object) -> dict[str, object]:
    """Return what a change says, which SQLite gives back as text."""
    found: dict[str, object] = json.loads(kept) if isinstance(kept, str) else kept  # type: ignore[assignment]
    return found


def test_correction_is_taken_back(desk: Desk) -> None:
    """The day before the correction is offered, and taking it back restores day, precision and coming jobs."""
    first = desk.plot
    before = desk.foretells(desk.wish(planted_on=first.planted_on - timedelta(days=40))).before
    desk.corrects(desk.wish(planted_on=first.planted_on - timedelta(days=40), precision="month"))
    earlier = desk.earlier()
    assert earlier is not None
    told = desk.foretells(earlier)
    desk.corrects(earlier)
    second = desk.plot

    assert (first.planted_on, "exact") == (earlier.planted_on, earlier.precision)
    assert (first.planted_on, "exact") == (second.planted_on, second.precision)
    assert before == told.after


def test_plants_and_mulch_move_no_job(desk: Desk, village: Village) -> None:
    """Their change is kept with who made it; reminders and revision stay."""
    waiting, revision = desk.reminders("due"), desk.plot.revision
    edit = desk.wish(plants=350, mulch_kind="plastic")
    told = desk.foretells(edit)
    desk.corrects(edit)
    change = village.row("SELECT who, before, after FROM plot_change")

    assert Impact(changed=("plants", "mulch_kind")) == told
    assert (350, "plastic") == (desk.plot.plants, desk.plot.mulch_kind)
    assert (waiting, revision) == (desk.reminders("due"), desk.plot.revision)
    assert "officer:7" == change["who"]
    assert None is desk.earlier()


def test_a_form_sent_as_it_came_changes_nothing(desk: Desk, village: Village) -> None:
    """Whoever presses the button without a change leaves no trace: no change of the plot, no deed in the record."""
    before = desk.plot
    desk.corrects(desk.wish())
    with village.database.look() as work:
        deeds = work.audit.newest(1)

    assert before == desk.plot
    assert ([], ()) == (village.rows("SELECT id FROM plot_change"), deeds)


def test_two_officers_do_not_overwrite_each_other(desk: Desk) -> None:
    """Whoever saw an older state is told so, and nothing of theirs is kept."""
    seen = fingerprint(desk.plot)
    desk.corrects(desk.wish(plants=350))
    with pytest.raises(Refused, match="changed this plot meanwhile"):
        desk.corrects(desk.wish(plants=500), seen=seen)

    assert 350 == desk.plot.plants


@pytest.mark.parametrize(
    ("changed", "sentence"),
    [
        ({"plants": 0}, "from 1 to 100,000"),
        ({"planted_on": date(2023, 11, 20)}, "within the last three years"),
        ({"planted_on": date(2027, 6, 20)}, "the next six months"),
        ({"mulch_kind": "gravel"}, "kinds of mulch"),
        ({"precision": "never"}, "how well"),
        ({"plant_type": "tall"}, "types of plants"),
        ({"stock": "seed"}, "kinds of young plants"),
        ({"water_method": "hope"}, "ways of watering"),
        ({"mother_rows": "some"}, "kept for their runners"),
        ({"bed_width_cm": 3}, "width of a bed must lie between 10 and 1,000 cm, not 3"),
        ({"bed_rows": 0}, "rows on a bed must lie between 1 and 20"),
        ({"elevation_m": 9000}, "above the sea must lie between 0 and 5,000 m"),
    ],
    ids=str,
)
def test_what_cannot_be_is_refused(changed: dict[str, object], sentence: str, desk: Desk) -> None:
    """Both looking and doing refuse it, and the plot stays."""
    before, edit = desk.plot, desk.wish(**changed)
    with pytest.raises(Refused, match=sentence):
        desk.foretells(edit)
    with pytest.raises(Refused, match=sentence):
        desk.corrects(edit)

    assert before == desk.plot


def test_closed_plot_stays(desk: Desk, village: Village) -> None:
    """Nothing of a closed plot can be changed."""
    with village.database.work() as work:
        work.plots.set(desk.plot.id, closed_on=village.today, live=False)
        work.commit()
    with pytest.raises(Refused, match="closed"):
        desk.corrects(desk.wish(plants=5))


def test_resting_plot_is_planned_when_it_wakes(village: Village) -> None:
    """The plot of a farmer who has not said yes is corrected without a job being planned."""
    phone = village.phone()
    phone.says(f"JOIN Neema 400 {village.today - timedelta(days=60):%d/%m/%Y} Ketumali")
    desk = Desk(village)
    edit = desk.wish(planted_on=village.today - timedelta(days=30))
    told = desk.foretells(edit)
    desk.corrects(edit)
    none_yet = desk.reminders("due")
    phone.says("1")

    assert ((), (), ()) == (told.planned, told.before, told.after)
    assert set() == none_yet
    assert edit.planted_on == desk.plot.planted_on


def test_deed_stands_in_the_record(desk: Desk, village: Village) -> None:
    """Who changed what from what to what can be read later."""
    first = desk.plot
    desk.corrects(desk.wish(planted_on=first.planted_on - timedelta(days=40), plants=350))
    with village.database.look() as work:
        ((row, _),) = work.audit.newest(1)

    assert (7, "plot.edited", f"plot:{first.id}") == (row.officer_id, row.action, row.subject)
    expected = [day.isoformat() for day in (first.planted_on, first.planted_on - timedelta(days=40))]
    assert {"planted_on": expected, "plants": [400, 350]} == row.detail
