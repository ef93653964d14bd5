"""Fuzz the readers of files, guided by coverage; needs ``pip install -e '.[fuzz]'``.  DEVELOPERS.md tells more.

    tools/fuzz.py run LOADER [--seconds 600]    try inputs from the corpus on; each kind of fault is kept once
    tools/fuzz.py merge LOADER [--most 60000]   keep the smallest inputs that reach all that was reached
    tools/fuzz.py add LOADER FILE...            put files, such as a crash that was mended, into the corpus
    tools/fuzz.py try LOADER FILE               what a loader says of a file
"""

from __future__ import annotations

import argparse
import hashlib
import os
import random
import resource
import subprocess
import sys
import time
import traceback
import warnings
from pathlib import Path

HERE = Path(__file__).resolve()
sys.path.insert(0, str(HERE.parents[1] / "tests" / "fuzz"))
WORK = Path(os.environ.get("ENGINELIMITS_FUZZ", "/tmp/enginelimits-fuzz"))
# Of which an input may take no more: seconds, and MB of the whole process with its libraries.
LONGEST, MOST_MB = 10, 1024
# Parts of the package that a loader may reach; what draws and prints is not looked into.
REACHED = ("enginelimits.errors", "enginelimits.units", "enginelimits.shop", "enginelimits.description",
           "enginelimits.rules", "enginelimits.measured", "enginelimits.decisions.spend", "enginelimits.reference")


def fuzz(name: str, flags: list[str]) -> None:
    """One run in this process; never returns."""
    import atheris

    with atheris.instrument_imports(include=list(REACHED)):
        import fuzz_loaders
        import fuzz_seeds

        _import_all()
    warnings.simplefilter("error")
    others = list(fuzz_seeds.seeds(name))

    def mutate(data: bytes, most: int, seed: int) -> bytes:
        chance = random.Random(seed)
        if chance.random() < (0.9 if name == "recording" else 0.3):
            return bytes(atheris.Mutate(data, most))
        return fuzz_seeds.mutated(bytes(data), others, chance)[:most]

    seen: set[str] = set()

    def once(data: bytes) -> None:
        start = time.perf_counter()
        try:
            fuzz_loaders.taken(name, data)
            assert time.perf_counter() - start < LONGEST, "too slow"
        except Exception as error:  # noqa: BLE001  every one is a fault; the run goes on to find others
            kind = _kind(error)
            if kind not in seen:
                seen.add(kind)
                path = WORK / f"{name}-fault-{hashlib.sha1(kind.encode(), usedforsecurity=False).hexdigest()[:12]}"
                path.write_bytes(data)
                print(f"FAULT {path}\n{''.join(traceback.format_exception(error))}", file=sys.stderr, flush=True)

    # A merge starts itself again by its first word.
    myself = WORK / f"{name}-again"
    myself.write_text(f'#!/bin/sh\nexec "{sys.executable}" "{HERE}" inside {name} "$@"\n')
    myself.chmod(0o755)
    atheris.Setup([str(myself), *flags], once, custom_mutator=mutate)
    atheris.Fuzz()


def _kind(error: BaseException) -> str:
    """What tells a fault from others: its type, and the lines that it came by."""
    frames = traceback.extract_tb(error.__traceback__)[-3:]
    return type(error).__name__ + "".join(f" {Path(f.filename).name}:{f.lineno}" for f in frames)


def _import_all() -> None:
    import importlib
    import pkgutil

    import enginelimits

    for module in pkgutil.walk_packages(enginelimits.__path__, "enginelimits."):
        if module.name.startswith(REACHED) and ".reference." not in module.name:
            importlib.import_module(module.name)


def prepared(name: str) -> Path:
    """A folder with the corpus and the seeds as files, where a run finds them and adds its own."""
    import fuzz_loaders
    import fuzz_seeds

    place = WORK / name
    place.mkdir(parents=True, exist_ok=True)
    for one in (*fuzz_loaders.corpus(name), *fuzz_seeds.seeds(name), *fuzz_seeds.hostile_copies(name)):
        (place / hashlib.sha1(one, usedforsecurity=False).hexdigest()).write_bytes(one)
    return place


def again(name: str, *flags: str) -> int:
    """This tool in a process of its own, with the library's flags after the word ``inside``."""
    words = [sys.executable, str(HERE), "inside", name, f"-timeout={LONGEST}", f"-rss_limit_mb={MOST_MB}", *flags]
    return subprocess.run(words, check=False, cwd=WORK).returncode


def run(name: str, seconds: int) -> int:
    place = prepared(name)
    again(name, f"-max_total_time={seconds}", "-max_len=60000", "-len_control=0",
          f"-artifact_prefix={WORK}/{name}-", "-print_final_stats=1", str(place))
    faults = sorted(path for path in WORK.glob(f"{name}-*") if path.is_file() and "again" not in path.name)
    print("\n".join(str(path) for path in faults) or "no faults")
    return 1 if faults else 0


def merge(name: str, most: int) -> int:
    """The corpus anew: of what a run left, the smallest inputs that reach everything, up to so many packed bytes."""
    import zlib

    import fuzz_loaders

    whole, least = prepared(name), WORK / f"{name}-least"
    least.mkdir(exist_ok=True)
    for path in least.iterdir():
        path.unlink()
    code = again(name, "-merge=1", str(least), str(whole))
    kept, size = list(fuzz_loaders.corpus(name)), 0
    for one in sorted((path.read_bytes() for path in least.iterdir()), key=lambda d: len(zlib.compress(d))):
        size += len(zlib.compress(one, 9)) * 4 // 3 + 3
        if size > most:
            break
        kept.append(one)
    print(f"{len(set(kept))} inputs kept in {fuzz_loaders.keep(name, kept)}")
    return code


def main() -> int:
    if sys.argv[1:2] == ["inside"]:
        fuzz(sys.argv[2], sys.argv[3:])
        return 0
    import fuzz_loaders

    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("does", choices=("run", "merge", "add", "try"))
    parser.add_argument("loader", choices=sorted(fuzz_loaders.LOADERS))
    parser.add_argument("files", nargs="*", type=Path)
    parser.add_argument("--seconds", type=int, default=600)
    parser.add_argument("--most", type=int, default=60_000)
    given = parser.parse_args()
    if given.does == "run":
        return run(given.loader, given.seconds)
    if given.does == "merge":
        return merge(given.loader, given.most)
    inputs = [path.read_bytes() for path in given.files]
    if given.does == "add":
        fuzz_loaders.keep(given.loader, [*fuzz_loaders.corpus(given.loader), *inputs])
        return 0
    resource.setrlimit(resource.RLIMIT_AS, (4 * MOST_MB << 20, 4 * MOST_MB << 20))
    warnings.simplefilter("error")
    for path, one in zip(given.files, inputs, strict=True):
        start = time.perf_counter()
        took = fuzz_loaders.taken(given.loader, one)
        print(f"{path}: {'taken' if took else 'refused'} in {time.perf_counter() - start:.2f} s")
    return 0


if __name__ == "__main__":
    sys.exit(main())
