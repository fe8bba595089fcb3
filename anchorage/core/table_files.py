"""What a file of ``tables/`` may say, and nothing else: strict models of its sources, tables, texts and defaults."""

from typing import Annotated, Literal, Self

from pydantic import BaseModel, ConfigDict, Field, model_validator

How = Literal["read", "computed", "second-hand", "common practice", "memory"]
"""Of a figure: read in what is cited; worked out; of what is cited, read where another text repeats it; said by many; remembered."""
Key = Annotated[str, Field(pattern=r"^[a-z0-9]+([-.][a-z0-9]+)*$")]
Words = Annotated[str, Field(min_length=1)]


class Strict(BaseModel):
    model_config = ConfigDict(strict=True, frozen=True, extra="forbid", allow_inf_nan=False, defer_build=True)


class Source(Strict):
    """Where figures were read; ``short`` is how it is cited, the title if it is left out."""

    id: Words
    title: Words
    short: Words | None = None
    publisher: Words | None = None
    edition: Words | None = None
    year: int | None = None
    where: Words
    second_hand: bool = False
    """It was not seen itself: its figures were read in a text, a program or a sheet that repeats them."""

    def cite(self) -> str:
        parts = [self.short or self.title]
        for p in (self.edition, str(self.year or "")):
            if p and p not in " ".join(parts):
                parts.append(p)
        return " ".join(parts)


class Provenance(Strict):
    source: Words | None = None
    clause: Words | None = None
    how: How | None = None


class RowIn(Provenance):
    key: Key
    value: float
    low: float | None = None
    high: float | None = None
    unit: Words | None = None
    note: str = ""
    label: str = ""
    at: dict[str, float] = {}
    material: str = ""
    """Of a unit of ballast where it rubs."""
    fill: str = ""
    """What a unit of ballast is filled with on site, where it travels empty."""


When = Literal["stakes", "lines", "ballast", "water", "decon", "ducts", "forecast"]


class TextIn(Provenance):
    key: Key
    text: Words
    short: str = ""
    """The same in one line, for a page that has room for no more."""
    when: When | None = None
    """What an installation has, or is judged by, that calls for it above others."""
    note: str = ""


class TableIn(Provenance):
    name: Key
    quantity: Words
    unit: Words | None = None
    implemented: bool = True
    rows: Annotated[list[RowIn], Field(min_length=1)]


class Default(Strict):
    """What is taken where a key of the deployment file is left out. ``said``: words that a result then prints."""

    key: Annotated[str, Field(pattern=r"^[a-z_]+(\.[a-z_0-9]+)*$")]
    left_out: Words
    errs: Literal["safe", "short", "asks", "no part"]
    why: Words
    said: Words | None = None


Unless = Literal[
    "weight pulls", "locked straps pull at their feet", "read low down", "away from the crest", "snow holds it down", "a few per cent either way",
    "its mass is given apart", "nothing else says that a line is there", "stakes were pulled in softer ground", "nothing else says what lies there",
    "a return period under 50 years", "warmer rain stays in snow", "cold snow is no slush", "nothing opens and people come and go",
    "a reading is beyond belief", "units of no list", "a code says the snow", "the last strap goes", "points differ", "a test says more or less than theory",
    "a test says more or less than the table", "a foot was pulled", "three or more, whose scatter counts", "a meter is beside a forecast",
]  # fmt: skip
"""The states of a file in which an order of worsening does not hold, each with its reason in ``why``."""


class Worse(Strict):
    """Which way a key of the file, an option, a statement of a forecast or an event of the record is worse."""

    key: Annotated[str, Field(pattern=r"^[a-z_-]+([. ][a-z_0-9-]+)*$")]
    of: Literal["file", "option", "statement", "event"]
    worse: Literal["more", "less", "none"] | Annotated[list[str | bool], Field(min_length=2)]
    """More or less of it, or values of which each is no better than those before."""
    none: Literal["name", "display", "clock", "north", "place"] | None = None
    """Why it has no direction."""
    unless: list[Unless] = []
    only: Literal["verdict"] | None = None
    """What may not be better; left out, limits too."""
    why: Words

    @model_validator(mode="after")
    def _reason(self) -> Self:
        if (self.worse == "none") != (self.none is not None):
            raise ValueError(
                "what has no direction, and nothing else, says why: a name, display, clock, north or place"
            )
        return self


class Term(Strict):
    """A name that the whole program shares. ``unused``, in the file ``not``: words that are not used for it."""

    term: Words
    symbol: Words | None = None
    unit: Words | None = None
    us: Words | None = None
    json_keys: list[Words] = Field(default=[], alias="json")
    means: Words
    unused: list[Words] = Field(default=[], alias="not")


class Suffix(Strict):
    """The end of a key of JSON and the unit that it says."""

    suffix: Words
    unit: Words


Danger = Literal[
    "thunder", "tornado", "squall", "tropical", "wind", "hail", "snow", "ice", "cold", "rain", "unknown"
]
"""What a word or a code of a forecast warns of, as far as it bears on a shelter; the list is closed."""
Count = Literal[
    "keep-away", "people-out", "secure", "unknown", "thunder", "snow", "severe-thunderstorm", "high-wind", "wind-advisory", "none",
]  # fmt: skip
"""What a danger counts as: a level, an unknown hour, thunder, snow without an amount, a row of ``warning-gust``, nothing."""


class CodeIn(Provenance):
    """One code of a public list. No danger = it says nothing that a shelter feels."""

    code: Words
    means: Words
    danger: list[Danger] = []
    light: bool = False
    """So little that an amount of nothing does not contradict it."""
    counts: list[Count] = []
    note: str = ""


class CodesIn(Provenance):
    """A public list of codes, whole: a code that is not in it is unknown and is said."""

    name: Key
    quantity: Words
    rows: Annotated[list[CodeIn], Field(min_length=1)]


class SourcesIn(Strict):
    title: Words
    sources: list[Source] = []


class FileIn(Strict):
    title: Words
    tables: list[TableIn] = []
    texts: list[TextIn] = []
    defaults: list[Default] = []
    worse: list[Worse] = []
    terms: list[Term] = []
    codes: list[CodesIn] = []
    suffixes: list[Suffix] = []
