"""The list for the next visit: numbered, in walking order, with boxes to tick on paper."""

from __future__ import annotations

from cli.views.page import Page
from cli.views.phrases import sentence_case
from engine.inquiry.site_list import SiteList


def show_site_list(found: SiteList, page: Page) -> None:
    """Print the list."""
    page.line(f"For the next visit: {found.title}")
    page.section("Take care", list(found.cautions))
    page.section("Bring", list(found.bring))
    number = 0
    areas = {item.area for _, items in found.walk for item in items}
    for place, items in found.walk:
        page.heading(sentence_case(place))
        for item in items:
            number += 1
            where = f"{item.area}: " if len(areas) > 1 else ""
            page.line(f"[ ] {number}. {where}{item.what}", indent=2, hanging=4)
            if item.how:
                page.line(item.how, indent=6)
    if not found.walk:
        page.line("Nothing is left that would be worth another visit.")
