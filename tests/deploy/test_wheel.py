"""What the wheel must hold."""

from pathlib import Path
from zipfile import ZipFile

from wheel import missing_files


def test_data_file_left_out_of_the_wheel_is_named(tmp_path: Path) -> None:
    """Each file of the three packages has to be in the wheel; what Python compiled does not."""
    there = ["flows/__init__.py", "flows/locale/sw.po", "service/web/pages.css", "scheduler/plan.toml"]
    for name in (*there, "flows/__pycache__/menu.cpython-311.pyc", "tests/test_it.py"):
        (tmp_path / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / name).touch()
    wheel = tmp_path / "trussline.whl"
    with ZipFile(wheel, "w") as archive:
        archive.writestr("flows/__init__.py", "")
        archive.writestr("scheduler/plan.toml", "")

    assert ["flows/locale/sw.po", "service/web/pages.css"] == missing_files(tmp_path, wheel)
