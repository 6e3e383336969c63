"""Hashing passwords: Argon2id, two at a time."""

import threading

import pytest
from argon2 import PasswordHasher, extract_parameters
from argon2.exceptions import VerifyMismatchError
from argon2.low_level import Type

from service.passwords import Argon2, Busy, common_passwords


def quick(**more: float) -> Argon2:
    """Return a hasher that works little."""
    return Argon2(PasswordHasher(time_cost=1, memory_cost=8, parallelism=1), **more)  # type: ignore[arg-type]


def test_password_is_known_again() -> None:
    """A password matches what was made of it and no other; nobody's hash matches nothing."""
    passwords = quick()
    kept = passwords.hash("nine lazy goats")

    assert passwords.matches(kept, "nine lazy goats")
    assert not passwords.matches(kept, "nine lazy goat")
    assert not passwords.matches(None, "nobody has this password")


def test_what_is_kept_is_salted() -> None:
    """Two officers with one password cannot be told to have it."""
    passwords = quick()

    assert passwords.hash("nine lazy goats") != passwords.hash("nine lazy goats")


def test_real_work_is_that_of_the_standard() -> None:
    """RFC 9106 section 4, second choice: Argon2id, 64 MiB, three passes, four lanes, 16 bytes of salt, 32 of tag."""
    used = extract_parameters(Argon2().hash("nine lazy goats"))

    assert (Type.ID, 65536, 3, 4, 16, 32) == (
        used.type,
        used.memory_cost,
        used.time_cost,
        used.parallelism,
        used.salt_len,
        used.hash_len,
    )


def test_a_name_nobody_has_costs_as_much_as_one_somebody_has() -> None:
    """What it is compared with asks for the same work, and is taken apart and refused as a wrong password is."""
    passwords = Argon2()

    assert extract_parameters(passwords.hash("nine lazy goats")) == extract_parameters(passwords._nobody)
    with pytest.raises(VerifyMismatchError):
        PasswordHasher().verify(passwords._nobody, "nine lazy goats")


class Gate(PasswordHasher):
    """A hasher that lets nobody finish before it is told to, and counts who is inside."""

    def __init__(self) -> None:
        """Begin shut."""
        super().__init__(time_cost=1, memory_cost=8, parallelism=1)
        self.open = threading.Event()
        self.two_inside = threading.Event()
        self.inside = self.most = 0
        self._lock = threading.Lock()

    def verify(self, hash: str | bytes, password: str | bytes) -> bool:  # type: ignore[override]  # noqa: A002 - its name there
        """Wait for the gate."""
        with self._lock:
            self.inside += 1
            self.most = max(self.most, self.inside)
            if self.inside == 2:
                self.two_inside.set()
        self.open.wait(10)
        with self._lock:
            self.inside -= 1
        return bool(super().verify(hash, password))


def test_only_two_are_looked_at_at_once() -> None:
    """While two passwords are looked at, a third waits a moment and is told to come back."""
    gate = Gate()
    passwords = Argon2(gate, patience_s=0.05)
    kept = passwords.hash("nine lazy goats")
    threads = [threading.Thread(target=passwords.matches, args=(kept, "x")) for _ in range(2)]
    for thread in threads:
        thread.start()
    gate.two_inside.wait(10)
    with pytest.raises(Busy, match="Try again in a minute"):
        passwords.matches(kept, "nine lazy goats")
    gate.open.set()
    for thread in threads:
        thread.join()

    assert 2 == gate.most
    assert passwords.matches(kept, "nine lazy goats")


def test_list_of_first_guesses_is_useful() -> None:
    """Every entry could be typed as it stands: long enough to pass the length, small letters, no spaces."""
    entries = common_passwords()

    assert len(entries) > 1000
    assert not [one for one in entries if len(one) < 12 or one != one.casefold() or " " in one]
