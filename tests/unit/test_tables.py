"""The tables: what the loader refuses, what rows inherit, and that all that is shipped loads."""

import contextvars
from pathlib import Path

import pytest

from anchorage.core import tables
from anchorage.core.errors import NotModelledError, TableError
from anchorage.core.tables import Library, collect, load_all, tables_dir, weakest

SOURCE = """
[[sources]]
id = "klipalo-2022"
title = "Static friction of shelter anchors"
short = "Klipalo et al."
year = 2022
where = "abstract"
"""
HEAD = """
[[tables]]
name = "friction"
quantity = "static coefficient of friction"
unit = "1"
source = "klipalo-2022"
clause = "abstract"
how = "read"
"""
GOOD_ROW = '{ key = "cloth-asphalt-dry", value = 0.54, low = 0.5, high = 0.6, note = "dry", label = "Cloth" }'


def write(
    folder: Path,
    rows: str = GOOD_ROW,
    head: str = HEAD,
    sources: str = SOURCE,
    *,
    more: str = "",
    name: str = "f.toml",
) -> Library:
    (folder / tables.SOURCES).write_text(f'title = "S"\n{sources}', encoding="utf-8")
    (folder / name).write_text(f'title = "T"\n{head}rows = [ {rows} ]\n{more}', encoding="utf-8")
    return Library(folder)


def refusal(library: Library) -> str:
    with pytest.raises(TableError) as caught:
        library.register()
    return str(caught.value)


def test_a_row_inherits_and_cites(tmp_path: Path) -> None:
    row = write(tmp_path).table("friction")["cloth-asphalt-dry"]
    assert (float(row), row.low, row.high, row.unit, row.label, row.table) == (
        0.54, 0.5, 0.6, "1", "Cloth", "friction",
    )  # fmt: skip
    assert (row.source, row.clause, row.how) == ("klipalo-2022", "abstract", "read")
    assert row.cite() == "Klipalo et al. 2022, abstract"
    assert len({row, row}) == 1


@pytest.mark.parametrize(
    ("how", "cite"),
    [
        ('"memory"', "memory, not read"),
        ('"common practice"', "common practice, no source"),
        ('"computed"', "computed: n"),
    ],
)
def test_the_citation_says_how_without_a_source(tmp_path: Path, how: str, cite: str) -> None:
    row = write(tmp_path, f'{GOOD_ROW}, {{ key = "b", value = 1, how = {how}, note = "n" }}').table(
        "friction"
    )["b"]
    assert row.cite() == cite
    if how != '"computed"':
        assert row.source is None
        assert row.clause is None


def test_what_was_not_seen_itself_is_never_read(tmp_path: Path) -> None:
    """The same row: refused as `read`, and as `second-hand` it keeps its source and says so."""
    repeated = f"{SOURCE}second_hand = true\n"
    assert "whose second_hand says otherwise" in refusal(write(tmp_path, sources=repeated))
    head = HEAD.replace('"read"', '"second-hand"')
    row = write(tmp_path, head=head, sources=repeated).table("friction")["cloth-asphalt-dry"]
    assert row.source == "klipalo-2022"
    assert row.cite() == "Klipalo et al. 2022, abstract, second-hand"


