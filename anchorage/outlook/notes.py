"""What this room tells people, a closed list: each by its code, with its English."""

from anchorage.core.say import mark
from anchorage.core.told import Telling


class Note(Telling):
    """What is told of outlook."""

    FROM_HALF_BUILT = mark("From {start}: gust {policy}; half built it may stand to {most} only.")
    GUST = mark("gust {policy}")
    FROM = mark("From {start}: {text}.")
    STAY_OVER = mark("The stay that the file gives is over.")
    RATING_MISSING = mark("The maker's wind rating is not in the file: look in the manual or ask the maker.")
    UNTIL = mark("until {end}")
    HEAD_GO = mark("GO: {subject}, {until}")
    HEAD_NO_GO = mark("NO-GO: {subject}, {until}")
    HEAD_NO_GO_FROM = mark("NO-GO from {start}: {subject}, {until}")
    OUT_BEFORE = mark("people out before then")
    OUT_NOW = mark("people out now")
    OUT_BY = mark("people out by {at}")
    HEAD_UNKNOWN_AFTER = mark("CANNOT SAY after {reached}: {leave}, or get it read; {subject}, {until}")
    HEAD_ANCHORAGE = mark("ANCHORAGE HOLDS to {holds}{unrated}; gusts stay below, {until}")
    HEAD_UNKNOWN = mark("CANNOT SAY: {subject}, {until}")
    HEAD_DO_NOT_PUT_UP = mark("DO NOT PUT IT UP, there is no time to take it down again. Once up: {headline}")
    DOWN_IN_LULL_BEFORE = mark("TAKE IT DOWN IN A LULL under {lull}, BEFORE {at}")
    DOWN_BEFORE = mark("TAKE IT DOWN BEFORE {at}")
    START_IN_LULL_BY = mark("START TAKING DOWN IN A LULL under {lull}, BY {at}")
    START_BY = mark("START TAKING DOWN BY {at}")
    HEAD_ORDER = mark("{order}. Until then {headline}")
    CHANCE_THUNDER = mark("Thunder: no chance can be given. Leave.")
    CHANCE_OPEN = mark(", since {inside} of {inside_2} hours have no gust or no spread")
    STALE = mark("{name}: {old}; it gives no go.")
    OLD = mark("{name}: the forecast is {now} h old: look for a newer one.")
    NOT_UNDERSTOOD = mark(
        "{name}, {at}: {text} {why}: a danger that it names counts, and no hour of it is a go."
    )
    MORE_NOT_UNDERSTOOD = mark("{name}: {heap} more pieces were not understood: get it read by somebody.")

    WARNING_IS_SHORT = mark(
        "A storm warning gives 10 to 15 minutes or none, and taking down takes longer: decide on the forecast."
    )
    DEADLINE_MAY_BE_EARLIER = mark("Hours before a deadline are unknown: it may come earlier.")
    WIND_TURNS = mark("The wind turns by 45° or more from {start}: look at anchors, doors and zones again.")
    SNOW_EMPTIES = mark(
        "{depth} cm of snow on the roof by {end}: French rules empty a tent at that depth if it stays on the roof."
    )
    WITHOUT_G = mark("A coded wind without G may hide a gust of 10 kt more (ICAO Annex 3): that is added.")
    MEAN_TURNED_UP = mark(
        "A mean wind is turned up to a gust by the larger published factor; it never gives go."
    )
    FAR_AHEAD = mark("Hours more than 72 h ahead are an outlook only.")
    HEAD_NOT_NOW = mark("NO-GO: set up, only in gusts below {most}. Once up {headline}")
    HEAD_NOT_NOW_AT_ALL = mark("NO-GO: set up. Once up {headline}")
    HEAD_ASK_FIRST = mark("CANNOT SAY: set up. Once up {headline}")
    HEAD_COMING_DOWN = mark("NO-GO: nobody inside, it is COMING DOWN; {going_on}")
    HEAD_GOING_UP = mark("NO-GO: nobody inside until it stands, it is GOING UP")
    GOING_UP = mark(
        "It is going up by its record: nobody inside until it stands. Once it does, write down: set-up done."
    )
    HEAD_HELD = mark("NO-GO: {subject}. {held}")
    END_UNSAID = mark("No end of the stay is given: the next 12 h count. Give [times] start and end.")
    ZONE_UNSAID = mark(
        'No time zone is given: all times are UTC. Give --zone or [outlook] zone, such as "America/Chicago".'
    )
    MARGIN_UNSAID = mark("Spare time in each deadline: 15 min (common practice). Give [times] margin.")
    SECURE_UNSAID = mark(
        "Time to secure not given: only notice and spare time are in that deadline. Give [times] secure."
    )
    BY_DIRECTION = mark("Where the forecast has a direction, the lowest limit within 30° of it counts.")
    FALLS_BY_FILE = mark(
        "Snow falls by the file, and nobody says when it ends: each hour has at least as much of it."
    )
    WHY_ROOF_SNOW = mark(
        "clear the snow from the ground, both sides together; at KEEP AWAY nobody goes near, not to clear it either"
    )
    WHY_SNOW_DEPTH = mark("the rule that was chosen empties it at this depth of snow on the roof")
    WHY_WATER = mark("the cloth cannot stop it from growing: let it out from beneath, both sides together")
    WHY_FLOOD = mark(
        "{rain} mm of rain by then is a flood: whether the ground under feet, stakes and weights stays is not known"
    )
    WHY_WATER_UNSAID = mark(
        "{rain} mm of rain by then on a roof flatter than {flat}°, and nobody says whether water stands on it: look from both ends, and say so under snow.pockets"
    )
    RAIN_ON_ROOF = mark(
        "{rain} mm of rain by {end}: look at the roof again and again; where water stands push it off from beneath, both sides together. Soaked ground holds less: pull at the stakes, look under the weights."
    )
    WHY_THUNDER = mark("{thunder}: leave for a building or a closed vehicle")
    WHY_FREEZING_RAIN = mark("rain where it freezes: ice, and nobody says how much")
    WHY_OWED = mark("nothing is said of {owed} here, and should be")
    WHY_SWAY = mark(
        "more than the maker gives with straps unlocked, and data on the straps is missing: ask the maker"
    )
    WHY_SNOW_UNRATED = mark("snow on the roof, and no roof-snow rating in the file: ask the maker")
    AT_LEAST = mark("; at least {at}")
    GROUND_COUNTS_AS = mark("{why}; the ground counts as {state} then")
    ON_GROUND = mark("on ground that is {state}: {mine}")
    WHY_WAIT = mark("30 min under the level beneath and an inspection come first")
    WHY_AFTER_UNKNOWN = mark("the hour before is not known: {words}")
    BECAUSE_UNKNOWN = mark("nobody can say what comes")
    BECAUSE_HALF_BUILT = mark("the gust is over the limit for a half-built shelter")
    BECAUSE_RECORD = mark("a reading in the record")
    BECAUSE_NOT_REACHED = mark("not reached in this forecast")
    FAILS = mark("{name} ({where}) fails whatever the wind.")
    LISTEN_FOR_THUNDER = mark("Eyes and ears open for thunder: this forecast never speaks of it.")
    LOOK_FOR_SNOW = mark(
        "Look for snow, ice and rain: this forecast never speaks of amounts, and none is in the load."
    )
    GROUND_UNKNOWN = mark("What it holds on ground that is {state} is not known: {e}")
    LISTEN_FOR_MORE_THUNDER = mark(
        "Eyes and ears open for thunder: there may be more of it than this forecast speaks of."
    )
    LOOK_FOR_MORE_SNOW = mark("Look for snow, ice and rain: more may fall than this forecast speaks of.")
