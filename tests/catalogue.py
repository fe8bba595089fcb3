"""The template of the catalogue: every message of the code and of the tables, drawn anew by ``python tests/catalogue.py``.

For a language: ``pybabel init -i anchorage/locale/anchorage.pot -D anchorage -d anchorage/locale -l es``, and later ``pybabel update``.
"""

import ast
import io
import sys
import tomllib
from pathlib import Path

from anchorage.core.words import one_and_many

ROOT = Path(__file__).parents[1]
TEMPLATE = ROOT / "anchorage" / "locale" / "anchorage.pot"
MAPPING = Path(__file__).with_name("babel.cfg")
KEYWORDS = {"say": None, "later": None, "mark": None, "plural": (1, 2)}
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


if __name__ == "__main__":
    sys.path.insert(0, str(Path(__file__).parent))
    TEMPLATE.write_text(drawn(collected()), encoding="utf-8", newline="\n")