REFUSED_ROWS = {
    "unknown source": ('key = "b", value = 1, source = "nobody", clause = "1"', "'nobody' is not declared"),
    "another source does not take over the clause": (
        'key = "b", value = 1, source = "other"',
        "names its source and the clause",
    ),
    "double key": ('key = "cloth-asphalt-dry", value = 1', "key 'cloth-asphalt-dry' is there 2 times"),
    "computed without note": ('key = "b", value = 1, how = "computed"', "says how, in its note"),
    "memory with a source": (
        'key = "b", value = 1, how = "memory", source = "klipalo-2022"',
        "'memory' may not borrow a source",
    ),
    "practice with a source": (
        'key = "b", value = 1, how = "common practice", source = "klipalo-2022"',
        "'common practice' may not",
    ),
    "second-hand of what was seen": (
        'key = "b", value = 1, how = "second-hand", source = "klipalo-2022", clause = "1"',
        "whose second_hand says otherwise",
    ),
    "nan": ('key = "b", value = nan', "finite number"),
    "infinity": ('key = "b", value = 1, high = inf', "finite number"),
    "number as text": ('key = "b", value = "0.4"', "valid number"),
    "bound as text": ('key = "b", value = 0.4, low = "0.3"', "valid number"),
    "place as text": ('key = "b", value = 0.4, at = { t = "1" }', "valid number"),
    "place nan": ('key = "b", value = 0.4, at = { t = nan }', "finite number"),
    "boolean": ('key = "b", value = true', "valid number"),
    "below low": ('key = "b", value = 0.4, low = 0.5', "outside low..high"),
    "above high": ('key = "b", value = 0.4, high = 0.3', "outside low..high"),
    "unit twice": ('key = "b", value = 0.4, unit = "m"', "the table has the unit"),
    "clause as a number": ('key = "b", value = 0.4, clause = 6.10', "valid string"),
    "empty clause": ('key = "b", value = 0.4, clause = ""', "at least 1 character"),
    "key in capitals": ('key = "B", value = 0.4', "match pattern"),
    "key with underscore": ('key = "b_c", value = 0.4', "match pattern"),
    "key with trailing dash": ('key = "b-", value = 0.4', "match pattern"),
    "unknown field": ('key = "b", value = 0.4, colour = "red"', "not permitted"),
    "unknown how": ('key = "b", value = 0.4, how = "guess"', "Input should be 'read'"),
    "no value": ('key = "b"', "required"),
}


@pytest.mark.parametrize("case", REFUSED_ROWS)
def test_a_bad_row_is_refused_by_name(tmp_path: Path, case: str) -> None:
    row, message = REFUSED_ROWS[case]
    other = '[[sources]]\nid = "other"\ntitle = "O"\nyear = 1\nwhere = "w"\n' if '"other"' in row else ""
    text = refusal(write(tmp_path, f"{GOOD_ROW}, {{ {row} }}", sources=SOURCE + other))
    assert message in text
    assert text.startswith("f.toml: ")
    assert "friction" in text
    assert row.split('"')[1] in text


def test_other_refusals_of_the_loader(tmp_path: Path) -> None:
    twice = SOURCE + SOURCE
    uncited = SOURCE + SOURCE.replace("klipalo-2022", "unused")
    bare = '[[tables]]\nname = "t"\nquantity = "q"\n'
    text = '[[texts]]\nkey = "k"\ntext = "t"\nhow = "memory"\n'
    assert "sources.toml: there more than once: klipalo-2022" in refusal(write(tmp_path, sources=twice))
    assert "sources.toml: unused is named by nothing" in refusal(write(tmp_path, sources=uncited))
    assert "f.toml: sources: Extra inputs" in refusal(write(tmp_path, head=SOURCE + HEAD))
    assert "sources.toml: sources klipalo-2022 isbn: Extra" in refusal(
        write(tmp_path, sources=f"{SOURCE}isbn = 1")
    )
    assert "unit is missing" in refusal(write(tmp_path, '{ key = "b", value = 1, how = "memory" }', bare, ""))
    assert "how" in refusal(write(tmp_path, '{ key = "b", value = 1, unit = "m" }', bare, ""))
    assert "at least 1 item" in refusal(write(tmp_path, ""))
    assert "text 'k' is there 2 times" in refusal(write(tmp_path, more=text + text))
    assert "text k: " in refusal(write(tmp_path, more=text.replace("memory", "read")))
    assert "'memory' may not borrow" in refusal(write(tmp_path, more=text + 'source = "klipalo-2022"\n'))
    assert "table 'friction' is there 2 times" in refusal(
        write(tmp_path, more=f"{HEAD}rows = [ {GOOD_ROW} ]")
    )
    for how, clause in (("read", ""), ("read", 'source = "klipalo-2022"'), ("read", 'clause = "1"')):
        head = f'{bare}unit = "1"\nhow = "{how}"\n{clause}\n'
        assert "row b: " in refusal(write(tmp_path, '{ key = "b", value = 1 }', head))


