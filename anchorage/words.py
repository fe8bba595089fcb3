"""The words for verdicts and levels that every command, screen and page shares. See ``tables/glossary.toml``."""

VERDICTS = {"go": "GO", "no-go": "NO-GO", "unknown": "CANNOT SAY"}
LEVELS = {"normal": "NORMAL", "secure": "SECURE", "people-out": "PEOPLE OUT", "keep-away": "KEEP AWAY", "unknown": "CANNOT SAY"}  # fmt: skip
