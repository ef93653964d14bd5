"""From what matplotlib writes to one ``<svg>`` element that can stand in any page, light, dark or on paper."""

from __future__ import annotations

import re
from copy import deepcopy
from typing import Final
from xml.etree import ElementTree

SVG: Final = "http://www.w3.org/2000/svg"
XLINK: Final = "http://www.w3.org/1999/xlink"
# Colours that are drawn with, and what stands for them: ink is the colour of the text around the plot.  The others are
# as light as a third of the way from black to white, so that they are seen on white, on black and in grey.
INK: Final = "#000000"
PAPER: Final = "#fffffe"
FIRST: Final = "#2f7fc1"
SECOND: Final = "#b8641f"
LIMIT: Final = "#d0453b"
_VARIABLES: Final = {
    PAPER: "var(--plot-paper, Canvas)",
    FIRST: f"var(--plot-first, {FIRST})",
    SECOND: f"var(--plot-second, {SECOND})",
    LIMIT: f"var(--plot-limit, {LIMIT})",
}
FONTS: Final = "'DejaVu Sans', Verdana, sans-serif"
WIDEST: Final = "46rem"
_HALO: Final = "halo"
_VARIABLE = re.compile(r"var\(--[a-z-]+, ([^)]+)\)")
_HALO_STYLE = re.compile(r";? ?(paint-order|stroke[a-z-]*): [^;]*")
_REFERENCE = re.compile(r"url\(#([^)]+)\)")
_FONT = re.compile(r"^(?P<rest>.*?)(?P<size>[\d.]+px)\s+(?P<family>'.*)$")
# What XML 1.0 cannot hold at all
_UNWRITABLE = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")

def element(written: str, name: str, title: str, alt: str) -> str:
    """The element: no prologue, metadata, style sheet or script; ids and references renamed after ``name``."""
    root = ElementTree.fromstring(_UNWRITABLE.sub("", written))
    for parent in list(root.iter()):
        for child in list(parent):
            if child.tag in (f"{{{SVG}}}metadata", f"{{{SVG}}}style"):
                parent.remove(child)
    _rename(root, name)
    for node in root.iter():
        _colours(node)
    for key in ("width", "height", "version"):
        root.attrib.pop(key, None)
    root.set("class", "plot")
    root.set("role", "img")
    root.set("aria-labelledby", f"{name}-title {name}-alt")
    root.set("style", f"width:100%;max-width:{WIDEST};height:auto;stroke-linejoin:round;stroke-linecap:butt")
    for place, (tag, text) in enumerate((("title", title), ("desc", alt))):
        told = ElementTree.Element(f"{{{SVG}}}{tag}", {"id": f"{name}-{'alt' if place else 'title'}"})
        told.text = _UNWRITABLE.sub("", text)
        root.insert(place, told)
    return _text_of(root)


def on_paper(svg: str) -> str:
    """The element with every variable put in, ink black and paper white."""
    plain = _VARIABLE.sub(lambda found: "#ffffff" if found[1] == "Canvas" else found[1], svg)
    root = ElementTree.fromstring(plain.replace("currentColor", INK))
    for parent in list(root.iter()):
        for text in [child for child in parent if "paint-order" in child.attrib.get("style", "")]:
            # a renderer that knows no order of painting strokes over the letters: the halo first, then they
            over = deepcopy(text)
            text.set("aria-hidden", "true")
            over.set("style", _HALO_STYLE.sub("", text.attrib["style"]))
            parent.insert(list(parent).index(text) + 1, over)
    return _text_of(root)


def _text_of(root: ElementTree.Element) -> str:
    """Without a prefix, whatever name another library has registered for the namespace meanwhile."""
    ElementTree.register_namespace("", SVG)
    return ElementTree.tostring(root, encoding="unicode")


def _rename(root: ElementTree.Element, name: str) -> None:
    """Ids by their order, so that they are the same each time and differ from those of other plots."""
    used = {found for node in root.iter() for key, value in node.attrib.items()
            for found in (_REFERENCE.findall(value) + ([value[1:]] if key.endswith("href") else []))}
    new: dict[str, str] = {}
    for node in root.iter():
        id_ = node.attrib.pop("id", None)
        if id_ is not None and id_.startswith(_HALO):
            node.set("class", _HALO)
        if id_ in used:
            new[str(id_)] = f"{name}-{len(new) + 1}"
            node.set("id", new[str(id_)])
    for node in root.iter():
        for key, value in list(node.attrib.items()):
            if key.endswith("href"):
                del node.attrib[key]
                node.set("href", f"#{new[value[1:]]}")
            elif "url(#" in value:
                node.set(key, _REFERENCE.sub(lambda found: f"url(#{new[found[1]]})", value))


def _colours(node: ElementTree.Element) -> None:
    """Styles with colours that follow the page, and text in a font that is everywhere."""
    style = node.attrib.get("style")
    haloed = node.attrib.get("class") == _HALO
    if haloed:
        for text in node.iter(f"{{{SVG}}}text"):
            text.set("style", text.attrib.get("style", "") + f"; paint-order: stroke; stroke: {PAPER}; "
                                                             "stroke-width: 3px; stroke-linejoin: round")
    if style is None:
        if node.tag == f"{{{SVG}}}text":
            node.set("fill", "currentColor")
        return
    kept: list[str] = []
    for declaration in style.split(";"):
        key, _, value = (part.strip() for part in declaration.partition(":"))
        if not key:
            continue
        if key in ("fill", "stroke") and value.startswith("#"):
            if value == INK:
                node.set(key, "currentColor")
            else:
                # Where a variable is not known, the attribute stands: ink, and no halo.
                node.set(key, "none" if value == PAPER else "currentColor")
                kept.append(f"{key}: {_VARIABLES.get(value, 'currentColor')}")
        elif key == "font" and (found := _FONT.match(value)):
            weight = "bold" if re.search(r"bold|700", found["rest"]) else ""
            kept += [f"font-size: {found['size']}", *([f"font-weight: {weight}"] if weight else []),
                     f"font-family: {FONTS}"]
        elif key == "font-family":
            kept.append(f"font-family: {FONTS}")
        else:
            kept.append(f"{key}: {value}")
    if node.tag == f"{{{SVG}}}text" and "fill" not in node.attrib:
        node.set("fill", "currentColor")
    if kept:
        node.set("style", "; ".join(kept))
    else:
        del node.attrib["style"]
