"""anchorage: what holds a soft shelter down, what wind and snow it can take, and when to leave.

A file in, an assessment out; the formulas by their names, in SI:

>>> from pathlib import Path
>>> import anchorage
>>> d = anchorage.read(Path(anchorage.__file__).parent / "demo" / "asphalt.toml")
>>> a = anchorage.assess(d)
>>> a.plan.verdict, a.plan.anchorage.sized, a.installation.deployment is d
('go', True, True)
>>> anchorage.pressure_physics(1.25, 1.0, 20.0)
250.0
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from anchorage.core.version import VERSION

if TYPE_CHECKING:
    from anchorage.deployment.models import Deployment
    from anchorage.deployment.reader import read_file as read
    from anchorage.judging.plan import Assessment, assess

__all__ = ["Assessment", "Deployment", "assess", "read"]
__version__ = VERSION


def __getattr__(name: str) -> Any:
    """Nothing slow is loaded before it is asked for: the command line starts with this module."""
    if name == "read":
        from anchorage.deployment.reader import read_file  # noqa: PLC0415

        return read_file
    if name == "Deployment":
        from anchorage.deployment.models import Deployment  # noqa: PLC0415

        return Deployment
    if name in ("Assessment", "assess"):
        from anchorage.judging import plan  # noqa: PLC0415

        return getattr(plan, name)
    if not name.startswith("_"):
        from anchorage.formulas.registry import formulas  # noqa: PLC0415

        if name in formulas():
            return formulas()[name]
    raise AttributeError(f"module 'anchorage' has no attribute {name!r}")
