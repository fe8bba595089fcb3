"""Values said on the command line instead of in the file, and what was put over what."""

from __future__ import annotations

from anchorage.checks.installation import heading_true
from anchorage.core.choices import chosen
from anchorage.core.closed import STATES
from anchorage.core.errors import InputFaults
from anchorage.core.say import numeral, say
from anchorage.core.units import Measure, as_typed, read, upper
from anchorage.core.words import spoken
from anchorage.deployment.models import Deployment
from anchorage.deployment.policy import SUBJECTS
from anchorage.holding import states
from anchorage.loads.wind import gust_factor


def _fault(option: str, got: object, accepted: str) -> InputFaults:
    return InputFaults.of(say("command line"), option, say("read {got}", got=repr(got)), accepted)


def _placed(placed: int | dict[str, int] | None) -> str:
    """Counts of the file as people write them: one for all, or each with its points."""
    if placed is None:
        return say("not given")
    if not isinstance(placed, dict):
        return str(placed)
    counts = sorted(set(placed.values()), reverse=True)
    if len(counts) == 1:
        return str(counts[0])
    return ", ".join(
        say("{units} at {points}", units=n, points=" ".join(i for i, k in placed.items() if k == n))
        for n in counts
    )


def override(
    d: Deployment,
    *,
    gust: str | None = None,
    bearing: float | None = None,
    state: str | None = None,
    placed: int | None = None,
    doors: str | None = None,
    straps: str | None = None,
    use: str | None = None,
) -> tuple[Deployment, list[str]]:
    """A deployment with some values replaced, and a line for each saying so.

    gust: a 3 s gust at 10 m with its unit; bearing: degrees true that the wind comes from; placed: units at every point;
    doors: open or closed, all of them; straps: unlocked or locked; use: one of words.USES. Raises ``errors.InputFaults``.
    """
    said: list[str] = []

    def put(table: str, text: str, **keys: object) -> None:
        nonlocal d
        d = d.model_copy(update={table: getattr(d, table).model_copy(update=keys)})
        said.append(text)

    if gust is not None:
        try:
            speed = read("speed", upper(gust))
        except ValueError as e:
            raise InputFaults.of(say("command line"), "--gust", "", str(e)) from None
        if not 0 <= speed <= 100:
            raise _fault("--gust", gust, say("a gust from 0 to 100 m/s"))
        strength = "service" if d.wind.level is None else d.wind.level
        if strength == "strength":
            raise _fault(
                "--gust", gust, say("the file gives a strength-level speed of a code map; change it there")
            )
        keys: dict[str, object] = {"averaging": "3 s", "speed_is": None, "height": None}
        value = float(speed)
        if d.wind.method == "en1991":  # it takes a 10 min mean, and shows the gust that stands for it
            value /= gust_factor("10 min", d.wind.conversion, [])
            keys |= {"averaging": "10 min", "return_period": None}
        keys["speed"] = Measure(value, "speed", say("{gust} gust", gust=gust))
        put(
            "wind",
            say(
                "gust {gust} (3 s, at 10 m) instead of {speed}",
                gust=gust,
                speed=as_typed(d.wind.speed, ""),
            ),
            **keys,
        )
    if bearing is not None:
        if not 0 <= bearing <= 360:
            raise _fault("--from", bearing, say("degrees from 0 to 360 that the wind comes from"))
        put("wind", say("wind from {bearing}°", bearing=numeral(bearing, "g")), bearing=bearing)
        if heading_true(d.site) is None:
            said[-1] += say(
                ": which way the front faces (true) is not in the file, so wind from any side counts and this changes nothing"
            )
    if state is not None:
        if state not in STATES:
            raise _fault("--state", state, say("one of {states}", states=", ".join(STATES)))
        said.append(
            say(
                "surface {state} instead of {state_2}",
                state=chosen(state, "state"),
                state_2=chosen(d.site.state, "state") if d.site.state else say("not given"),
            )
        )
        d = states.over_points(d, state)
    if placed is not None:
        if placed < 0:
            raise _fault("--placed", placed, say("a whole number of units at each point"))
        was = _placed(d.anchorage.placed)
        put(
            "anchorage",
            say("{placed} placed at each point instead of {was}", placed=placed, was=was),
            placed=placed,
        )
        d = d.model_copy(update={"point": [p.model_copy(update={"placed": None}) for p in d.point]})
    if doors is not None:
        doors = "closed" if doors == "shut" else doors
        if doors not in ("open", "closed"):
            raise _fault("--doors", doors, say("open or shut"))
        if not d.door:
            raise _fault(
                "--doors", doors, say("the file names no [[door]]: add the doors, or change shelter.openings")
            )
        d = d.model_copy(update={"door": [x.model_copy(update={"state": doors}) for x in d.door]})
        said.append(say("all doors {doors}", doors=doors))
    if use is not None:
        put("anchorage", say("for {use}", use=spoken(SUBJECTS[use])), size_for=use)
    if straps is not None:
        if straps not in ("unlocked", "locked"):
            raise _fault("--straps", straps, say("unlocked or locked"))
        put(
            "shelter",
            say(
                "straps {straps} instead of {straps_2}",
                straps=spoken(straps),
                straps_2=spoken(d.shelter.straps),
            ),
            straps=straps,
        )
    return d, said
