"""Every check of ballast on a frame as limit states for openturns, typed anew: the shelter's loads are the model's."""

import numpy as np
import openturns as ot


def limit_states(model):
    """Every check of ballast on a frame, typed anew as openturns reads it, in the variables of the draw.

    a, b: pressures outside and inside; t: terrain; w: shelter mass; m: mass of the units; f: friction.
    """
    out, ins, b, h = model.outside, model.inside, model.base, model.mean.held
    mu, g = model.mean.friction, []
    own, bag = h.own[0], h.ballast[0] * model.mean.mass
    whole, bags = float(h.shelter[0, 0]), float(bag.sum())
    ends = b.under(out).shares, b.under(ins).shares

    def both(x, y):
        return f"(a*({x!r})+b*({y!r}))"

    def least(need, have):
        return f"({have})-t*q*max(0,{need})"

    for c in range(len(out.names)):
        up = both(float(out.uplift[c, 0]), float(ins.uplift[c, 0]))
        push = [both(float(out.push[c, k]), float(ins.push[c, k])) for k in (0, 1)]
        size = f"sqrt({push[0]}^2+{push[1]}^2)"
        g.append(least(up, f"w*{whole!r}+m*{bags!r}"))
        rub = f"f*(w*{float(mu @ own)!r}+m*{float(mu @ bag)!r})"
        g.append(f"({rub})-t*q*({size}+f*{float(mu.max())!r}*max(0,{up}))")
        for e in range(4):
            arm, edge = float(b.arms[e]), b.edges[e]
            tip = f"({arm!r}*{up}-{both(float(out.moment[c] @ edge), float(ins.moment[c] @ edge))})"
            lever = arm - b.xy @ edge
            g.append(least(tip, f"w*{whole * arm!r}+m*{float(bag @ lever)!r}"))
        for i in range(len(b.ids)):
            up_i = both(float(ends[0].rigid[c, i]), float(ends[1].rigid[c, i]))
            g.append(least(up_i, f"w*{float(own[i])!r}+m*{float(bag[i])!r}"))
            k = int(b.frame[i])
            foot = both(float(ends[0].frame[c, i]), float(ends[1].frame[c, i]))
            g.append(least(foot, f"w*{whole * float(b.frame_weight[k]) / 2!r}+m*{float(bag[i])!r}"))
        for k in range(len(b.frame_weight)):
            feet = np.flatnonzero(b.frame == k)
            weight = float(mu[feet].sum()) * whole * float(b.frame_weight[k]) / 2
            pushed = f"abs({both(float(ends[0].frame_push[c, k]), float(ends[1].frame_push[c, k]))})"
            lifted = both(float(ends[0].frame_uplift[c, k]), float(ends[1].frame_uplift[c, k]))
            rub = f"f*(w*{weight!r}+m*{float(mu[feet] @ bag[feet])!r})"
            if ends[0].frame_push[c, k] or ends[1].frame_push[c, k]:
                g.append(f"({rub})-t*q*({pushed}+f*{float(mu[feet].mean())!r}*max(0,{lifted}))")
    return g


ORDER = ("pressure-outside", "pressure-inside", "terrain", "shelter-mass", "own-mass", "friction")


def openturns_event(model, gust):
    """P(any limit state < 0) at a gust (m/s), for openturns."""
    q = model.x.wind.pressure_per_gust_squared * gust**2
    states = [s.replace("*q*", f"*{q!r}*") for s in limit_states(model)]
    # muParser takes long formulas badly: a vector of states, and the least of them
    f = ot.SymbolicFunction(["a", "b", "t", "w", "m", "f"], states)
    by = {s.key: s for s in model.spreads}
    laws = [ot.LogNormalMuSigma(1.0, by[k].size, 0.0).getDistribution() for k in ORDER]
    return f, ot.JointDistribution(laws)
