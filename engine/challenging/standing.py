"""How the opinion stands to a stated conclusion: it agrees, in part, it is open, or it differs."""

from __future__ import annotations

from engine.challenging.models import Held, Verdict
from engine.challenging.weighed import Weighed
from engine.opinion.words import list_words


def beliefs(weighed: Weighed, causes: tuple[str, ...]) -> tuple[Held, ...]:
    """How strongly each cause is believed."""
    marginals = weighed.posterior.marginals
    titles = weighed.titles(causes)
    return tuple(
        Held(cause, title, marginals[cause], weighed.words(marginals[cause]))
        for cause, title in zip(causes, titles, strict=True)
    )


def likely_causes(weighed: Weighed) -> tuple[str, ...]:
    """The causes that reach the belief from which one may be called determined, most probable first."""
    level, marginals = weighed.number("determined-at-least"), weighed.posterior.marginals
    return tuple(sorted((c for c in marginals if marginals[c] >= level), key=lambda c: (-marginals[c], c)))


def judge(weighed: Weighed, held: tuple[str, ...]) -> Verdict:
    """The verdict on what is held; nothing held means that nothing wets the place now."""
    if not held:
        return _judge_dryness(weighed)
    opinion, own = weighed.opinion, set(held)
    if opinion.determined and opinion.level == "cause":
        firm = set(opinion.leading)
        return "agrees" if own == firm else "agrees-in-part" if own & firm else "differs"
    mechanisms = {weighed.cause(cause).mechanism for cause in held}
    shared = mechanisms & set(opinion.leading_mechanisms)
    if opinion.determined:
        return "agrees-in-part" if shared else "differs"
    likely = set(likely_causes(weighed))
    very_unlikely = {c for c in held if weighed.posterior.marginals[c] <= weighed.number("very-unlikely")}
    if own & likely:
        return "agrees-in-part" if very_unlikely else "open"
    elsewhere = likely or (set(opinion.leading_mechanisms) and not shared)
    return "differs" if elsewhere or very_unlikely == own else "open"


def open_wetting(weighed: Weighed) -> tuple[str, ...]:
    """The wetting causes that are still kept open, most probable first."""
    least, wetting = weighed.number("open-at-least"), set(weighed.wetting())
    return tuple(c.id for c in weighed.opinion.causes if c.id in wetting and c.probability >= least)


def _judge_dryness(weighed: Weighed) -> Verdict:
    """A dry place is agreed to be one where that may be reported and no wetting cause is still open."""
    if weighed.opinion.no_active_damp.reportable and not open_wetting(weighed):
        return "agrees"
    wet = 1 - weighed.opinion.no_active_damp.probability
    return "differs" if wet >= weighed.number("determined-at-least") else "open"


def summary(weighed: Weighed, held: tuple[str, ...], verdict: Verdict) -> str:
    """The verdict in a sentence."""
    opinion = weighed.opinion
    if not held:
        belief = f"that nothing wets this place now is {opinion.no_active_damp.words}"
        if verdict == "agrees":
            return f"The opinion agrees: {belief}."
        if verdict == "differs":
            return f"The opinion differs: {belief}."
        still = open_wetting(weighed)
        further = f", and {weighed.named(still)} {'is' if len(still) == 1 else 'are'} still open" if still else ""
        return f"The opinion leaves this open: {belief}{further}."
    said = list_words([f"{item.title} {item.words}" for item in beliefs(weighed, held)])
    left_out = [item.title for item in beliefs(weighed, likely_causes(weighed)) if item.cause not in held]
    further = f"; it finds {list_words(left_out)} likely" if left_out else ""
    if verdict == "agrees":
        return f"The opinion agrees: {weighed.named(held)} is determined ({_how(weighed, held)})."
    if verdict == "open":
        return f"The opinion is not determined and leaves this open: it calls {said}{further}."
    if verdict == "differs":
        return f"The opinion differs: it calls {said}{further}."
    if opinion.determined and opinion.level == "mechanism":
        routes = list_words([name.replace("-", " ") for name in opinion.leading_mechanisms])
        return (
            f"The opinion agrees in part: {routes} is determined, and by which cause is not. It calls {said}{further}."
        )
    return f"The opinion agrees in part: it calls {said}{further}."


def _how(weighed: Weighed, held: tuple[str, ...]) -> str:
    """How strongly what is held is believed, in words; each word once."""
    return list_words(list(dict.fromkeys(item.words for item in beliefs(weighed, held))))
