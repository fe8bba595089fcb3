"""From the text of a deployment file to a Deployment: every fault at once, in words that name the key."""

from __future__ import annotations

import contextlib
import tomllib
from pathlib import Path
from typing import Annotated, Any

from pydantic import (
    BaseModel,
    TypeAdapter,
    ValidationError,
)

from anchorage.core.errors import Fault, InputFaults
from anchorage.core.plain import did_you_mean
from anchorage.core.say import say
from anchorage.core.textfile import GIVE_A_FILE, GIVE_TEXT, load_toml, read_whole, why_not
from anchorage.deployment.contradictions import contradictions
from anchorage.deployment.models import Deployment

LONGEST = 1_000_000
"""Bytes of a file."""
MOST_FAULTS = 50
"""Faults that are told of one file; of the others their number."""
LONGEST_KEY = 120


def _key(loc: tuple[int | str, ...]) -> str:
    text = ""
    for part in loc:
        if isinstance(part, int):
            text += f"[{part + 1}]"
        elif not part.startswith(("function-", "constrained-", "float", "dict[", "int", "quantity")):
            text += f".{part}" if text else part
    return text if len(text) <= LONGEST_KEY else text[: LONGEST_KEY - 3] + "..."


def _known(loc: tuple[int | str, ...], of: type[BaseModel]) -> list[str]:
    model: Any = of
    for part in loc[:-1]:
        fields = getattr(model, "model_fields", {})
        if not isinstance(part, str) or part not in fields:
            continue
        model = fields[part].annotation
        args = getattr(model, "__args__", ())
        model = next((a for a in args if isinstance(a, type) and issubclass(a, BaseModel)), model)
    return [f.alias or n for n, f in getattr(model, "model_fields", {}).items()]


def _shown(value: object) -> str:
    text = repr(value) if not isinstance(value, dict) else "a table"
    text = "".join(c if c.isprintable() else "?" for c in text)
    return text if len(text) <= 60 else text[:57] + "..."


def _fault(file: str, error: Any, of: type[BaseModel]) -> Fault:
    loc, kind, ctx = error["loc"], error["type"], error.get("ctx", {})
    got = say("read {shown}", shown=_shown(error["input"]))
    if kind == "missing":
        return Fault(file, _key(loc), say("not given"), say("it is needed"))
    if kind == "extra_forbidden":
        known = _known(loc, of)
        hint = did_you_mean(str(loc[-1]), known) or say("accepted here: {known}", known=", ".join(known))
        return Fault(file, _key(loc), say("not a key that is known"), hint)
    if kind == "literal_error":
        return Fault(file, _key(loc), got, say("accepted: {expected}", expected=ctx["expected"]), listed=True)
    words = {
        "greater_than_equal": say("at least {ge}", ge=ctx.get("ge")), "less_than_equal": say("at most {le}", le=ctx.get("le")), "less_than": say("under {lt}", lt=ctx.get("lt")), "greater_than": say("over {gt}", gt=ctx.get("gt")), "int_type": say("a whole number"),
        "int_from_float": say("a whole number"), "bool_parsing": say("true or false"), "bool_type": say("true or false"), "string_type": say("text in quotes"),
        "float_type": say("a number without quotes"), "float_parsing": say("a number"), "model_type": say("a table of keys"),
        "dict_type": say("a table of keys"), "list_type": say("a list"), "finite_number": say("a finite number"),
    }  # fmt: skip
    if kind in words:
        return Fault(
            file,
            _key(loc),
            got,
            say("accepted: {expected}", expected=words[kind]),
            listed=kind in ("bool_parsing", "bool_type"),
        )
    message = str(error["msg"]).removeprefix("Value error, ")
    return Fault(file, _key(loc), "", message)


def faults_of(file: str, e: ValidationError, of: type[BaseModel] = Deployment) -> list[Fault]:
    """What a model refused, in words that name the key; one fault a key."""
    return _merge_unions([_fault(file, x, of) for x in e.errors(include_url=False)[: 4 * MOST_FAULTS]])


def _merge_unions(faults: list[Fault]) -> list[Fault]:
    """A value that fits none of several kinds gives a fault for each: keep the first one of each key."""
    seen: dict[str, Fault] = {}
    for f in faults:
        seen.setdefault(f.key, f)
    return list(seen.values())


def _get(data: dict[str, Any], key: str) -> dict[str, Any]:
    part = data.get(key)
    return part if isinstance(part, dict) else {}


