"""The version of the program: it stands on every page, in every file written and in every request."""

VERSION = "0.1.0"
