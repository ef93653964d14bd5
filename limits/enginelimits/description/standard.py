"""The engine as its maker built and rated it, as a description of its own."""

from __future__ import annotations

from collections.abc import Collection

from enginelimits.description import nodes
from enginelimits.description.models import Build
from enginelimits.description.nodes import Node, found, with_node
from enginelimits.description.validation import built

# Conditions that a rating is referred to, as a place: 195 m has 99 kPa, dry; 110 m has 100 kPa.
RATED_AT = {
    "ISO 1585": {"altitude": "195 m", "air_temperature": "25 degC", "relative_humidity": "0 %"},
    "SAE J1349": {"altitude": "195 m", "air_temperature": "25 degC", "relative_humidity": "0 %"},
    "DIN 70020": {"altitude": "0 m", "air_temperature": "20 degC", "relative_humidity": "0 %"},
    "gross": {"altitude": "110 m", "air_temperature": "25 degC", "relative_humidity": "0 %"},
}
DEFAULT_RATING = "ISO 1585"
# A gross rating has neither air cleaner nor silencer before and behind the engine.
BARE = {"kind": "none", "losses": {"filter": "0 kPa", "after_turbine": "0 kPa"}}
_OTHERS = ("goal", "baseline", "site", "forced_induction", "fuel", "fuel_system", "anchors", "internals", "ignition")

# What a file that leaves it out is taken to have as its maker built it (see `load.py`).
COPIED_KEYS = ("compression_ratio", "redline", "limiter", "intake_closing")


def taken_for_standard(build: Build) -> frozenset[str]:
    """The paths under ``engine.standard`` that the file does not state: read from the engine as it is described."""
    tree = build.as_read.tree
    pairs = ((key, found(tree, ("engine", "standard", key))) for key in COPIED_KEYS)
    # a copy is the very node
    return frozenset(f"engine.standard.{key}" for key, node in pairs
                     if node is not None and node is found(tree, ("engine", key)))


def standard_build(build: Build, parts: Collection[str] = ()) -> Build | None:
    """The maker's engine on the maker's fuel in rating conditions; None without a rated power or torque.

    Its internals are those of its classes; ``parts`` names those of the file that are the maker's own.

    Taken from the file as read, so that no edit moves it.  An engine that its maker boosted has none: its
    figures say nothing of how it breathes by itself.
    """
    read = build.as_read
    output = read.engine.standard_output
    if output is None or (output.power is None and output.torque is None) or read.engine.built_for_boost is True:
        return None
    root: Node = read.tree
    for key in COPIED_KEYS:
        node = found(root, ("engine", "standard", key))
        if node is not None:
            root = with_node(root, ("engine", key), node)
    kept = {part: found(root, ("internals", part)) for part in parts}
    for key in _OTHERS:
        if found(root, (key,)) is not None:
            root = with_node(root, (key,), None)
    for part, node in kept.items():
        if node is not None:
            root = with_node(root, ("internals", part), node)
    # Its own figures speak for it, not what was measured of an engine of its family with other parts.
    root = with_node(root, ("calibration",), nodes.tree("none"))
    octane = found(root, ("engine", "standard_output", "fuel", "octane"))
    if octane is not None:
        root = with_node(root, ("fuel", "octane"), octane)
    if output.rating == "gross":
        root = with_node(root, ("forced_induction",), nodes.tree(BARE))
    rated = RATED_AT.get(output.rating or DEFAULT_RATING, RATED_AT[DEFAULT_RATING])
    root = with_node(root, ("site",), nodes.tree({**rated, "hot_day_temperature": rated["air_temperature"]}))
    return built(root, read.file)
