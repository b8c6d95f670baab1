"""Why a question is asked: what its answers feed, and what the matter hangs on as things stand."""

from __future__ import annotations

from dataclasses import dataclass

from engine.inference.conditions import attributes
from engine.inquiry.answers import AnswerBook
from engine.rulebook import Rulebook
from engine.rulebook.compiling import active_rules


@dataclass(frozen=True, slots=True)
class Feeds:
    """What a question's answers feed: titles of the signs that they settle, and of the rules that test them."""

    signs: tuple[str, ...]
    rules: tuple[str, ...]


def feeds(answers: AnswerBook, name: str) -> Feeds:
    """The signs and the rules that a question feeds, by title in id order."""
    rulebook: Rulebook = answers.rulebook
    signs = tuple(rulebook.findings[finding].title for finding in sorted(answers.settles[name]))
    rules = tuple(rule.title for rule in active_rules(rulebook) if name in attributes(rule.when))
    return Feeds(signs, rules)