def test_every_fault_is_told_at_once(tmp_path: Path) -> None:
    text = refusal(write(tmp_path, '{ key = "b", value = 1, high = 0 }, { key = "c", value = 1, low = 2 }'))
    assert len(text.splitlines()) == 2


def test_names_are_unique_over_all_files(tmp_path: Path) -> None:
    write(tmp_path)
    with pytest.raises(TableError, match=r"g\.toml: tables 'friction' is also in f\.toml"):
        write(tmp_path, name="g.toml")
    text = '[[texts]]\nkey = "k"\ntext = "t"\nhow = "memory"\n'
    (tmp_path / "g.toml").unlink()
    write(tmp_path, more=text)
    with pytest.raises(TableError, match="texts 'k' is also in"):
        write(tmp_path, head=HEAD.replace('"friction"', '"other"'), more=text, name="g.toml")


def test_a_file_that_is_no_toml_is_refused_and_the_marker_is_not_read(tmp_path: Path) -> None:
    (tmp_path / "INDEX.toml").write_text("= not read")
    write(tmp_path).register()
    (tmp_path / "g.toml").write_text("= bad")
    with pytest.raises(TableError, match=r"g\.toml: this is no TOML"):
        Library(tmp_path)


def test_a_file_of_another_shape_is_refused(tmp_path: Path) -> None:
    (tmp_path / "g.toml").write_text('title = "T"\ntables = 3\n')
    assert "g.toml: tables: " in refusal(write(tmp_path))


def test_an_unknown_name_lists_the_known(tmp_path: Path) -> None:
    library = write(tmp_path)
    with pytest.raises(TableError, match="no table 'fiction'; use one of friction"):
        library.table("fiction")
    with pytest.raises(TableError, match="no 'ice'; use one of cloth-asphalt-dry"):
        library.table("friction")["ice"]
    assert "ice" not in library.table("friction")
    assert library.table("friction").keys() == ("cloth-asphalt-dry",)
    with pytest.raises(TableError, match="no text"):
        library.text("x")


def test_what_is_not_implemented_is_registered_and_refused(tmp_path: Path) -> None:
    library = write(tmp_path, head=HEAD + "implemented = false\n")
    assert [r.key for r in library.register().rows] == ["cloth-asphalt-dry"]
    for take in (lambda t: t["cloth-asphalt-dry"], lambda t: t.line("t"), lambda t: t.grid("a", "b")):
        with pytest.raises(NotModelledError, match="friction"):
            take(library.table("friction"))


def test_a_line_and_a_grid_are_sorted_and_whole(tmp_path: Path) -> None:
    line = '{ key = "b", value = 2, at = { t = 20 } }, { key = "a", value = 1, at = { t = 10 } }'
    places, rows = write(tmp_path, line).table("friction").line("t")
    assert places == (10, 20)
    assert [float(r) for r in rows] == [1, 2]
    cell = '{{ key = "n-{0}-{1}", value = {0}{1}, at = {{ x = {0}, y = {1} }} }}'
    cells = [cell.format(x, y) for x in (2, 1) for y in (3, 4)]
    first, second, grid = write(tmp_path, ", ".join(cells)).table("friction").grid("x", "y")
    assert (first, second) == ((1, 2), (3, 4))
    assert [[float(r) for r in line] for line in grid] == [[13, 14], [23, 24]]
    with pytest.raises(TableError, match=r"no row at x, y = \(1\.0, 4\.0\)"):
        write(tmp_path, ", ".join(cells[:3])).table("friction").grid("x", "y")
    with pytest.raises(TableError, match="at the same place"):
        write(tmp_path, ", ".join([*cells, cells[0].replace("n-", "p-")])).table("friction").grid("x", "y")
    both = write(tmp_path, ", ".join([*cells, *(c.replace("n-", "p-") for c in cells)])).table("friction")
    assert both.grid("x", "y", prefix="p-")[2][0][0].key == "p-1-3"
    with pytest.raises(TableError, match="not at one place of x"):
        both.line("x")
    with pytest.raises(TableError, match="no row whose key starts with 'z'"):
        both.line("x", prefix="z")


