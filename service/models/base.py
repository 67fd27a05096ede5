"""What every model of the launch-day document shares: strictness, and how a value is refused.

A refusal always says two things, what was found and what would be right. A bad single value is refused by
its type (`types.py`); values that contradict each other are listed by `Model.problems`.
"""

from __future__ import annotations

import json
import math
from collections.abc import Iterable
from typing import Any, NamedTuple, Self

from pydantic import BaseModel, ConfigDict, model_validator
from pydantic_core import PydanticCustomError

SHOWN_CHARACTERS = 60
REFUSED = "refused"  # error type of one bad value; context: found, expected
PROBLEMS = "problems"  # error type of values that do not go together; context: problems


class Problem(NamedTuple):
    """One contradiction inside an object: where (relative to it), what was found, what would be right."""

    at: tuple[str | int, ...]
    found: str
    expected: str


class Model(BaseModel):
    """A frozen object that takes no unknown fields and no non-finite numbers."""

    model_config = ConfigDict(
        extra="forbid",
        frozen=True,
        allow_inf_nan=False,
        use_attribute_docstrings=True,
        serialize_by_alias=True,
        hide_input_in_errors=False,
    )

    def problems(self) -> Iterable[Problem]:
        """List what contradicts itself between fields that are each well formed."""
        return ()

    @model_validator(mode="after")
    def _refuse_problems(self) -> Self:
        problems = list(self.problems())
        if problems:
            text = "; ".join(f"{'.'.join(map(str, p.at))}: found {p.found}, expected {p.expected}" for p in problems)
            raise PydanticCustomError(PROBLEMS, "{text}", {"text": text, "problems": problems})
        return self


def refusal(found: Any, expected: str) -> PydanticCustomError:
    """Build the error of one bad value. `found` is the value itself."""
    context = {"found": shown(found), "expected": expected}
    return PydanticCustomError(REFUSED, "found {found}; expected {expected}", context)


def shown(value: Any) -> str:
    """Write a value as a person would read it in the document, short and printable.

    >>> shown(-3.5), shown(True), shown(None), shown(float("nan"))
    ('-3.5', 'true', 'null', 'NaN, which is not a number')
    >>> shown({"a": 1, "b": 2}), shown([1, 2, 3])
    ('an object with 2 fields', 'a list of 3 values')
    """
    if isinstance(value, float) and not math.isfinite(value):
        return "NaN, which is not a number" if math.isnan(value) else "infinity, or a number too large to hold"
    if isinstance(value, int) and not isinstance(value, bool) and abs(value) >= 10**SHOWN_CHARACTERS:
        return "a number too large to hold"
    if isinstance(value, dict):
        return f"an object with {len(value)} field{'' if len(value) == 1 else 's'}"
    if isinstance(value, list | tuple):
        return f"a list of {len(value)} value{'' if len(value) == 1 else 's'}"
    if isinstance(value, str):
        if value == "":
            return "an empty string"
        cut = value if len(value) <= SHOWN_CHARACTERS else value[:SHOWN_CHARACTERS] + "..."
        return json.dumps(cut, ensure_ascii=not cut.isprintable())
    if isinstance(value, bool | int | float) or value is None:
        return json.dumps(value)
    return str(value)
