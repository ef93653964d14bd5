"""Who reads a page, and what makes it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Final

from enginelimits.present.page.customer import customer_page
from enginelimits.present.page.parts import Matter, Page

PAGES: Final[Mapping[str, Callable[[Matter], Page]]] = {
    "customer": customer_page,
}