def test_texts_have_provenance(tmp_path: Path) -> None:
    more = (
        '[[texts]]\nkey = "say.b"\ntext = "B"\nsource = "klipalo-2022"\nclause = "p. 1"\nhow = "read"\n'
        '[[texts]]\nkey = "say.a"\ntext = "A"\nhow = "common practice"\n'
    )
    library = write(tmp_path, more=more)
    assert library.text("say.b").cite() == "Klipalo et al. 2022, p. 1"
    assert [t.text for t in library.texts("say.")] == ["B", "A"]


def test_a_source_without_short_name_or_year_is_cited_by_its_title(tmp_path: Path) -> None:
    source = (
        '[[sources]]\nid = "klipalo-2022"\ntitle = "Code 2020"\nedition = "2nd"\nyear = 2020\nwhere = "w"\n'
    )
    assert (
        write(tmp_path, sources=source).table("friction")["cloth-asphalt-dry"].cite()
        == "Code 2020 2nd, abstract"
    )
    source = source.replace("year = 2020\n", "").replace('edition = "2nd"\n', "")
    assert (
        write(tmp_path, sources=source).table("friction")["cloth-asphalt-dry"].cite() == "Code 2020, abstract"
    )


def test_the_collector_gets_every_row_that_is_used(tmp_path: Path) -> None:
    table = write(
        tmp_path, '{ key = "a", value = 1, at = { t = 1 } }, { key = "b", value = 1, at = { t = 2 } }'
    ).table("friction")
    table["a"]
    with collect() as outer:
        table["a"]
        with collect() as inner:
            table["b"]
        contextvars.Context().run(lambda: table["b"])
        assert [r.key for r in inner] == ["b"]
        assert [r.key for r in outer] == ["a", "b"]
        table.line("t")
        assert len(table.rows) == 2
    table["a"]
    assert [r.key for r in outer] == ["a", "b", "a", "b"]


def test_the_weakest_provenance() -> None:
    assert weakest(["read"]) == "read"
    assert weakest(["read", "computed"]) == "computed"
    assert weakest(["common practice", "computed", "read"]) == "common practice"
    assert weakest(["common practice", "memory", "read"]) == "memory"
    with pytest.raises(TableError):
        weakest([])


def test_the_marker_is_looked_for_in_the_package_first(tmp_path: Path) -> None:
    package = tmp_path / "anchorage"
    for folder in (package / "_tables", tmp_path / "tables"):
        folder.mkdir(parents=True)
    with pytest.raises(TableError, match=r"INDEX\.toml"):
        tables_dir(package)
    (tmp_path / "tables" / "INDEX.toml").touch()
    assert tables_dir(package) == tmp_path / "tables"
    (package / "_tables" / "INDEX.toml").touch()
    assert tables_dir(package) == package / "_tables"


def test_what_is_in_a_shipped_file_is_found_by_its_headings_as_by_its_parser() -> None:
    whole, quick = Library(tables.tables_dir()), Library(tables.tables_dir(), shipped=True)
    for kind, name in (("tables", "name"), ("texts", "key"), ("codes", "name")):
        found = [n for file in whole._texts_of for n in whole.named(file, kind, name)]
        assert found
        assert found == [n for file in whole._texts_of for n in quick.named(file, kind, name)]


def test_all_shipped_tables_load() -> None:
    load_all()
    register = tables.register()
    assert register.rows
    assert register.sources
    for t in register.tables:
        assert tables.table(t.name) is t
        if t.implemented:
            assert all(tables.row(t.name, r.key) is r and r.cite() for r in t.rows)
    for s in register.texts:
        assert tables.text(s.key) is s
        assert s in tables.texts(s.key)