def _saved(data: dict[str, Any], folder: Path | None, file: str, kept_text: str | None) -> dict[str, Any]:
    """Put the keys of a saved shelter under those of the file. kept_text: its text, where it is not to be read anew."""
    use = _get(data, "shelter").get("use")
    if not isinstance(use, str):
        return data
    if folder is None and kept_text is None:
        raise InputFaults.of(
            file,
            "shelter.use",
            say("read {shown}", shown=_shown(use)),
            say("a saved shelter needs a deployment file beside it, not text from a pipe"),
        )
    try:
        raw = (
            kept_text.encode("utf-8")
            if kept_text is not None
            else read_whole((folder or Path()) / use, LONGEST)
        )
        if len(raw) > LONGEST:
            raise InputFaults.of(
                file,
                "shelter.use",
                say("read {shown}", shown=_shown(use)),
                say("that file is more than 1 MB; a saved shelter is a page of text"),
            )
        saved = load_toml(raw.decode("utf-8-sig"))
    except (OSError, ValueError) as e:
        raise InputFaults.of(
            file,
            "shelter.use",
            say("read {shown}", shown=_shown(use)),
            say(
                "that file cannot be read: {name}; give the path of a file with a [shelter] table, from the folder of this one",
                name=why_not(e)
                if isinstance(e, OSError)
                else say("it is no text of the form that a deployment has"),
            ),
        ) from None
    kept = _get(saved, "shelter")
    if not kept or "use" in kept:
        raise InputFaults.of(
            file,
            "shelter.use",
            say("read {shown}", shown=_shown(use)),
            say("that file has to have a [shelter] table of its own, without use"),
        )
    mine = _get(data, "shelter")
    merged = {**kept, **mine}
    for name in ("rating", "openings"):
        if isinstance(kept.get(name), dict) and isinstance(mine.get(name), dict):
            merged[name] = {**kept[name], **mine[name]}
    return {**data, "shelter": merged}


def read_text(
    text: str, file: str = "deployment", folder: Path | None = None, saved: str | None = None
) -> Deployment:
    """Read a deployment from TOML text. Every fault at once in ``InputFaults``.

    folder: where a saved shelter is looked for; saved: the text of that shelter instead.
    """
    try:
        data = _saved(load_toml(text), folder, file, saved)
    except tomllib.TOMLDecodeError as e:
        raise InputFaults.of(
            file, say("not readable as TOML"), str(e), say('write  key = "value"  one to a line')
        ) from None
    return read_data(data, file)


def read_data(data: dict[str, Any], file: str) -> Deployment:
    """Read a deployment from what stands in a file, tables that were read before among it. Every fault at once in ``InputFaults``."""
    faults: list[Fault] = []
    found: Deployment | None = None
    try:
        found = Deployment.model_validate(data)
    except ValidationError as e:
        faults = faults_of(file, e)
    faults += contradictions(found if found is not None else salvage(data), file, {f.key for f in faults})
    if faults or found is None:
        more = len(faults) - MOST_FAULTS
        rest = (
            [Fault(file, "file", "", say("{more} more faults: mend these first", more=more))]
            if more > 0
            else []
        )
        raise InputFaults([*faults[:MOST_FAULTS], *rest])
    return found


def _read_apart(model: type[BaseModel], raw: dict[str, Any]) -> dict[str, Any]:
    """The values of a part that lacks some that are needed, each read by itself; those that cannot be are left out."""
    values: dict[str, Any] = {}
    for n, f in model.model_fields.items():
        key = f.alias or n
        if key in raw:
            kind: Any = Annotated[f.annotation, *f.metadata] if f.metadata else f.annotation
            with contextlib.suppress(ValidationError):
                values[n] = TypeAdapter(kind).validate_python(raw[key])
        elif not f.is_required():
            values[n] = f.get_default(call_default_factory=True)
    return values


def salvage(data: dict[str, Any]) -> Deployment:
    """What can be read of a faulty file, part by part, so that contradictions elsewhere are reported in the same run."""
    parts: dict[str, Any] = {}
    for name, info in Deployment.model_fields.items():
        model = info.annotation
        if isinstance(model, type) and isinstance(data.get(name), model):
            parts[name] = data[name]
        elif isinstance(model, type) and issubclass(model, BaseModel):
            raw = dict(_get(data, name))
            for _ in range(len(raw) + 1):
                try:
                    parts[name] = model.model_validate(raw)
                    break
                except ValidationError as e:
                    bad = {x["loc"][0] for x in e.errors() if x["loc"]}
                    if not bad & raw.keys():
                        parts[name] = model.model_construct(**_read_apart(model, raw))
                        break
                    raw = {k: v for k, v in raw.items() if k not in bad}
        else:
            parts[name] = info.get_default(call_default_factory=True)
    return Deployment.model_construct(**parts)


def read_file(path: Path) -> Deployment:
    """Read a deployment file. Faults, an unreadable file included, come as ``InputFaults``."""
    name = path.name or str(path)  # a folder such as / has no name of its own
    try:
        raw = read_whole(path, LONGEST)
        if len(raw) > LONGEST:
            raise InputFaults.of(
                name, "file", say("more than 1 MB"), say("a deployment file is a page of text")
            )
        text = raw.decode("utf-8-sig")
    except OSError as e:
        raise InputFaults.of(name, "file", why_not(e, say("cannot be read")), GIVE_A_FILE) from None
    except UnicodeDecodeError:
        raise InputFaults.of(name, "file", say("not UTF-8 text"), GIVE_TEXT) from None
    return read_text(text, name, path.parent)
