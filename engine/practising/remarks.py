"""The sentences of a review: of a part, the first record whose condition holds, with what is known put in."""

from __future__ import annotations

from collections.abc import Mapping

from engine.inference.conditions import Condition, Outcome, bind, evaluate
from engine.inference.facts import Fact
from engine.rulebook import Rulebook
from engine.rulebook.reviewing import PARTS, Remark


class Remarks:
    """The review remarks of a rule base."""

    def __init__(self, rulebook: Rulebook) -> None:
        self._of: dict[str, list[tuple[Remark, Condition | None]]] = {part: [] for part in PARTS}
        for remark in sorted(rulebook.reviews.values(), key=lambda one: (one.part, one.rank, one.id)):
            self._of[remark.part].append((remark, bind(remark.when, rulebook.numbers) if remark.when else None))

    def say(self, part: str, values: Mapping[str, str | float]) -> tuple[str, ...]:
        """What is said of a part, as a sentence; none where no record's condition holds.

        ``values`` are all that the part knows, by the names that `PARTS` declares; KeyError for one that is missing.
        """
        slots = PARTS[part]
        facts = {name: Fact(name, values[name]) for name, slot in slots.items() if slot.testable}
        for remark, condition in self._of[part]:
            if condition is None or evaluate(condition, facts).outcome is Outcome.HOLDS:
                said = {name: _read(values[name]) for name in slots}
                return (_sentence(remark.say.format_map(said)),)
        return ()


def _read(value: str | float) -> str:
    return value.strip() if isinstance(value, str) else f"{value:.3g}"


def _sentence(text: str) -> str:
    """The text with a capital first, and without a second stop where what was put in ended in one."""
    whole = " ".join(text.split()).replace("..", ".").replace(".:", ":").replace("?:", "?")
    for doubled in ("?.", "!."):
        whole = whole.replace(doubled, doubled[0])
    return whole[:1].upper() + whole[1:]


def yes_no(value: bool) -> str:
    """The word of a slot that is yes or no."""
    return "yes" if value else "no"


def percent(probability: float) -> float:
    """A probability in whole percent."""
    return float(round(100 * probability))
