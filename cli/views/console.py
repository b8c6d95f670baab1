"""Where views print: rich consoles that never read user text as markup."""

from __future__ import annotations

from rich.console import Console

PLAIN_WIDTH = 80


def results(*, plain: bool = False) -> Console:
    """The console for results; ``plain`` has no colour and eighty columns."""
    return Console(
        markup=False,
        emoji=False,
        highlight=False,
        no_color=True if plain else None,
        width=PLAIN_WIDTH if plain else None,
        soft_wrap=False,
    )
