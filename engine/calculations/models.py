"""What a single calculation is made of: what goes in, what comes out, by which equation and on what authority."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Literal

Seen = Literal["read", "secondary", "from_memory"]


@dataclass(frozen=True, slots=True)
class Amount:
    """A number that goes in, from ``least`` (itself left out when ``above``) to ``greatest`` in its unit.

    Without a value its ``default`` is taken, or the value of the rule base's ``parameter``; an ``optional`` one
    may stay away, and ``many`` may be given more than once.
    """

    name: str
    title: str
    unit: str
    least: float
    greatest: float
    above: bool = False
    whole: bool = False
    default: float | None = None
    parameter: str | None = None
    optional: bool = False
    many: bool = False

    @property
    def required(self) -> bool:
        """Whether there must be a value."""
        return not self.optional and self.default is None and self.parameter is None

    def allowed(self) -> str:
        """The range in words: ``-45 to 60 °C``."""
        start = f"above {self.least:g} up to" if self.above else f"{self.least:g} to"
        kind = "a whole number from " if self.whole else ""
        return f"{kind}{start} {self.greatest:g} {self.unit}".rstrip()

    def admits(self, value: float) -> bool:
        """Whether a value lies in the range; a value that is not a number does not."""
        low = self.least < value if self.above else self.least <= value
        return low and value <= self.greatest and (not self.whole or value.is_integer())


@dataclass(frozen=True, slots=True)
class Choice:
    """A word that goes in: one of ``choices``, or of the names with which parameters of the rule base end.

    With ``named_by`` the choices are the ids of the rule base's parameters that begin so, less that beginning.
    """

    name: str
    title: str
    choices: tuple[str, ...] = ()
    named_by: str = ""
    default: str | None = None
    optional: bool = False
    many: bool = False

    @property
    def required(self) -> bool:
        """Whether there must be a word."""
        return not self.optional and self.default is None

    def among(self, parameters: Mapping[str, float]) -> tuple[str, ...]:
        """The words that there are to choose from."""
        named = (name.removeprefix(self.named_by) for name in sorted(parameters) if name.startswith(self.named_by))
        return tuple(named) if self.named_by else self.choices


Input = Amount | Choice


@dataclass(frozen=True, slots=True)
class Cited:
    """A Source record by its id and the place in it; ``seen`` where this part reached us otherwise than the rest."""

    source: str
    clause: str = ""
    seen: Seen | None = None


@dataclass(frozen=True, slots=True)
class Result:
    """One thing that comes out: a number with its unit, and its band where it has one, or a word."""

    id: str
    title: str
    value: float | str
    unit: str = ""
    decimals: int = 1
    lower: float | None = None
    upper: float | None = None
    note: str = ""


@dataclass(frozen=True, slots=True)
class Given:
    """What went in, after its checks, and every number of the rule base."""

    numbers: Mapping[str, tuple[float, ...]]
    words: Mapping[str, tuple[str, ...]]
    parameters: Mapping[str, float]

    def number(self, name: str) -> float:
        """The number of an input that has one."""
        return self.numbers[name][0]

    def maybe(self, name: str) -> float | None:
        """The number of an input that may have none."""
        return next(iter(self.numbers.get(name, ())), None)

    def word(self, name: str) -> str | None:
        """The word of an input that may have none."""
        return next(iter(self.words.get(name, ())), None)


@dataclass(frozen=True, slots=True)
class Calculation:
    """One calculation: an entry of the table.

    ``example`` is what follows the calculation's name on a command line. ``parameters`` are the ids of the rule
    base's numbers that it uses besides those that inputs default to; a choice's name in braces stands for the word
    given, and an id whose word is not given is passed over. ``compute`` raises ValueError where inputs
    that are each in range cannot stand together.
    """

    id: str
    title: str
    inputs: tuple[Input, ...]
    equation: str
    sources: tuple[Cited, ...]
    valid: str
    example: str
    compute: Callable[[Given], Iterator[Result]] = field(repr=False)
    parameters: tuple[str, ...] = ()
    caution: str = ""
