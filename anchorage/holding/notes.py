"""What this room tells people, a closed list: each by its code, with its English."""

from anchorage.core.say import mark
from anchorage.core.told import Telling


class Note(Telling):
    """What is told of holding."""

    MAY_FREEZE = mark(' (temperature not given: where it can freeze, say state = "ice")')
    STATE_UNSAID = mark("State of the surface not given: taken as {state}{unknown}.")
    SNOW_ON_SURFACE = mark("Said to be {given}, and there is snow: the surface counts as {state} at best.")
    DECON_WETS = mark("Decontamination: run-off water, so the surface counts as wet.")
    SNOW_MAY_BE_SLUSH = mark(
        "Snow on the ground is snow at or below {dry} and with no rain on it; nobody says that it is so cold, so it counts as slush and ice."
    )
    FROST_IN_FILE = mark("temperature not given, with snow or frost in the file")
    AT_OR_BELOW = mark("at or below {freezes_at}")
    WATER_FREEZES = mark(
        "Said to be {given}, {why}: water that lies there freezes, so the surface counts as ice."
    )
    DECON_FREEZES = mark(
        "Decontamination at or below {freezes_at}: run-off water freezes, so the surface counts as ice."
    )
    ABOVE_FREEZING = mark(
        "It is above {said_cold}: the temperature is not in the file, and water on the ground would be ice."
    )
    SNOW_STAYS_DRY = mark(
        "The snow on the ground stays dry, at or below {dry}: no thaw, no rain, nothing spilt and no ice under it, which would count as ice."
    )
    GROUND_STAYS_DRY = mark(
        "The ground is dry, and stays dry: no rain, thaw or spilt water, which would be ice."
    )
    NO_PUBLISHED_FRICTION = mark(
        "No published friction of {between}, {state}: the lowest of either in that state, at most {bound}, is taken."
    )
    ASK_BENEATH = mark(
        'Is anything beneath: building, deck, bridge, dock, cellar, ice? If not, give site.beneath = "nothing".'
    )
    ASK_BENEATH_NAME = mark(
        "The name says '{word}': is it on that? If so nothing here covers it: an engineer has to look. If not, change the name."
    )
    ASK_SURFACE = mark(
        "Nothing is known of how this ground ({s}) slides: take a listed surface if it is one (snow or ice that lies on grass is surface grass with state snow or ice; on gravel, gravel), pull what stands there ([[test]]), or let somebody accept the lowest friction by name in site.lowest_friction_by."
    )
    GROUND_NOT_LISTED = mark(
        'Ground "{surface}" is not listed: the lowest friction of any ground counts, and never more than of a pair that nobody measured.'
    )
    CONTACT_UNSAID = mark(
        "What the frame stands on is not given (anchorage.contact): the most slippery of ground cloth and feet counts."
    )
    FEET_UNSAID = mark(
        "What the frame's feet are made of is not given: the most slippery of metal, plastic and rubber counts."
    )
    FEET_MORE_SLIPPERY = mark(
        "The feet are more slippery than the ballast beside them: tie snug by hand, since a tie that is cinched stands the ballast on the feet."
    )
    MASS_NOT_WEIGHED = mark("Mass of one {name} from the table ({us}, {si}), not weighed: weigh three, dry.")
    ASK_STOP = mark(
        "Does the weight lie on the plate, or under a stop, so that a leg that comes up takes it along? Give anchorage.how_detail.stop."
    )
    ASK_EVERY_BAG = mark("Is every single weight bound to the leg? Give anchorage.how_detail.every_bag.")
    LASHING_DOES_NOT_COUNT = mark(
        "The lashing to the leg does not count: the weight is taken as lying on the foot, free to slide there."
    )
    LASHED_TOUCHES_GROUND = mark(
        "Whether the lashed weight touches the ground is not given: it does, and the more slippery of foot and weight counts there."
    )
    ASK_MATERIAL = mark(
        "What is one {unit} made of where it rubs? Give anchorage.unit_material: {materials}. Until then the most slippery of them counts."
    )
    BEARING_NOT_CHECKED = mark(
        "Whether the ground bears the ballast is not checked: give anchorage.bearing_area."
    )
    WATER_DRAINS = mark(
        "Water drains and freezes: check the level at every inspection; a half-full barrel holds half."
    )
    ASK_HOW = mark(
        'How is the ballast fixed to the frame? Give anchorage.how: "lashed-to-leg", "hung-clear", "standing-tied" or "on-foot".'
    )
    HOW_UNSAID = mark(
        "How the ballast is fixed is not given: the most slippery of the ways counts, and nothing on the flaps."
    )
    STANDS_TIED = mark(
        "Ballast stands on the ground and is tied to the frame: no slack in the tie, or the frame lifts before the ballast holds."
    )
    STAKE_COUNTS_NOTHING = mark(
        "A stake is described in the file but the anchorage is ballast: stakes count nothing."
    )
    LOAD_OF_LINES = mark("of the lines (their label or packing), as anchorage.line_rated")
    LOAD_OF_LOOPS = mark(
        "of the loops on the shelter that they run from (the maker), as anchorage.attachment_rated"
    )
    ASK_LINE_RATING = mark("What breaks before the anchors do is not known: give the rated load {missing}.")
    FEET_HOLD_NO_TWIST = mark(
        "On ice or snow the feet hold no twist: run two lines from each corner, one each way."
    )
    BALLAST_COUNTS_NOTHING = mark(
        "Ballast is described in the file but the anchorage is stakes: ballast counts nothing."
    )
    LEAN_EARNS_NOTHING = mark(
        "Sources disagree on whether a leaned stake holds more or less: the lean earns nothing, and where it takes away it counts."
    )
    FOOT_STAKE_UPRIGHT = mark("A stake through the foot is counted as upright: its lean earns nothing.")
    LINE_ANGLE_UNSAID = mark(
        "No line angle given: the stake goes through the foot of the frame, without a line."
    )
    LINE_HEIGHT_UNSAID = mark(
        "Height of the line on the stake not given: taken as level with the ground, where it holds most."
    )
    STAKES_WITHIN = mark(
        "Stakes on lines are taken as upright to within {lean}°, and their lines as told to within {off}°: the worst of these counts."
    )
    BEYOND_BELIEF = mark(
        "{key} reads {value}, more than can be ({most} at the most): did a unit or a digit slip? It counts nothing until it is mended: write what was read, pull again, or leave it out."
    )
    ASK_WHICH_SOIL = mark(
        "The ground is {surface} and the stakes are in {soil}: both cannot be. Which is it? Until then the less of {soil} and any {surface} counts."
    )
    ASK_SOIL_THERE = mark("What is the soil in the {surface}? Say it at the points there ([[point]] soil).")
    ASK_SOIL = mark(
        "The pull tests alone do not say what these stakes hold: what is the soil? Give anchorage.stake.soil."
    )
    SOIL_FROM_TABLE = mark(
        "Soil strength is from a table, the weakest of its class: unknown until three stakes are pulled."
    )
    STAKES_IN_SAND = mark(
        "Straight stakes in sand or gravel hold almost no straight-up pull: expect many, or use ballast or a deadman."
    )
    FEW_PLACES = mark("Stakes were pulled at fewer than three places: the lesser of pulls and theory counts.")
    OTHER_GROUND = mark("Pull tests were made in other ground than stakes stand in: theory counts there.")
    PULLED_DRY = mark("Pull tests were made dry: halved, since rain or thaw may come.")
    PULLED_TO_HELD = mark(
        "Pull tests were stopped before the stakes moved: they count at the pull that was reached."
    )
    PULLED_ALIKE = mark(
        "Pull tests are taken as of stakes like those in use, where nothing else is said of them (anchorage.stake.test_driven, test_diameter, test_height, test_soil)."
    )
    THEORY_CUT = mark("The least pull was {share} % of theory: theory is cut to that in this ground.")
    FEW_PULLS = mark(
        "{pull_tests} pull test(s) given: fewer than {least} do not go before theory; the lesser of the two counts."
    )
    PULLED_AT_ANGLE = mark(
        "Stakes were pulled at {pull_angle}° and the line runs at {angle}°: a test goes before theory within {tolerance}° only; the lesser of the two counts."
    )
    LESS_THAN_PULLED = mark(
        "Stakes are less than those that were pulled ({less}): theory counts for them, at most the pull."
    )
    TIPPING_NOT_CHECKED = mark(
        "Ballast on lines is checked for sliding and lifting, not for tipping: keep the eye low, or give [anchorage.block]."
    )
    FROST_EARNS_NOTHING = mark("Frost earns a stake nothing: it thaws. Counted as wet ground.")
    HALF_OF_SOIL = mark("Ground not dry: half of the soil's strength is counted.")
    SOIL_UNDER_WATER = mark("Ground not dry: the soil counts with its weight under water, about half.")
    STAKES_APART = mark(
        "Several stakes at a point stand at least {free} diameters ({apart}, {apart_2} mm) apart."
    )
    STAKES_WEAKEN = mark("Stakes at a point stand {apart} diameters apart and weaken each other.")
    PICKETS = mark(
        "Picket holdfasts: wood pickets 3 in x 5 ft, lashed head to foot, 3 to 6 ft apart, in undisturbed loam, the line near the ground. Ease lashings when wet."
    )
    DEADMAN_GROUND_UNSAID = mark(
        "Ground of the deadman not given: taken as the weakest, sand or fine soil, half of loam."
    )
    HALF_OF_DEADMAN = mark("Ground not dry: half of what a deadman holds in dry ground is counted.")
    DEADMAN_FINE_WET = mark(
        "Ground of the deadman fine-wet, as older files have it: fine soil, and wet: a quarter of loam (was half)."
    )
    TRENCH_UNSAID = mark(
        "Width of the trench of the line not given (anchorage.deadman.trench): taken as {trench}."
    )
    TRENCH_TAKES = mark("Deadman: the trench of the line, {trench} wide, takes {lost} % of its length away.")
    TRENCH_CUT = mark(
        "Deadman: the trench is cut across the pull with its face undercut towards the line, and the line comes off below the log."
    )
    ASK_WEIGHED = mark(
        "{key} is {mass}, and {label} has at most about {most}. If it was weighed, give deployment.weighed = true."
    )
    ASK_WEIGHED_MORE = mark(
        "{key} is {mass}, weighed, and more than {most} is not believed of anything of its kind: did a digit or a unit slip?"
    )
    ASK_STACK = mark(
        "anchorage.stack is {stack}, and no more than {most} of these are believed to fit on one point: did a digit slip? Until it is mended {most} count."
    )
    ASK_TYPED = mark(
        "{key} is {typed}, and nothing of its kind has more than about {most}: did a digit or a unit slip? Read it once more where it is written."
    )
    ASK_WIND = mark(
        "wind.speed is {speed}, and no stay is planned for less than {least}: look at the figure again, and give the strongest gust of the stay."
    )
    ASK_UNITS = mark(
        "{key} is {typed}, and the shelter is typed in {lengths}. If {meant} was meant, this says too much: type it in {unit}, or give deployment.mixed_units = true."
    )
