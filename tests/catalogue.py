"""The template of the catalogue and its languages: every message of the code and of the tables, drawn anew by ``python tests/catalogue.py``.

A language of LANGUAGES has a ``.po`` for people to write in and a ``.mo`` that is read. Drawn anew a ``.po`` keeps what is translated
of the messages that there still are, and its header: what is new stands in it empty, nothing is guessed.
"""

import ast
import io
import sys
import tomllib
from pathlib import Path

from anchorage.core.say import places
from anchorage.core.words import one_and_many

ROOT = Path(__file__).parents[1]
TEMPLATE = ROOT / "anchorage" / "locale" / "anchorage.pot"
MAPPING = Path(__file__).with_name("babel.cfg")
KEYWORDS = {"say": None, "later": None, "mark": None, "plural": (1, 2)}
LANGUAGES = {"es": ("Spanish", "(n != 1)"), "fr": ("French", "(n > 1)")}
"""The languages: name, and which numbers of things take the second of two forms. (Spanish and French know a third for whole millions: none here.)"""
NOT_REVIEWED = "not yet reviewed by a speaker of the trade"
HEADER = """\
# Messages of anchorage. A place in braces is filled in by its name; a % stands for itself but in help of options, where %% does.
msgid ""
msgstr ""
"Project-Id-Version: shelter-anchorage\\n"
"MIME-Version: 1.0\\n"
"Content-Type: text/plain; charset=utf-8\\n"
"Content-Transfer-Encoding: 8bit\\n"

"""
"""No time stamp in it: drawn anew it is the same."""
KEPT = {"X-Review": NOT_REVIEWED, "X-Terms": "memory"}
"""Lines of a language's header that people write: whether it was reviewed, and where its terms are from, set apart by ``; ``."""
DRAWN = {
    "texts": ("text", "short"),
    "terms": ("term", "means"),
    "defaults": ("left_out", "why", "said"),
}
"""Lists of a table's file and the keys of theirs that people read."""
CODES = ("means",)
"""Keys of a code that warns of something."""
COUNTED = ("ballast-mass",)
"""Tables whose rows are things that are counted."""
THINGS = ("stake", "deadman", "unit", "line", "tie", "strap", "mallet", "shovel")
LABELLED = ("chance.toml",)
"""Tables whose rows are named on a page that people read."""


def messages(tree):
    """Every message of a module, with the call that says it: its name, its texts, its line."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in KEYWORDS:
            wanted = node.args[: len(KEYWORDS[node.func.id] or (1,))]
            if wanted and all(isinstance(a, ast.Constant) and isinstance(a.value, str) for a in wanted):
                yield node, tuple(a.value for a in wanted)


def said(file, keywords, comment_tags, options):
    """Messages of a module, as Babel takes them: inside f-strings too, which its own extractor does not read."""
    for node, texts in messages(ast.parse(file.read())):
        if any(texts):
            yield node.lineno, node.func.id, texts, []


def texts_of_tables(file, keywords, comment_tags, options):
    """Messages of a table, as Babel takes them from an extractor."""
    data = tomllib.loads(file.read().decode("utf-8"))
    found = [row.get(key) for part, keys in DRAWN.items() for row in data.get(part, ()) for key in keys]
    found += [
        c.get(key)
        for listed in data.get("codes", ())
        for c in listed.get("rows", ())
        if c.get("danger")
        for key in CODES
    ]
    if Path(file.name).name in LABELLED:
        found += [r.get("label") for t in data.get("tables", ()) for r in t.get("rows", ())]
    for text in found:
        if text:
            yield 0, None, text, []
    keys = [r["key"] for t in data.get("tables", ()) if t["name"] in COUNTED for r in t["rows"]]
    for unit in (*keys, *(THINGS if keys else ())):
        yield 0, "plural", one_and_many(unit), []


def collected():
    """The messages as Babel collects them."""
    from babel.messages.catalog import Catalog
    from babel.messages.extract import extract_from_dir
    from babel.messages.frontend import parse_mapping_cfg

    with MAPPING.open(encoding="utf-8") as mapping:
        methods, options = parse_mapping_cfg(mapping)
    catalog = Catalog()
    for name, _, message, comments, context in extract_from_dir(ROOT, methods, options, KEYWORDS):
        catalog.add(message, locations=[(name, 0)], auto_comments=comments, context=context)
    return catalog


def drawn(catalog):
    """The template as text: no time stamp and no number of a line in it, so that it changes with its messages alone."""
    from babel.messages.pofile import write_po

    out = io.BytesIO()
    write_po(out, catalog, width=0, omit_header=True, sort_output=True, include_lineno=False)
    return HEADER + out.getvalue().decode("utf-8")


def place_of(language, ending="po"):
    """Where a language's catalogue stands."""
    return TEMPLATE.parent / language / "LC_MESSAGES" / f"anchorage.{ending}"


