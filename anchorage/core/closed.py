"""Closed lists that the deployment file, the record, the command line and the interface share.

What is not in one of them is unknown and said so, never none. A test holds each of them to its table.
"""

from __future__ import annotations

from typing import Literal, get_args

State = Literal["dry", "wet", "frozen", "ice", "snow", "soiled"]
"""Of the ground; table ``state``."""
STATES: tuple[str, ...] = get_args(State)
Beneath = Literal["nothing", "building", "deck", "cellar", "ice"]
"""What the ground is the top of; table ``beneath``."""
BENEATH: tuple[str, ...] = get_args(Beneath)
Material = Literal["woven", "plastic", "concrete", "steel", "rubber"]
"""Of a unit of ballast where it rubs; table ``ballast-material``."""
MATERIALS: tuple[str, ...] = get_args(Material)
