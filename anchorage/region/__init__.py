"""One installation over a gridded, optionally ensemble forecast: the rule of ``outlook`` in every cell. Needs the extra region."""
