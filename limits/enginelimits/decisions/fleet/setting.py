"""What all cases of a sweep share: draws, rules and the shop, in a form that reaches another machine.

The rules laid over and the shop's calibrations travel as files; a worker unpacks them once.  The shipped catalogue and
the code do not travel: a worker that has others refuses to work, so that one table never mixes two versions.
"""

from __future__ import annotations

import hashlib
import json
import shutil
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cache
from multiprocessing.util import Finalize
from pathlib import Path, PurePosixPath
from tempfile import mkdtemp
from types import MappingProxyType
from typing import TYPE_CHECKING

from enginelimits import __version__
from enginelimits.assessment.sample import checked_samples
from enginelimits.decisions.judge import DEFAULT_SAMPLES, DEFAULT_SEED
from enginelimits.description.calibration import FOLDER
from enginelimits.errors import EngineLimitsError
from enginelimits.rules.catalogue import Catalogue, files_of, load_catalogue
from enginelimits.shop import Setting as ShopSetting
from enginelimits.shop import Shop, read_shop, shop_folder

if TYPE_CHECKING:
    from enginelimits.rules.model import Override

# The layers that a row hangs on; how it is shown does not change it.
LAYERS = ("errors.py", "units", "shop.py", "reference", "description", "physics", "assessment", "rules", "decisions")
Packed = tuple[tuple[str, bytes], ...]


class WorkersDifferError(EngineLimitsError):
    """A worker has another version, or other shipped rules, than the program that gave it work."""


@dataclass(frozen=True, slots=True)
class Setting:
    """What every case is judged with.  Plain, so that it can be sent; ``digest`` changes when a row could."""

    samples: int
    seed: int
    mountain_m: float | None
    as_of: str
    version: str
    code: str
    layers: tuple[tuple[str, str, str], ...]
    families: tuple[str, ...]
    overlays: tuple[str, ...]
    has_shop: bool
    shop_settings: tuple[tuple[str, ShopSetting], ...]
    dyno: str
    files: Packed
    digest: str

    @property
    def catalogue(self) -> str:
        """One digest of all layers of rules."""
        return _digest(self.layers)


def setting_of(
    *,
    samples: int = DEFAULT_SAMPLES,
    seed: int = DEFAULT_SEED,
    rules: Sequence[Path] = (),
    shop: Path | None = None,
    as_of: date | None = None,
    mountain_m: float | None = None,
) -> Setting:
    """The setting of a sweep; InputError or RuleError where the shop or the rules cannot be read, or draws be made."""
    checked_samples(samples)
    own = read_shop(shop_folder(shop))
    place = own.place("rules")
    folders = [*((place,) if place else ()), *rules]
    day = as_of or date.today()
    catalogue = load_catalogue(overlays=folders, as_of=day)
    files = tuple(_packed(folders, own))
    layers = _layers(catalogue)
    settings = tuple(sorted(own.settings.items()))
    code = code_digest()
    digest = _digest([
        samples, seed, mountain_m, __version__, code, layers, [_named(o) for o in catalogue.overrides],
        repr(settings), own.dyno, [(name, hashlib.sha256(held).hexdigest()) for name, held in files],
    ])
    families = tuple(sorted({rule.family for rule in catalogue.judged().values()}))
    overlays = tuple(f"rules/{number}/{folder.resolve().name}" for number, folder in enumerate(folders))
    return Setting(samples, seed, mountain_m, day.isoformat(), __version__, code, layers, families, overlays,
                   own.folder is not None, settings, own.dyno, files, digest)


@cache
def code_digest() -> str:
    """A digest of the code and data that judge a build."""
    package = Path(__file__).resolve().parents[2]
    summed = hashlib.sha256()
    for path in (p for name in LAYERS for p in (package / name, *sorted((package / name).rglob("*")))):
        if path.is_file() and "__pycache__" not in path.parts:
            summed.update(f"{path.relative_to(package).as_posix()}\0".encode() + path.read_bytes())
    return summed.hexdigest()


@dataclass(frozen=True, slots=True)
class Held:
    """What a worker keeps of a setting between cases."""

    catalogue: Catalogue
    shop: Shop


# What this process keeps, by setting and day
_HELD: dict[tuple[str, str], Held] = {}


def held(setting: Setting) -> Held:
    """The catalogue and the shop of a setting, made once in each process.

    Raises WorkersDifferError where this process has other code or other shipped rules.
    """
    key = (setting.digest, setting.as_of)
    if key not in _HELD:
        if (__version__, code_digest()) != (setting.version, setting.code):
            raise WorkersDifferError(_words("engine-limits", setting.version, setting.code, __version__, code_digest()))
        root = unpacked(setting.files)
        for name in setting.overlays:
            # a folder without a rule in it is a layer all the same
            (root / name).mkdir(parents=True, exist_ok=True)
        catalogue = load_catalogue(overlays=[root / name for name in setting.overlays],
                                   as_of=date.fromisoformat(setting.as_of))
        if _layers(catalogue) != setting.layers:
            ours, theirs = catalogue.layers[0], setting.layers[0]
            raise WorkersDifferError(_words("shipped rules", theirs[1], theirs[2], ours.version, ours.digest))
        place = root / "shop" if setting.has_shop else None
        shop = Shop(place, MappingProxyType(dict(setting.shop_settings)), setting.dyno)
        _HELD[key] = Held(catalogue, shop)
    return _HELD[key]


def unpacked(files: Packed) -> Path:
    """The files in a folder of their own, which goes when this process ends."""
    folder = Path(mkdtemp(prefix="enginelimits-"))
    # Processes of a pool end without what atexit holds.
    Finalize(None, shutil.rmtree, (folder, True), exitpriority=0)
    for name, content in files:
        path = folder / PurePosixPath(name)
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content)
    return folder


def _packed(folders: Sequence[Path], shop: Shop) -> Iterator[tuple[str, bytes]]:
    """The files that a worker needs; of the shop's no settings, which may hold the way into its record."""
    for number, folder in enumerate(folders):
        for path in files_of(folder):
            inner = path.relative_to(folder).as_posix()
            yield f"rules/{number}/{folder.resolve().name}/{inner}", path.read_bytes()
    place = shop.place(FOLDER)
    for path in sorted(place.iterdir()) if place is not None and place.is_dir() else ():
        if path.suffix == ".yaml" and path.is_file():
            yield f"shop/{FOLDER}/{path.name}", path.read_bytes()


def _layers(catalogue: Catalogue) -> tuple[tuple[str, str, str], ...]:
    return tuple((layer.name, layer.version, layer.digest) for layer in catalogue.layers)


def _named(override: Override) -> tuple[str, ...]:
    """An override so far that it is known from others of its layer: which are in force hangs on the day."""
    return override.rule, override.layer, str(override.date), override.author, override.reason


def _digest(data: object) -> str:
    return hashlib.sha256(json.dumps(data, sort_keys=True, default=str).encode()).hexdigest()


def _words(what: str, version: str, digest: str, ours: str, own: str) -> str:
    return (f"a worker has other {what} than this program: {ours} ({own[:12]}) there, {version} ({digest[:12]}) here. "
            "Install the same engine-limits on all workers, and start them anew after a change.")
