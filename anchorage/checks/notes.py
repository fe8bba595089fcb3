"""What this room tells people, a closed list: each by its code, with its English."""

from anchorage.core.say import mark
from anchorage.core.told import Telling


class Note(Telling):
    """What is told of checks."""

    ASK_USE = mark(
        'Is it work, with people coming and going, or people inside with the doors shut? Give [anchorage] size_for = "working" or "people-in"; counted as work until then.'
    )
    ASK_DOOR = mark(
        'No door is in the file and nothing opens: how do people come and go? Give the door that they use ([[door]] is = "in-use"), or size_for = "people-in" where nobody does.'
    )
    ASK_MARKED = mark(
        'Are buried pipes and cables marked where stakes go in? Nothing is driven before they are: then give site.utilities = "marked".'
    )
    END_TO_END = mark(
        "{count} shelters end to end are taken as one, {length} m long; points at a joint are one point of both. When one comes down, check what is left again."
    )
    SIDE_BY_SIDE = mark(
        "{count} shelters side by side: each is checked as if it stood alone, in the full wind on every side; all counts are for EACH of the {count}. The gutters between them need points of their own."
    )
    CANOPY = mark(
        "A canopy: no walls, no pressure inside; wind on posts, fascia and anything hung beneath is not in it. Close no side without checking it as a closed shelter."
    )
    BLOCKAGE_UNSAID = mark(
        "Not said whether more than half of the way under the canopy is blocked: the worse of both is used."
    )
    SNOW_IS_NO_WEIGHT = mark(
        "snow.holds_down counts nothing: snow slides, blows and melts off, and is never weight."
    )
    RIDGE_UNSAID = mark("Length of the ridge not given: the roof is taken as equally steep all round.")
    HIGH_SIDE_UNSAID = mark(
        "Which side is the high one is not given: taken as the left, looking out of the front."
    )
    ARCH_QUARTERS = mark(
        "The arch is taken as a part of a circle; what a quarter of it is, of the arc or of the span, is not said by the source: both are run."
    )
    ANY_WALL = mark("any wall may be")
    ONE_WALL = mark("one wall is taken as")
    OPENINGS_UNSAID = mark(
        "Openings not given: {some} open, which raises the uplift. Give shelter.openings, 0 where shut."
    )
    ASK_RATINGS = mark(
        "The maker's {what} with straps locked ({said}) is less than with them unlocked ({said_2}): which is right? The lower counts until then."
    )
    HILL = mark("a hill, ridge or bluff")
    SLOPE = mark("a slope of the ground")
    BUILDING = mark("a building or shelter close by")
    NONE_COUNTED = mark("Nothing is said of {said}: none is counted.")
    BESIDE = mark(
        "Beside a {beside}: no sheltering is counted, and the gap may funnel the wind to more than the forecast. Keep the joint able to part; it holds nothing."
    )
    LOWEST_FRICTION_ACCEPTED = mark(
        "Lowest friction for ground that is not listed: accepted by {lowest_friction_by}."
    )
    FOOT_OFF_GROUND = mark("Foot off the ground at {off}: no friction counted there; pack it solid.")
    NOT_USED = mark("Not used as anchor points: {out}.")
    MASS_UNSAID = mark("Shelter mass not given: its own weight holds nothing down.")
    FRONT_UNSAID = mark(
        "Which way the front faces (true) is not given: the windiest ground counts on every side."
    )
    STRAPS_LIFT = mark(
        "Locked straps lift the windward foot of their bay: counted at every point of the strapped walls, since the file does not say which bay it is."
    )
    BEARING_WITHOUT_FRONT = mark(
        "Wind bearing given, but not which way the front faces (true): wind from any side counts."
    )
    SEE_LASHED = mark("every weight bound to its leg, on its plate or under a stop, {some} on the ground")
    SEE_TIED = mark("every weight on the ground, tied to its leg, no slack")
    SEE_RUBBER = mark("rubber under the feet")
    SEE_PLASTIC = mark("feet of plastic underneath")
    SEE_METAL = mark("feet of bare metal underneath")
    SEE_NO_CLOTH = mark(
        'the feet stand on the ground itself, on no ground cloth (anchorage.contact = "plate")'
    )
    SEE_PLATES = mark("the frame stands on plates")
    SOME_TOUCH = mark("some")
    NONE_TOUCH = mark("none")
    SEE_SNOW = mark("snow on the ground, and no ice")
    SEE_DRY = mark("ground dry and stays dry")
    SWEPT = mark("swept clear and dry")
    STAYS_DRY = mark("dry, and stays dry")
    DO_CLEAR = mark("to do: the same ground {better}")
    SEE_COLD = mark("at or below {dry} by a thermometer, and no thaw: the snow on the ground stays dry")
    SEE_TOWN = mark("town or woods on every side")
    SEE_FORECAST_HERE = mark(
        'the forecast is for this very place, its roughness in it (wind.terrain = "site")'
    )
    SEE_GUST = mark("the wind number is a gust, no mean")
    SEE_MASS = mark("frame and cover weigh {said} (weigh them: any other mass by its share)")
    SEE_CLEAR_BENEATH = mark("less than half blocked under the canopy")
    SEE_SHUT = mark("every wall is shut in the wind")
    DO_SHUT = mark("to do: every opening shut before the wind comes, and kept shut")
    DO_PULL = mark("pull three stakes first, at three places, along their line: if each holds {force}")
    DO_LINES = mark("to do: lines at {angle}° above the ground")
    DO_LONGER_STAKES = mark("to do: stakes driven half as deep again")
    DO_LEAVE = mark("to do: EMPTY ONLY, everyone out from {gust}")
    SEE_ALL = mark("least if all of it is true")
    NOT_JUDGED = mark("Cannot be judged: {e}")
    WEAKEST = mark("Weakest: {worst}.")
    AS_PLACED = mark("Before the walls, with what the file says is placed by then.")
    COVER_UNSAID = mark(
        "Not said whether roof and walls are on the frame when it is raised: the worse of both."
    )
    OWN_WEIGHT_UNSAID = mark("The shelter's mass is not given: its own weight holds nothing.")
    ASK_POINTS = mark(
        "{key} is {n}, and so many would stand {apart} apart: did a digit slip? Count the legs along that wall."
    )
    ASK_RATING_DIGIT = mark(
        "{key} is {typed}, more than any soft shelter is made for: did a digit slip? Read it in the manual once more."
    )
