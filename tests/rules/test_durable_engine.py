"""The durable engine behind the interface: the ways in which it was seen to go wrong must not reach a verdict."""

from __future__ import annotations

import os
import subprocess
import sys
import threading

import numpy as np
import pytest

from enginelimits.errors import RuleError, SolveError
from enginelimits.rules import durable as adapter
from enginelimits.rules.clauses import Clause, Program, arranged, spread
from enginelimits.rules.inference import derived, engine_named
from enginelimits.rules.islands import MOST_CLAUSES, STATE_NAMES, colliding, fact_id, fnv, islands
from enginelimits.rules.plain import Plain

pytestmark = pytest.mark.skipif(adapter.native() is None, reason="durable-rules cannot be imported here")


def program(*clauses: tuple[str, tuple[str, ...]], joints: frozenset[str] = frozenset()) -> Program:
    return arranged([Clause(head, body) for head, body in clauses], joints)


def fires(of: Program, *told: str) -> list[str]:
    """Heads of the clauses that fire, in order, when these base literals hold."""
    held = np.array([[literal in told] for literal in of.base], dtype=bool).reshape(len(of.base), 1)
    found = engine_named("durable-rules").firings(of, held)
    assert np.array_equal(found, Plain().firings(of, held))
    return [of.clauses[n].head for n in np.flatnonzero(found[:, 0])]


def test_chains_run_to_their_end() -> None:
    chain = program(*((f"h{i + 1}", (f"h{i}",)) for i in range(60)))
    assert fires(chain, "h0") == [f"h{i}" for i in range(1, 61)]
    assert fires(chain) == []


def test_nothing_told_fires_nothing_and_leaves_a_state_that_can_be_deleted() -> None:
    # Deleting a state in which no rule has fired crashes the engine.
    lonely = program(("h", ("a", "b")))
    for _ in range(200):
        assert fires(lonely) == []
        assert fires(lonely, "a") == []


def test_absence_never_fires() -> None:
    # The library's own negation fires when the negated fact comes later; here there is none to come.
    both_rails = program(("h+", ("x-",)), ("h-", ("x+",)))
    assert fires(both_rails) == []
    assert fires(both_rails, "x+") == ["h-"]
    assert fires(both_rails, "x-") == ["h+"]


def test_a_head_reached_twice_is_told_once_and_both_clauses_fire() -> None:
    twice = program(("h", ("a",)), ("h", ("b",)), ("k", ("h",)))
    assert fires(twice, "a", "b") == ["h", "h", "k"]


def test_the_order_does_not_hang_on_the_order_of_the_telling() -> None:
    late = program(("k", ("z", "h")), ("h", ("a",)))
    assert fires(late, "z", "a") == ["h", "k"] == fires(late, "a", "z")


def test_what_looks_alike_is_kept_apart() -> None:
    # True, 1 and "1" are the same to the library; nothing but small integers ever reaches it.
    names = ("1", "1.0", "True", "true", "1e-05", "NaN", "null", '"', "}", "{'$and': []}", "é", "x" * 5000)
    alike = program(*((f"h {name}", (name,)) for name in names))
    for name in names:
        assert fires(alike, name) == [f"h {name}"]


def test_a_body_of_fifteen_fires_only_when_whole() -> None:
    full = tuple(f"b{i}" for i in range(15))
    wide = program(("h", full))
    assert fires(wide, *full) == ["h"]
    for left_out in full:
        assert fires(wide, *(b for b in full if b != left_out)) == []


def test_a_literal_used_by_hundreds_goes_through_stand_ins() -> None:
    # 257 rules on one condition crash the engine.
    clauses = spread([Clause(f"h{i}", ("a", f"b{i}")) for i in range(700)])
    assert (
        max(sum("a" in c.body for c in clauses), *(sum(f"a=0.{k}" in c.body for c in clauses) for k in range(3))) <= 255
    )
    found = fires(arranged(clauses), "a", *(f"b{i}" for i in range(0, 700, 7)))
    assert sorted(h for h in found if h.startswith("h")) == sorted(f"h{i}" for i in range(0, 700, 7))


def test_hundreds_of_literals_in_one_ruleset_stay_apart() -> None:
    # 513 distinct tests at the root hang it; two small integers a literal keep them few.
    hub = program(*((f"m{i}", (f"b{i}",)) for i in range(900)), ("top", tuple(f"m{i}" for i in range(15))),
                  *((f"t{k}", (f"m{15 * k}", f"m{15 * k + 14}", "top")) for k in range(60)))  # fmt: skip
    assert len(islands(hub, roomy=2000)) >= 1
    assert fires(hub, "b7") == ["m7"]
    assert len(fires(hub, *(f"b{i}" for i in range(900)))) == 900 + 1 + 60


