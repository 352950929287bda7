"""Whatever bytes a reader of captures gets, it gives a recording or refuses in a line, and leaves nothing."""

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from fuzz.targets import CORPUS, TARGETS

EXAMPLES = {"hdf5": 6}
"""Changed files that a target gets; each of these takes a process of its own."""
USUAL = 60

SEEDS = {name: [path.read_bytes() for path in sorted((CORPUS / name).iterdir())] for name in TARGETS}
PLACES = st.floats(0.0, 1.0, exclude_max=True)
CHANGES = st.lists(
    st.one_of(
        st.tuples(st.just("put"), PLACES, st.binary(min_size=1, max_size=8)),
        st.tuples(st.just("insert"), PLACES, st.binary(min_size=1, max_size=8)),
        st.tuples(st.just("drop"), PLACES, st.integers(1, 64)),
        st.tuples(st.just("cut"), PLACES, st.none()),
        st.tuples(st.just("repeat"), PLACES, st.integers(1, 256)),
    ),
    min_size=1,
    max_size=4,
)


def changed(content: bytes, changes) -> bytes:
    """Bytes with a few changes in them."""
    for kind, place, what in changes:
        k = int(place * len(content))
        if kind == "put":
            content = content[:k] + what + content[k + len(what) :]
        elif kind == "insert":
            content = content[:k] + what + content[k:]
        elif kind == "drop":
            content = content[:k] + content[k + what :]
        elif kind == "cut":
            content = content[:k]
        else:
            content = content[: k + what] + content[k:]
    return content


@pytest.mark.parametrize("name", TARGETS)
def test_each_seed_is_survived_and_some_are_read(name) -> None:
    read = sum(TARGETS[name](content) for content in SEEDS[name])
    assert read > 0


@pytest.mark.parametrize("name", TARGETS)
def test_changed_bytes_are_survived(name) -> None:
    @settings(max_examples=EXAMPLES.get(name, USUAL), suppress_health_check=[HealthCheck.too_slow])
    @given(seed=st.sampled_from(range(len(SEEDS[name]))), changes=CHANGES)
    def survives(seed, changes) -> None:
        assert TARGETS[name](changed(SEEDS[name][seed], changes)) in {True, False}

    survives()


@pytest.mark.parametrize("name", TARGETS)
def test_any_bytes_are_survived(name) -> None:
    @settings(max_examples=EXAMPLES.get(name, USUAL) // 3)
    @example(content=b"PK\x03\x04")
    @given(content=st.binary(max_size=200))
    def survives(content) -> None:
        assert TARGETS[name](content) in {True, False}

    survives()


def test_a_fault_would_be_seen() -> None:
    from fuzz.targets import must_survive

    def faulty(path):
        raise ValueError(path)

    def littering(path):
        path.with_suffix(".part").write_text("half")

    with pytest.raises(ValueError, match="run"):
        must_survive(faulty, b"", ".csv")
    with pytest.raises(AssertionError, match="left something behind"):
        must_survive(littering, b"", ".csv")
