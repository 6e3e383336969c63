import pytest

from service.faults import POINTS, point


@pytest.mark.parametrize("name", POINTS)
def test_a_point_does_nothing_unless_it_is_asked_for(name: str) -> None:
    """In all real use the service passes its points unharmed."""
    for _ in range(100):
        point(name)


def test_another_point_is_passed_too(monkeypatch: pytest.MonkeyPatch) -> None:
    """Who asks for one point does not die at the others, nor before its count is reached."""
    monkeypatch.setenv("TRUSSLINE_TEST_KILL", "wired:3")

    for name in ("claimed", "acked", "stored", "wired", "wired"):
        point(name)


def test_a_point_that_is_misspelt_is_a_fault_of_ours() -> None:
    """A test that killed nowhere would prove nothing."""
    with pytest.raises(LookupError, match="wierd is no kill point: claimed, wired, acked, stored"):
        point("wierd")
