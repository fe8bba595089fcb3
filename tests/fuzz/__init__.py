"""Broken and hostile input, thrown at every reader: ``python -m tests.fuzz --cases 10000 --seed 1 [--reader NAME]``.

A case is fixed by the seed, the name of the reader and its number. Nothing here is collected by pytest; a short fixed run is
``tests/unit/test_fuzz.py``. ``tests/fuzz/guided.py`` does the same led by coverage, where atheris is installed.
"""
