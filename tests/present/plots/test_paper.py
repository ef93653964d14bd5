"""A plot for a renderer that knows neither variables nor the order in which strokes are painted."""

from __future__ import annotations

from xml.etree import ElementTree

from enginelimits.present.plots.element import SVG, on_paper

HALOED = (
    f'<svg xmlns="{SVG}" viewBox="0 0 10 10"><g class="halo"><text style="font-size: 8px; paint-order: stroke; '
    'stroke: var(--plot-paper, Canvas); stroke-width: 3px; stroke-linejoin: round" fill="currentColor">torque</text>'
    "</g>"
    '<path d="M0 0" style="stroke: var(--plot-limit, #d0453b)"/></svg>'
)


def test_letters_stand_over_their_halo_as_a_text_of_their_own() -> None:
    root = ElementTree.fromstring(on_paper(HALOED))
    below, over = root.iter(f"{{{SVG}}}text")
    assert below.text == over.text == "torque"
    assert "stroke: #ffffff" in below.attrib["style"] and below.attrib["aria-hidden"] == "true"
    assert over.attrib["style"] == "font-size: 8px" and over.attrib["fill"] == "#000000"


def test_variables_are_put_in() -> None:
    made = on_paper(HALOED)
    assert "var(" not in made and "currentColor" not in made and "stroke: #d0453b" in made


def test_no_prefix_whatever_another_library_registers() -> None:
    # WeasyPrint names the namespace for itself when it is imported
    ElementTree.register_namespace("svg", SVG)
    assert on_paper(HALOED).startswith("<svg ")
