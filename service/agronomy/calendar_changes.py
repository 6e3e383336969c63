"""A file that names only what differs from the crop calendar that is shipped, for a programme's own days.

`[tasks.NAME]` gives some of a job's figures anew, or leaves it out with `drop = true`; `[first_fruit]` and
`riding_moves` likewise. Each table says with `source` where its figures come from. What is put together is checked as
any calendar is. A job of one's own needs its texts, so it cannot be added here.
"""

from collections.abc import Mapping
from typing import Any, Final

_ALLOWED: Final = frozenset({"version", "riding_moves", "first_fruit", "tasks"})


class ChangesError(Exception):
    """An entry of such a file makes no sense; says which and why."""

    def __init__(self, entry: str, fault: str) -> None:
        """Say that `entry` has `fault`."""
        super().__init__(f"{entry}: {fault}")
        self.entry = entry
        self.fault = fault


def names_changes(raw: Mapping[str, Any]) -> bool:
    """Tell whether a file names what differs; a whole calendar has an id and a list of jobs."""
    return "id" not in raw and isinstance(raw.get("tasks", {}), Mapping)


def merged(shipped: Mapping[str, Any], changes: Mapping[str, Any]) -> dict[str, Any]:
    """Return the calendar that is shipped with what differs, still to be checked.

    Raises:
        ChangesError: an entry names what there is not, says nothing, or does not say where it comes from.
    """
    for name in changes:
        if name not in _ALLOWED:
            raise ChangesError(name, f"it is none of {', '.join(sorted(_ALLOWED))}")
    version = changes.get("version")
    if not isinstance(version, int) or version < 1:
        raise ChangesError("version", "give it a whole number from 1, and raise it with each change")
    wanted = dict(changes.get("tasks", {}))
    tasks = [_task(task, wanted.pop(task["id"], None)) for task in shipped["tasks"]]
    if wanted:
        raise ChangesError(f"task {next(iter(wanted))!r}", "the calendar that is shipped has no such job")
    whole = {**shipped, "changes": version, "tasks": [task for task in tasks if task is not None]}
    if "first_fruit" in changes:
        whole["first_fruit"] = _anew("first_fruit", shipped["first_fruit"], changes["first_fruit"])
    if "riding_moves" in changes:
        whole["riding_moves"] = changes["riding_moves"]
    return whole


def _task(task: Mapping[str, Any], change: object) -> dict[str, Any] | None:
    """Return a job with what differs; None if it is left out."""
    if change is None:
        return dict(task)
    entry = f"task {task['id']!r}"
    if isinstance(change, Mapping) and "id" in change:
        raise ChangesError(entry, "its id stays as it is: texts and tables know the job by it")
    found = _anew(entry, task, change)
    drop = found.pop("drop", False)
    if not drop:
        return found
    if (
        drop is not True
        or set(found) != set(task)
        or any(found[key] != task[key] for key in task if key != "source")
    ):
        raise ChangesError(entry, "either drop = true leaves the job out, or figures are given anew")
    return None


def _anew(entry: str, before: Mapping[str, Any], change: object) -> dict[str, Any]:
    if not isinstance(change, Mapping) or not set(change) - {"source"}:
        raise ChangesError(entry, "name some of its figures")
    if "source" not in change:
        raise ChangesError(
            entry, 'say with source where its figures come from, or "common practice, no source"'
        )
    return {**before, **change}
