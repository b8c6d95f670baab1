"""A small vocabulary of its own, so that what is said of a case stays the same however the rule base grows."""

from __future__ import annotations

from dataclasses import dataclass, field


@dataclass(frozen=True)
class Asked:
    """One attribute."""

    title: str
    scope: str
    kind: str
    choices: tuple[str, ...] = ()
    unit: str | None = None
    minimum: float | None = None
    maximum: float | None = None

    def words(self) -> tuple[str, ...]:
        return ("yes", "no") if self.kind == "yes-no" else self.choices


@dataclass(frozen=True)
class Words:
    """The attributes, causes, steps and cautions that there are."""

    questions: dict[str, Asked] = field(
        default_factory=lambda: {
            "wall-construction": Asked("wall construction", "dwelling", "choice", ("solid-brick", "cavity-unfilled")),
            "weather": Asked("weather on the day", "visit", "choice", ("dry", "rain")),
            "tide-mark": Asked("a tide mark", "area", "yes-no"),
            "damp-height": Asked("height of the damp", "area", "number", (), "mm", 0.0, 5000.0),
        }
    )
    measures: dict[str, Asked] = field(default_factory=lambda: {"pins-excess": Asked("excess", "area", "number")})
    findings: dict[str, str] = field(default_factory=lambda: {"tide-line": "a tide line"})
    causes: dict[str, str] = field(default_factory=lambda: {"ground-rise": "", "bridged-dpc": ""})
    steps: dict[str, str] = field(default_factory=lambda: {"oven-dry-samples": ""})
    cautions: dict[str, str] = field(default_factory=lambda: {"wet-electrics": ""})
