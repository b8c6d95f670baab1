"""What every part of a case has in common."""

from __future__ import annotations

from pydantic import BaseModel, ConfigDict


class Model(BaseModel):
    """Base of every part of a case: no unknown fields, no silent conversions, no changes after reading."""

    model_config = ConfigDict(extra="forbid", strict=True, frozen=True, allow_inf_nan=False, defer_build=True)
