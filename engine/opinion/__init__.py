"""All of it put together: the one opinion object that every view renders."""

from engine.opinion.serialising import to_data, to_json
from engine.opinion.weighing import weigh, weigh_with

__all__ = ["to_data", "to_json", "weigh", "weigh_with"]
