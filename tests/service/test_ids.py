import re
import uuid
from concurrent.futures import ThreadPoolExecutor

from freezegun import freeze_time

from service import ids
from service.ids import CountingIds, Ids

LOOK_ALIKES = set("OI01")


def test_row_ids_rise_and_fit_a_signed_column() -> None:
    """Also where more are made than a millisecond holds: 63 bits, ever rising, none twice."""
    maker = Ids()

    made = [maker.row(), *maker.rows(10_000), maker.row()]

    assert sorted(set(made)) == made
    assert all(0 < one < 2**63 for one in made)


def test_row_ids_are_unique_over_threads() -> None:
    """Eight threads of one process share a counter."""
    maker = Ids()

    with ThreadPoolExecutor(8) as pool:
        made = [one for block in pool.map(lambda _: list(maker.rows(500)), range(40)) for one in block]

    assert 20_000 == len(set(made))


def test_row_ids_rise_with_time_and_survive_a_clock_put_back() -> None:
    """A clock that is put back makes no id twice."""
    maker = Ids()
    with freeze_time("2026-11-25"):
        today = maker.row()
    with freeze_time("2026-11-26"):
        tomorrow = maker.row()
    with freeze_time("2026-11-25"):
        put_back = maker.row()

    assert today < tomorrow < put_back


def test_processes_draw_parts_of_their_own() -> None:
    """Two processes that start in one millisecond differ in ten bits, drawn once each."""
    with freeze_time("2026-11-25"):
        drawn = {Ids().row() for _ in range(50)}

    assert len(drawn) > 40


def test_a_reference_is_a_uuid_of_version_7() -> None:
    """RFC 9562 section 5.7: version 7, variant 10, milliseconds since 1970 in the first 48 bits."""
    with freeze_time("2026-11-25T09:00:00Z"):
        made = uuid.UUID(Ids().reference())

    assert (7, uuid.RFC_4122) == (made.version, made.variant)
    assert 1_795_597_200_000 == made.int >> 80


def test_references_cannot_be_guessed_from_each_other() -> None:
    """In one millisecond 74 bits are left to chance."""
    maker = Ids()
    with freeze_time("2026-11-25"):
        assert 2000 == len({maker.reference() for _ in range(2000)})


def test_codes_have_no_look_alikes() -> None:
    """What is read off a small screen and typed again has no O, 0, I or 1."""
    codes = {Ids().code() for _ in range(300)}

    assert all(re.fullmatch("[A-Z2-9]{4}", code) for code in codes)
    assert not LOOK_ALIKES & set("".join(codes))
    assert len(codes) > 290


def test_a_one_time_code_is_long_enough_and_readable() -> None:
    """26 letters of 5 bits each, in groups."""
    code = ids.one_time_code()

    assert re.fullmatch(r"(?:[A-Z2-9]{5}-){5}[A-Z2-9]", code)
    assert not LOOK_ALIKES & set(code)
    assert code != ids.one_time_code()


def test_secrets_have_their_bits() -> None:
    """Token 256 bits, key 256 bits, nonce 96 bits (NIST SP 800-38D section 8.2), none twice."""
    assert (43, 32, 12) == (len(ids.token()), len(ids.key()), len(ids.nonce()))
    for make in (ids.token, ids.key, ids.nonce):
        assert make() != make()


def test_counting_ids_repeat_from_run_to_run() -> None:
    """For tests and seeded data: the same every time, and well formed."""
    first, second = CountingIds(), CountingIds()

    made = [(one.row(), list(one.rows(2)), one.reference(), one.code()) for one in (first, second)]

    assert made[0] == made[1] == (1, [2, 3], "00000000-0000-7000-8000-000000000004", "Q5")
    assert 7 == uuid.UUID(first.reference()).version
