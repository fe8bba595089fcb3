"""outlook: a deployment and forecasts in, verdict and deadlines out."""

from __future__ import annotations

import argparse

from anchorage.cli.common import Outcome
from anchorage.cli.judge import opened
from anchorage.outlook.command import run


def outlook(args: argparse.Namespace) -> Outcome:
    """Judge forecasts against a deployment file."""
    return run(args, opened(args))
