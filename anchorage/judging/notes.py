"""What this room tells people, a closed list: each by its code, with its English."""

from anchorage.core.say import mark
from anchorage.core.told import Telling


class Note(Telling):
    """What is told of judging."""

    CANNOT_BE_HELD = mark("No number of {units} holds this: {governed_by}. {way_out}")
    DOES_NOT_DO = mark("This does not do it here ({where}): {why}")
    TOO_LITTLE = mark("it has too little resistance")
    HOLDS_TO = mark("it holds to {limit}")
    FOOT_HOLDS_NOTHING = mark(
        "{where} holds nothing: it lifts or slides from {limit}, the gust is {gust}. Hold it down, or ask the maker whether the frame can do without that foot ([shelter] spans_lost_foot)."
    )
    EXCEEDED = mark("{name} ({where}): {holds}, the gust is {gust}.")
    POND_GROWS = mark("{pond} Everybody out; let it out from beneath.")
    SNOW_LEVEL = mark(
        "Snow on the roof: {level}. {said} Clear it, both sides together, or keep everybody out."
    )
    STOCK_SHORT = mark("{short} short: {needed} needed, {brought} brought.")
    RATING_MISSING = mark(
        "The maker's wind rating with straps {straps} is not in the file: look in the manual or ask the maker, then give it under [shelter.rating]."
    )
    SNOW_RATING_MISSING = mark(
        "Snow or water lies on the roof and the maker's snow rating is not in the file: ask the maker."
    )
    POND_UNKNOWN = mark(
        "Water stands in a pocket of the roof and nobody says how deep: let it out, or give [snow] sag and sag_span."
    )
    SETTING_UP = mark("Setting up: {note}")
    ASK_COVER = mark(
        'Are roof and walls on the frame when it is raised, or do they go on after? Give [halfway] cover = "attached" or "after".'
    )
    SETUP_POLICY = mark("Local policy lets nobody set up above {limit}; the gust is {gust}.")
    RAISE_BELOW_MEAN = mark(
        "Raise it below {limit}, all that the bare shell holds: the mean wind itself is {gust} ({mean_words})."
    )
    NOT_AS_TOLD = mark("It cannot be raised as told: {why}.")
    MASS_UNSAID = mark(
        "the mass of the shelter is not given (shelter.mass), and nothing else holds the bare shell"
    )
    SHELL_STANDS_IN = mark("the bare shell stands in {gust} at the most, and no lull stays under that")
    HOLD_FIRST = mark("hold it by {first} first, or ")
    BEFORE_WALLS = mark(
        "Before its walls are on it holds to {limit}; the gust is {gust}: {first}raise it below {share}."
    )
    DOORS_OPEN = mark(
        "Finished, with its doors open, it holds to {limit}; the gust is {gust}: raise it below {share}."
    )
    TYPED_MEAN = mark("the number typed is a mean")
    MEAN_OF_GUST = mark("gusts of {blows} are at least {gust_factor} times it")
    DOWN_IN_REVERSE = mark("down in reverse.")
    THEN_CORNERS = mark(", then {n} at the windward corners first, {rest} within the next minutes")
    RAISE_IN_LULL = mark("Raise it in a lull under {bare_m_s}{then}; {down}")
    ROOF_GOES_ON = mark("the roof goes on")
    WALLS_GO_ON = mark("the walls go on")
    PLACED_BEFORE = mark("{total} before {words} ({spread})")
    PLACED_FIRST = mark("Placed first, the windward corners before the rest: {placed}; {down}")
    WALLS_OFF_FIRST = mark(
        "Walls first, from outside; nobody inside or downwind, and from {gust} on stop and stand clear."
    )
    DOWN_IN_LULL = mark(
        "Everything stays in place until a lull under {bare_m_s}; then {rest} off, the {last} at the windward corners last, and fold it at once."
    )
    STAY_UNTIL = mark("{total} stay until {words} ({spread})")
    WALLS_ARE_OFF = mark("the walls are off")
    ROOF_IS_OFF = mark("the roof is off")
    CORNERS_LAST = mark("{stay}; the windward corners last.")
    UNITS_AT = mark("{units} at {points}")
    INSTEAD_OF_STAKES = mark(
        "Straight stakes hold next to no straight-up pull in this ground: use ballast, longer stakes in firmer ground, or pull-test at least three."
    )
    TOO_SLIPPERY = mark(
        "The surface is too slippery: clear the ice, spread grit, or use stakes where the ground takes them."
    )
    HEAVIER_UNITS = mark("Use heavier units, shut the openings, or do not put it up in this wind.")
    IF_LINES_DO = mark(" if its lines do")
    UNRATED = mark("{lines} - {missing} not given, ask the maker")
    EMPTY_ONLY = mark("EMPTY ONLY, everyone out from {people_out}")
    OFF_IN_LULL = mark(
        "what holds it comes off only in a lull under {lull}; KEEP AWAY in gusts from {gust}: stop, stand clear"
    )
    GO_ON_UNDER = mark("go on only in gusts under {gust}; KEEP AWAY from there: stop, stand clear")
    HEAD_COMING_DOWN = mark("NO-GO: nobody inside, it is COMING DOWN; {going_on}")
    HEAD_HELD = mark("NO-GO: {subject}. {held}")
    HEAD_NO_GO = mark("NO-GO: {subject}, gusts {gust}{this_does}")
    HEAD_DOES_NOT = mark(": this does not do it here")
    HEAD_ANCHORAGE = mark("ANCHORAGE HOLDS to {holds}{unrated}")
    HEAD_UNKNOWN = mark("CANNOT SAY: {first}{if_so}")
    HEAD_GO_FOR = mark(
        "GO FOR {lasts} AT MOST, while it snows, then NO-GO until the roof is clear: {subject}, gusts to {gust} (holds to {holds})"
    )
    HEAD_GO = mark("GO: {subject}, gusts to {gust} (holds to {holds})")
    HEAD_GO_SECURE = mark(
        "GO: {subject}, gusts to {gust} (holds to {holds}). That is SECURE: shut and lock up, let nobody new in"
    )
    HOLDS_IF_SO = mark(" It holds to {holds} {items}{frame}.")
    WHAT_FITS_HOLDS = mark("What each point can have holds to {limit}.")
    MORE_THAN_FITS = mark("{top} at a point, more than {m} {get}")
    TAKES_HEAVIER = mark(
        "It takes units of at least {each} each there; or weights on lines, stakes where the ground takes them, shut openings, less wind: judge that anew."
    )
    TAKES_LONGER = mark(
        "It takes longer or thicker stakes in tested ground; or ballast, a deadman, shut openings, less wind: judge that anew."
    )
    EVERY_WEIGHT_BOUND = mark(
        "Every single weight is bound to its leg so that it cannot slide on the plate, and a leg that is lifted by hand takes its weights along."
    )
    LEGS_BEAR = mark(
        "Leg and foot of the frame bear {weight} hung on one of them: its maker says that they bear that."
    )
    FORECAST_NOT_JUDGED = mark("The forecast of the file is not judged here: `anchorage outlook FILE` does.")
    NO_DOOR = mark(
        "No door is in the file: is there none, and does nothing open while it stands? A door that opens goes into the file first."
    )
    UTILITIES_MARKED = mark("Utilities are located and marked before any stake is driven.")
    LINES_TIGHT = mark(
        "Every line is tight, one leg as much as the other, and looked at whenever the weather turns: a slack line holds nothing."
    )
    ALL_IN_PLACE = mark("What is listed for each point is in place before the wind is.")
    STRAPS_LOCKED = mark("The sidewall straps are locked.")
    KEPT_SHUT = mark("Kept shut: {shut}.")
    NOT_JUDGED = mark("Cannot be judged: {e}")
    STOCK_MISSING = mark("[stock] says nothing of {w}: how many were brought?")
    PLACED_OVER_BROUGHT = mark(
        "{needed} are typed as placed and {brought} as brought: count both and mend the one that is wrong."
    )
    MORE_THAN_BROUGHT = mark(
        "{needed} are logged and {brought} were brought: count them and log it again; --more-came if they came later."
    )
    INSTEAD_OF = mark("instead of {now}")
    NOTHING_HOLDS = mark("where nothing holds it as it is")
    ADVICE = mark("{text}: {total} in all {was}.")
    HEAD_NOT_NOW = mark("NO-GO: set up, gusts {gust}. Once up {headline}")
    HEAD_ASK_FIRST = mark("CANNOT SAY: set up. Once up {headline}")
    HEAD_GOING_UP = mark("NO-GO: nobody inside until it stands, it is GOING UP")
    GOING_UP = mark(
        "It is going up by its record: nobody inside until it stands. Once it does, write down: set-up done."
    )
    COMING_DOWN = mark("It is being taken down: nobody inside.")
    AS_NEW_SNOW = mark(", if it is new snow, since no depth was measured")
    BOTH_TAKE_SNOW = mark(
        " Both together take snow of {dense} for granted: heavier snow reaches the load first.{caveat}"
    )
    FROM_MARK = mark("{level}: from {mark}, {share} of what the maker gives.")
    MAKER_GIVES = mark("what the maker gives")
    LOWEST_GIVES = mark("the lowest of maker and rules")
    NOW = mark("now")
    IN_HOURS = mark("in {hours}")
    FILLED = mark("{label}: {when} ({share} of {giver})")
    RAIN_STAYS = mark("The roof is at {slope}°, under {flat}° at its flattest: rain on snow stays on it.")
    NO_POCKET = mark("No pocket: the roof is at {slope}° and the sag needs {needed}° to drain.")
    WATER_STANDS = mark(
        "Water can stand on the roof: at {slope}° a sag like this needs more than {needed}° to drain. A pond there weighs {weight}."
    )
    GROWS = mark(" Cloth drawn tight by hand cannot stop it from growing.")
    POCKET = mark("A pocket that holds water is in the file: let it out, push it up from inside.")
    END_WORKING = mark("nobody new goes in after that")
    END_SET_UP = mark("it is not set up after that")
    END_EMPTY = mark("everyone keeps away after that")
    END_PEOPLE_IN = mark("people are out by then")
    SNOW_FALLS = mark("Snow falls: the roof is cleared, both sides together, within {long}, or {ending}.")
    PULLS = mark("it pulls {demand}")
    FOLDS = mark("the frame folds on straps this soft")
    STRAP_EXCEEDED = mark(
        "{name} ({where}): {pull}, rated {rated}. Take the snow off, set the frame upright, add straps."
    )
    RULE_ALLOWS = mark("the rule allows")
    MAKER_ALLOWS = mark("the maker gives")
    WATER_EXCEEDED = mark(
        "Water on the roof ({where}): with the snow {demand}, {giver} {capacity}. Keep everybody out and let it out from beneath."
    )
    CLEAR_IT = mark("Clear it or keep everybody out.")
    UNEVEN_IS_HEAVIER = mark("Uneven snow is the heavier case.")
    SWAY_MASS_UNSAID = mark(
        "Sway {direction}: the mass of the shelter is not in the file (shelter.mass); it leans on the straps."
    )
    SWAY_BY_FRAME = mark("Sway {direction}: the frame takes it, by the maker's word.")
    NO_SIDE_STRAPS = mark("straps in the long walls are not described ([shelter.strap] count)")
    NOTHING_RESISTS = mark(
        "nothing in the file resists it: straps of the side walls do not, only those of the end walls, or the frame alone"
    )
    SWAY_ASK = mark("Sway {direction}: {what}. Ask the maker.")
    SWAY_FOLDS = mark(
        "Sway {direction}: the straps stretch so much that the frame folds (α = {ratio}, at least 3 is needed). More straps or stiffer ones."
    )
    SWAY_NOT_COMPUTED = mark("Sway {direction}: cannot be computed without {gaps}. Ask the maker.")
    STRAP_PULLS = mark("a strap pulls {force} of {rated}")
    AND_HOLDS_TO = mark(", it holds to {holds}")
    SWAY_IF_STIFF = mark(
        "Sway {direction}: {pull} if the straps are stiff enough; without {gaps} that is no pass. Ask the maker."
    )
    SWAY = mark("Sway {direction}: {pull}{tail}.")
    WITH_STRAPS = mark("{v} with straps {how}")
    AND_MAKER_GIVES = mark(", the maker gives {says}")
    SNOW_LIES = mark("{roof_load_pa} of snow is on the roof{tail}")
    SNOW_IS_FALLING = mark("snow is falling")
    FRAME_LEANS = mark("the frame leans {lean}")
    GROUND_FALLS = mark("the ground falls {tan}")
    SHARE_OF = mark("{share} of ")
    OVER_UNLOCKED = mark(
        "{blows} is over {share}the {gust_unlocked} that the maker gives with straps unlocked"
    )
    NO_WIND_RATINGS = mark("The maker's wind ratings are not in the file")
    NO_LOCKED_GUST = mark("What gust the maker gives with straps locked is not in the file")
    NO_SNOW_RATINGS = mark("The maker's snow ratings are not in the file")
    NO_LOCKED_SNOW = mark("What snow the maker gives with straps locked is not in the file")
    OVER_LOCKED = mark("{gust} is over the {gust_locked} that the maker gives with straps locked")
    SNOW_OVER_LOCKED = mark(
        "{heaviest} of snow is over the {roof_snow_locked} that the maker gives with straps locked"
    )
    LOCK_NOW = mark("{missing}; lock them now, {why} (common practice).")
    LOCK_AHEAD = mark(
        "{missing}; by common practice they are locked ahead of a storm or of lying snow, and may hang loose on other days."
    )
    LOCKED_ONLY = mark("The maker gives {gust_locked} with straps locked and nothing for straps unlocked.")
    UNDER_UNLOCKED = mark(
        "{gust} is under {secure} of the {unlocked} that the maker gives with straps unlocked."
    )
    LOCKED_COUNTS = mark("They are locked, and every limit here counts on it. {under}")
    SWAY_UNKNOWN = mark("{t} This wind or snow is more than the maker gives with straps unlocked.")
    LOCK_STRAPS = mark("Lock the sidewall straps. {text}")
    MAKER_UNLOCKED = mark("what the maker gives with straps unlocked")
    STAY_UNDER = mark(
        "Wind and snow stay under {limits}: beyond it nobody knows whether the straps hold. {unknown_sway}"
    )
    SET_UP_IN_LULL = mark("set up, RAISED ONLY IN A LULL under {under}")
    PULLS_OVER_THEORY = mark(
        "The pull tests read {times} times what theory gives in this soil, and it rests on them: read scale and unit once more."
    )
