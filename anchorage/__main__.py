"""``python -m anchorage`` is ``anchorage``."""

from anchorage.cli import main

if __name__ == "__main__":
    raise SystemExit(main())
