"""What bare `dampwright` and `--version` say."""

from __future__ import annotations

GREETING = """\
dampwright {version}: a reasoning partner for people who investigate dampness in houses.

It takes what you saw, measured and were told; weighs which causes could be wetting the
place, or fooling the meter; and says why, how sure, what does not fit, and what to check
next. It is decision support: it does not replace an inspection, it does not specify works,
and local codes and licensed practice always have the last word. You conclude and sign.

  dampwright demo               an opinion on an invented house
  dampwright case make -o visit.yaml
                                a commented file to fill in after a visit
  dampwright weigh visit.yaml   an opinion on your case
  dampwright --help             all commands"""


def print_greeting() -> None:
    """Greet, say what the program is for and is not for, and offer the ways in."""
    from engine.version import VERSION

    print(GREETING.format(version=VERSION))


def print_version() -> None:
    """Print the version, and which chainer runs the rules on this machine."""
    from engine.inference.chaining import available_backend
    from engine.version import VERSION

    chainer = {"durable": "durable_rules", "python": "the Python evaluator (durable_rules is not installed)"}
    print(f"dampwright {VERSION}; rules are chained by {chainer[available_backend()]}")
