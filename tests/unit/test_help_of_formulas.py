"""``help`` of a formula is in the form of numpydoc, made of what it was registered with."""

import re

import pytest

from anchorage.formulas.registry import formulas

REGISTERED = formulas()


@pytest.mark.parametrize("name", sorted(REGISTERED))
def test_help_of_a_formula_names_each_argument_with_its_unit_and_range_and_where_it_is_from(
    name: str,
) -> None:
    f = REGISTERED[name]
    parts = re.split(r"\n\n(?=(?:Parameters|Returns|Raises|References|Examples)\n-+\n)", f.__doc__ or "")
    found = {p.splitlines()[0]: p.splitlines()[2:] for p in parts[1:]}
    assert parts[0].startswith(f.doc)
    assert [x.split(" : ")[0] for x in found["Parameters"][::2]] == list(f.arguments)
    for line, (argument, (symbol, unit)) in zip(found["Parameters"][1::2], f.arguments.items(), strict=True):
        assert line.strip().startswith(f"{symbol} ({unit})")
        for bound in f.valid.get(argument, ()):
            assert bound is None or f"{bound:g}" in line
    assert f.unit in found["Returns"][1]
    assert found["References"] == [f.citation]
    assert ("Examples" in found) == (">>>" in (f.fn.__doc__ or ""))
