"""Who reads a page, and what makes it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Final

from enginelimits.present.page.builder import builder_page
from enginelimits.present.page.calibrator import calibrator_page
from enginelimits.present.page.customer import customer_page
from enginelimits.present.page.enthusiast import enthusiast_page
from enginelimits.present.page.parts import Matter, Page
from enginelimits.present.page.shop_copy import shop_page

PAGES: Final[Mapping[str, Callable[[Matter], Page]]] = {
    "customer": customer_page,
    "enthusiast": enthusiast_page,
    "calibrator": calibrator_page,
    "builder": builder_page,
    "shop": shop_page,
}