def test_ten_thousand_evaluations_keep_memory_flat() -> None:
    import resource

    small = program(("h", ("a",)), ("k", ("h", "b")))
    ruleset = adapter.Ruleset(small, islands(small)[0])
    for _ in range(500):
        ruleset.fired(("a", "b"))
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    for _ in range(10_000):
        assert ruleset.fired(("a", "b")) == (0, 1)
    # Undeleted, a state keeps a megabyte and more.
    assert resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before < 20_000


def test_eight_threads_get_what_one_gets() -> None:
    chain = program(*((f"h{i + 1}", (f"h{i}", f"b{i}")) for i in range(30)))
    ruleset = adapter.Ruleset(chain, islands(chain, roomy=100)[0])
    wrong: list[object] = []

    def work(seed: int) -> None:
        for n in range(60):
            stop = (seed * 7 + n) % 30
            told = ["h0", *(f"b{i}" for i in range(stop))]
            if ruleset.fired(told) != tuple(range(stop)):
                wrong.append((seed, n))

    threads = [threading.Thread(target=work, args=(seed,)) for seed in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert wrong == []


def test_no_thread_is_started() -> None:
    before = threading.active_count()
    fires(program(("h", ("a",))), "a")
    assert threading.active_count() == before


def test_only_the_raw_engine_is_imported_and_only_when_asked() -> None:
    code = (
        "import sys; import enginelimits.rules.evaluate; "
        "assert not [m for m in sys.modules if m.startswith('durable')]; "
        "from enginelimits.rules.durable import native; native(); "
        "print(sorted(m for m in sys.modules if m.startswith('durable')))"
    )
    path = os.pathsep.join(p for p in sys.path if p)
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, env={**os.environ, "PYTHONPATH": path}
    )
    assert done.stdout.strip() == "['durable_rules_engine']"


def test_engines_that_disagree_end_the_computation() -> None:
    class Liar:
        name = "liar"

        def firings(self, of: Program, held: np.ndarray) -> np.ndarray:
            return ~Plain().firings(of, held)

    one = program(("ROD001/note+", ("a",)))
    held = np.ones((1, 1), dtype=bool)
    with pytest.raises(SolveError, match="plain and liar disagree on `ROD001/note\\+`"):
        derived(Liar(), one, held, held)


def test_refused_facts_end_the_computation_and_free_nothing_that_is_dirty(monkeypatch: pytest.MonkeyPatch) -> None:
    small = program(("h", ("a",)))
    ruleset = adapter.Ruleset(small, islands(small)[0])
    real = ruleset._engine

    class Refusing:
        def __getattr__(self, name: str) -> object:
            return (lambda handle, facts: (1, 0)) if name == "assert_facts" else getattr(real, name)

    monkeypatch.setattr(ruleset, "_engine", Refusing())
    with pytest.raises(SolveError, match="refused facts with code 1"):
        ruleset.fired(("a",))
    monkeypatch.setattr(ruleset, "_engine", real)
    assert ruleset.fired(("a",)) == (0,)


def test_no_free_state_is_told_not_waited_for(monkeypatch: pytest.MonkeyPatch) -> None:
    small = program(("h", ("a",)))
    ruleset = adapter.Ruleset(small, islands(small)[0])
    monkeypatch.setattr(adapter, "LONGEST_WAIT", 0.01)
    while not ruleset._states.empty():
        ruleset._states.get()
    with pytest.raises(SolveError, match="no state"):
        ruleset.fired(("a",))


def test_hash_is_the_published_one() -> None:
    # Test vectors of 32-bit FNV-1a: Fowler, Noll, Vo, Eastlake 2012, The FNV non-cryptographic hash algorithm, app. C.
    assert fnv("") == 0x811C9DC5
    assert fnv("a") == 0xE40C292C
    assert fnv("foobar") == 0xBF9CF968


def test_names_used_do_not_collide_and_a_collision_would_be_seen() -> None:
    names = [*(fact_id(i) for i in range(16_384)), *(f"sid-{name}" for name in STATE_NAMES)]
    assert colliding(names) == ()
    assert colliding(["a", "b", "a"]) == ()  # the same name is no collision
    # "costarring" and "liquid" share a 32-bit FNV-1a hash; a pair known from the hash's literature.
    assert fnv("costarring") == fnv("liquid")
    assert colliding(["costarring", "liquid"]) == ("liquid",)


def test_what_hangs_together_beyond_capacity_is_refused_by_name() -> None:
    clauses = [("big/top+", (f"m{i}",)) for i in range(MOST_CLAUSES)] + [
        (f"m{i}", (f"b{i}",)) for i in range(MOST_CLAUSES)
    ]
    with pytest.raises(RuleError, match=f"at most {MOST_CLAUSES} clauses that hang together, got 8190 for"):
        islands(program(*clauses))


def test_a_circle_is_refused() -> None:
    with pytest.raises(RuleError, match="do not need themselves, got"):
        program(("a", ("b",)), ("b", ("a",)))
