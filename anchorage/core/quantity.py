"""Quantities as fields of a pydantic model: read from text once, bounded in the user's own unit."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Annotated, Any

from pydantic_core import PydanticCustomError, core_schema

from anchorage.core.say import say
from anchorage.core.units import KINDS, LONGEST, Measure, bound_text, read, write

if TYPE_CHECKING:
    from pydantic import GetCoreSchemaHandler, GetJsonSchemaHandler


def _as_text(accept: Callable[[object], Measure], written: Callable[[Any], str]) -> core_schema.CoreSchema:
    """A schema that validates by ``accept``, and writes text in JSON alone."""

    def validate(value: object) -> Measure:
        try:
            return accept(value)
        except ValueError as refusal:
            raise PydanticCustomError("quantity", "{reason}", {"reason": str(refusal)}) from None

    return core_schema.no_info_plain_validator_function(
        validate,
        serialization=core_schema.plain_serializer_function_ser_schema(
            written, return_schema=core_schema.str_schema(), when_used="json"
        ),
    )


@dataclass(frozen=True)
class Quantity:
    """What a field of a pydantic model accepts: ``Annotated[float, Quantity("speed", low="0 m/s")]``."""

    kind: str
    low: str | None = None
    high: str | None = None

    def __post_init__(self) -> None:
        """Refuse at once a bound that cannot be read."""
        low, high = self.bounds
        if low is not None and high is not None and low > high:
            raise ValueError(
                say("the low bound {low} is above the high bound {high}", low=low.text, high=high.text)
            )

    @cached_property
    def bounds(self) -> tuple[Measure | None, Measure | None]:
        """Low and high, both inclusive."""
        if self.kind not in KINDS:
            raise ValueError(
                say(
                    "{kind} is not a kind of quantity; write one of {kinds}",
                    kind=repr(self.kind),
                    kinds=", ".join(KINDS),
                )
            )
        low, high = (None if b is None else read(self.kind, b) for b in (self.low, self.high))
        return low, high

    def accept(self, value: object) -> Measure:
        """Read text, or take a measure of this kind as it is; refuse what is out of bounds."""
        if isinstance(value, Measure):
            if value.kind != self.kind:
                mine, theirs = KINDS[self.kind], KINDS[value.kind]
                raise ValueError(f"{value.text} is {theirs.noun}; {mine.accepts}")
            measure = value
        else:
            measure = read(self.kind, value)
        low, high = self.bounds
        if low is not None and measure < low:
            raise ValueError(
                say(
                    "{measure} is less than {measure_2}",
                    measure=measure.text,
                    measure_2=bound_text(measure, low, "up"),
                )
            )
        if high is not None and measure > high:
            raise ValueError(
                say(
                    "{measure} is more than {measure_2}",
                    measure=measure.text,
                    measure_2=bound_text(measure, high, "down"),
                )
            )
        return measure

    def __get_pydantic_core_schema__(
        self, source: object, handler: GetCoreSchemaHandler
    ) -> core_schema.CoreSchema:
        """Validate by ``accept``; write text in JSON and leave the measure alone elsewhere."""
        del source, handler
        return _as_text(self.accept, lambda value: write(self.kind, value))

    def __get_pydantic_json_schema__(
        self, schema: core_schema.CoreSchema, handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        """Describe the text that is accepted, for editors."""
        del schema, handler
        inside = KINDS[self.kind]
        least = "" if self.low is None else say("; at least {low}", low=self.low)
        most = "" if self.high is None else say("; at most {high}", high=self.high)
        accepts = inside.accepts[0].upper() + inside.accepts[1:]
        return {
            "type": "string",
            "maxLength": LONGEST,
            "description": f"{accepts}{least}{most}.",
            "examples": inside.example.split(" or "),
        }


@dataclass(frozen=True)
class AnyQuantity:
    """What a field accepts that may be one of several kinds, by its unit: ``Annotated[float, AnyQuantity(("force", "mass"))]``."""

    kinds: tuple[str, ...]

    def accept(self, value: object) -> Measure:
        """Read text as the first kind that takes its unit, or take a measure as it is; nothing may be below 0."""
        if isinstance(value, Measure):
            measure = value
        else:
            refusals: list[str] = []
            found: Measure | None = None
            for kind in self.kinds:
                try:
                    found = read(kind, value)
                    break
                except ValueError as refusal:
                    refusals.append(str(refusal))
            if found is None:
                raise ValueError(refusals[0])
            measure = found
        if measure.kind not in self.kinds:
            raise ValueError(
                say(
                    "{measure}: {kinds} is needed",
                    measure=measure.text,
                    kinds=" or ".join(KINDS[k].noun for k in self.kinds),
                )
            )
        if not 0.0 <= measure < float("inf"):
            raise ValueError(say("{measure} is less than nothing", measure=measure.text))
        return measure

    def __get_pydantic_core_schema__(
        self, source: object, handler: GetCoreSchemaHandler
    ) -> core_schema.CoreSchema:
        """Validate by ``accept``; write text in JSON and leave the measure alone elsewhere."""
        del source, handler
        return _as_text(self.accept, lambda value: write(value.kind, value))

    def __get_pydantic_json_schema__(
        self, schema: core_schema.CoreSchema, handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        """Describe the text that is accepted, for editors."""
        del schema, handler
        words = " or ".join(KINDS[k].accepts for k in self.kinds)
        return {"type": "string", "maxLength": LONGEST, "description": f"{words[0].upper()}{words[1:]}."}


Time = Annotated[float, Quantity("time", low="0 s", high="168 h")]
"""How long something takes: never less than nothing, a week at the most."""
