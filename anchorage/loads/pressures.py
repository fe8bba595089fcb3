"""The loaded panels of a shape by whichever tables its form and method ask for."""

from __future__ import annotations

from anchorage.core.errors import NotModelledError
from anchorage.core.say import say
from anchorage.formulas import working
from anchorage.formulas.panels import Panels
from anchorage.loads import asce7, en1991, freeroofs
from anchorage.shelter.shape import Shape


def panels(
    shape: Shape,
    face: str,
    wall_height_ratio: dict[str, float],
    method: str = "physics",
    blockage: str | None = None,
) -> Panels:
    """Panels for wind square on a face.

    Parameters
    ----------
    shape : Shape
        Surfaces of it.
    face : str
        ``front``, ``right``, ``back`` or ``left``.
    wall_height_ratio : dict of float
        q at the top of each wall over q at mean roof height (1).
    method : str
        ``en1991`` takes the EN tables, all others those of ASCE 7.
    blockage : str, optional
        Under a canopy: ``clear`` or ``obstructed``.

    Returns
    -------
    Panels
        k of them, with v variants.

    """
    with working.title(f"Pressure coefficients, wind on the {face}", of=working.Topic.COEFFICIENTS, at=face):
        if method == "en1991":
            return en1991.panels(shape, face, blockage)
        if shape.canopy:
            return freeroofs.panels(shape, face, blockage, friction=method == "physics")
        if shape.form == "arch":
            return asce7.arched(shape, face, wall_height_ratio)
        if shape.form not in ("gable", "hip", "single-slope"):
            raise NotModelledError(say("no coefficients for the form {form}", form=shape.form))
        return asce7.walled(shape, face, wall_height_ratio)
