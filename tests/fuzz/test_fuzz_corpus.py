"""What a fuzzer found worth keeping, through every reader again: taken or refused in words, and never for long."""

from __future__ import annotations

import time
import tracemalloc

import pytest
from fuzz_loaders import LOADERS, corpus, taken
from fuzz_seeds import hostile_copies, seeds

HANGS = 10.0
BLOATS = 512 << 20
# How many of those that take long are replayed each time; all of them are left to the long checks.
SOME = {"check": 6, "rules": 70, "recording": 5}


@pytest.mark.parametrize("loader", LOADERS)
def test_the_corpus_is_taken_or_refused_in_words(loader: str) -> None:
    if loader == "recording":
        pytest.importorskip("asammdf")
    inputs = [*corpus(loader), *seeds(loader)]
    count = 0
    for data in inputs[:: -(-len(inputs) // SOME.get(loader, len(inputs)))]:
        start = time.perf_counter()
        count += taken(loader, data)
        assert time.perf_counter() - start < HANGS
    # A corpus of which nothing is taken reaches nothing behind the door.
    assert count


@pytest.mark.slow
@pytest.mark.parametrize("loader", LOADERS)
def test_the_corpus_and_hostile_copies_stay_small(loader: str) -> None:
    if loader == "recording":
        pytest.importorskip("asammdf")
    copies = hostile_copies(loader, 60 if loader == "check" else 2000)
    for data in (*corpus(loader), *seeds(loader), *copies):
        start = time.perf_counter()
        taken(loader, data)
        assert time.perf_counter() - start < HANGS
    tracemalloc.start()
    try:
        for data in list(seeds(loader))[:5]:
            taken(loader, data)
        assert tracemalloc.get_traced_memory()[1] < BLOATS
    finally:
        tracemalloc.stop()
