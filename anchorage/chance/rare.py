"""A small probability by importance sampling about the design points of first-order reliability, with its check.

A margin is a function of standard normal draws, (N, k) -> (N, m), a column for each way to fail; it fails where any is
below 0. Source of both methods: Ditlevsen & Madsen, Structural Reliability Methods; Melchers & Beck.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Margin = Callable[[Floats], Floats]
STEP, ROUNDS, CLOSE = 1e-4, 40, 1e-4
NEAR = 2.0
"""Design points this much further out than the nearest are left to the plain part of the mixture."""
TRIED = 16
"""Ways to fail that a design point is looked for, those with the least margin in the middle."""
PLAIN = 0.1
"""Share of the samples that are not shifted at all, so that no weight can run away."""


@dataclass(frozen=True)
class Tail:
    """probability and its standard error; beta: distance of the nearest design point; first_order: sum of Φ(-beta) over all
    design points that were found, which bounds a series of ways to fail from above, to first order.
    """

    probability: float
    error: float
    beta: float
    first_order: float
    hits: int
    """Samples that failed."""


def design_point(margin: Callable[[Floats], Floats], width: int) -> Floats | None:
    """The point nearest the middle at which a single margin, (N, k) -> (N,), is 0; None where none is found.

    Hasofer and Lind's iteration after Rackwitz and Fiessler, the gradient by differences in one call, the step halved
    while the margin does not come nearer to 0.
    """
    u = np.zeros(width)
    probes = np.concatenate([np.zeros((1, width)), STEP * np.eye(width)])
    for _ in range(ROUNDS):
        values = margin(u + probes)
        g, slope = float(values[0]), (values[1:] - values[0]) / STEP
        steep = float(slope @ slope)
        if not np.isfinite(g) or not np.isfinite(steep) or steep < 1e-14:
            return None
        goal = (float(slope @ u) - g) / steep * slope
        trials = u + (goal - u) * 0.5 ** np.arange(4)[:, None]
        merit = np.abs(margin(trials)) + 0.02 * np.linalg.norm(trials, axis=1)
        new = trials[int(np.nanargmin(merit))]
        if float(np.linalg.norm(new - u)) < CLOSE and abs(g) < 1e-3:
            return np.asarray(new)
        u = new
        if float(np.linalg.norm(u)) > 12.0:
            return None
    return u if abs(float(margin(u[None])[0])) < 1e-2 else None


def _points(margin: Margin, width: int, ways: int) -> Floats:
    found: list[Floats] = []
    order = np.argsort(margin(np.zeros((1, width)))[0])[: min(ways, TRIED)]
    for k in order.tolist():
        at = design_point(lambda u, k=k: margin(u)[:, k], width)  # type: ignore[misc]
        if at is not None and not any(np.linalg.norm(at - other) < 0.1 for other in found):
            found.append(at)
    if not found:
        return np.zeros((0, width))
    out = np.array(found)
    size = np.linalg.norm(out, axis=1)
    near: Floats = out[size <= size.min() + NEAR]
    return near


def tail(margin: Margin, width: int, ways: int, samples: int, seed: int) -> Tail | None:
    """P(any margin < 0); None where no design point is found.

    The samples come from equal normal clouds about the design points and a plain one about the middle; each counts
    with the ratio of the true density to that of the mixture. Unbiased whatever the points are.
    """
    at = _points(margin, width, ways)
    if not len(at):
        return None
    far = np.linalg.norm(at, axis=1)
    bound = sum(0.5 * math.erfc(b / math.sqrt(2.0)) for b in far.tolist())
    centres = np.concatenate([np.zeros((1, width)), at])
    share = np.array([PLAIN, *([(1 - PLAIN) / len(at)] * len(at))])
    total = squares = 0.0
    hits = block = 0
    left = samples
    while left > 0:
        rng = np.random.default_rng(np.random.SeedSequence(seed, spawn_key=(1, block)))
        n = min(left, 4096)
        u = rng.standard_normal((n, width)) + centres[rng.choice(len(centres), n, p=share)]
        log = u @ centres.T - (centres**2).sum(axis=1) / 2
        weight = 1.0 / (np.exp(log) @ share)
        failed = margin(u).min(axis=1) < 0
        counted = weight * failed
        total, squares = total + float(counted.sum()), squares + float((counted**2).sum())
        hits, left, block = hits + int(failed.sum()), left - n, block + 1
    p = total / samples
    error = float(np.sqrt(max(squares / samples - p**2, 0.0) / samples))
    return Tail(p, error, float(far.min()), bound, hits)