def written_signs(language):
    """How a language writes a decimal and names days and months, short and without the dots."""
    from babel import Locale

    of = Locale.parse(language)
    days, months = of.days["format"]["abbreviated"], of.months["format"]["abbreviated"]
    return [
        ("X-Name", of.display_name),
        ("X-Decimal", of.number_symbols["latn"]["decimal"]),
        ("X-Days", " ".join(days[i].removesuffix(".") for i in range(7))),
        ("X-Months", " ".join(months[i].removesuffix(".") for i in range(1, 13))),
    ]


def of_language(language):
    """A language's catalogue, empty."""
    from babel.messages.catalog import Catalog

    class Language(Catalog):
        """Of the lines of a header it keeps those that people write, and no time."""

        def __init__(self):
            name, rule = LANGUAGES[language]
            super().__init__(locale=language, fuzzy=False)
            self._num_plurals, self._plural_expr = 2, rule
            self.kept = dict(KEPT)
            self.header_comment = f"# {name}. {HEADER.splitlines()[0][2:]}"

        @property
        def mime_headers(self):
            return [
                ("Project-Id-Version", "shelter-anchorage"),
                ("Language", language),
                ("Plural-Forms", self.plural_forms),
                ("MIME-Version", "1.0"),
                ("Content-Type", "text/plain; charset=utf-8"),
                ("Content-Transfer-Encoding", "8bit"),
                *written_signs(language),
                ("X-Terms", self.kept["X-Terms"]),
                ("X-Review", f"{self.kept['X-Review']}\n"),
            ]

        @mime_headers.setter
        def mime_headers(self, lines):
            self.kept |= {k: v.strip() for k, v in lines if k in KEPT}

    return Language()


def whole(message, texts, plurals):
    """Whether a translation can be shown: every form of it there, with the places of its message and no other."""
    forms = texts if isinstance(texts, list | tuple) else (texts,)
    ids = message if isinstance(message, tuple) else (message,)
    wanted = {frozenset(places(i)) for i in ids} | (
        {frozenset(places(ids[1])) | {"n"}} if len(ids) == 2 else set()
    )
    try:
        given = [frozenset(places(f)) if f and f.strip() else None for f in forms]
    except ValueError:
        return False
    return len(forms) == (1 if len(ids) == 1 else plurals) and all(g in wanted for g in given)


def read(language):
    """What people wrote for a language, as it stands; an empty catalogue where nothing does."""
    from babel.messages.pofile import PoFileParser

    found = of_language(language)
    if place_of(language).is_file():
        with place_of(language).open("rb") as file:
            PoFileParser(found).parse(file)
    return found


def updated(language, template, texts=()):
    """A language's catalogue: an entry for each message of the template, with the text given for it, else the one that it had."""
    before = read(language)
    new = of_language(language)
    new.kept = before.kept
    given = {m.id: m.string for m in before if m.id and not m.fuzzy} | dict(texts)
    for m in template:
        if m.id:
            text = given.get(m.id)
            text = tuple(text) if isinstance(text, list) else text
            fits = text is not None and whole(m.id, text, new.num_plurals)
            new.add(m.id, text if fits else None, locations=m.locations, flags=m.flags)
    return new


def as_po(catalog):
    """A language as people write it."""
    from babel.messages.pofile import write_po

    out = io.BytesIO()
    write_po(out, catalog, width=0, sort_output=True, include_lineno=False)
    return out.getvalue()


def compiled(catalog):
    """A language as it is read: what is not translated is not in it."""
    from babel.messages.mofile import write_mo

    out, full = io.BytesIO(), of_language(str(catalog.locale))
    full.kept = catalog.kept
    for m in catalog:
        if m.id and whole(m.id, m.string, catalog.num_plurals):
            full.add(m.id, m.string)
    write_mo(out, full)
    return out.getvalue()


def draw(texts=None):
    """Draw the template and the languages anew. texts: by language, the texts to put in, by message."""
    template = collected()
    TEMPLATE.write_text(drawn(template), encoding="utf-8", newline="\n")
    for language in LANGUAGES:
        new = updated(language, template, (texts or {}).get(language, ()))
        place_of(language).parent.mkdir(parents=True, exist_ok=True)
        place_of(language).write_bytes(as_po(new))
        place_of(language, "mo").write_bytes(compiled(new))


if __name__ == "__main__":
    sys.path.insert(0, str(Path(__file__).parent))
    draw()
