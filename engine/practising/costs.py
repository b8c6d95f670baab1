"""What evidence costs in minutes and money; every figure is a parameter of the rule base."""

from __future__ import annotations

from dataclasses import dataclass

from engine.rulebook import Rulebook


@dataclass(frozen=True, slots=True)
class Cost:
    """Minutes of an inspector's time, and the money that they and the outlay come to [pounds]."""

    minutes: float = 0.0
    pounds: float = 0.0

    def __add__(self, other: Cost) -> Cost:
        return Cost(self.minutes + other.minutes, self.pounds + other.pounds)

    def words(self) -> str:
        """The cost as it reads: `12 min, £12`."""
        return f"{minutes_words(self.minutes)}, {money_words(self.pounds)}"


NOTHING = Cost()


def minutes_words(minutes: float) -> str:
    """Minutes as they read; from two hours on hours with them."""
    whole = round(minutes)
    return f"{whole} min" if whole < 120 else f"{whole // 60} h {whole % 60:02} min"


def money_words(pounds: float) -> str:
    """Pounds as they read, whole."""
    return f"£{pounds:,.0f}"


def cost(rulebook: Rulebook, effort: str, times: int = 1) -> Cost:
    """What an effort (ask, look, meter, press, climb, open-up, laboratory, logging) costs, done so many times.

    The outlay of an effort that has none of its own is nothing.
    """
    minutes = rulebook.parameter(f"effort-{effort}") * times
    outlay = rulebook.numbers.get(f"outlay-{effort}", 0.0) * times
    return Cost(minutes, minutes / 60 * rulebook.parameter("hour-of-inspection") + outlay)
