"""What this room tells people, a closed list: each by its code, with its English."""

from anchorage.core.say import mark
from anchorage.core.told import Telling


class Note(Telling):
    """What is told of record."""

    ASK_FILE_CHANGED = mark(
        "The file was changed since entry {id} of its record, and its text of then was not kept: is it the same shelter? Then write it down: log FILE note 'the same shelter'."
    )
    LOG_AGAIN = mark("Log it again, point by point with --where, or with --each.")
    ASK_PLACED_HOW = mark(
        "Entry {id} says {n} placed and not whether at each point, {n_2} in all, or in all; it counts as at each. {again}"
    )
    ASK_PLACED_WHERE = mark(
        "Entry {id} says {n} in all and not where they stand: {share} count at each of {points} points."
    )
    ASK_COUNTED = mark(
        "What was counted in entries {ids} was something else by the file of then, or lighter: a count is not made stronger by an edit. Count again and log it: anchorage log FILE placed N --each"
    )
    ASK_COUNTED_UNKNOWN = mark(
        "The file was changed since the counts of entries {ids}, and its text of then is not kept: of what they were counted is not known. Count again and log it: anchorage log FILE placed N --each"
    )
    ASK_OLD_TESTS = mark(
        "Tests of more than three days ago ({old}): is the ground still as it was? Make them again, or take them out."
    )
    MEND = mark("Mend it, inspect again and log it: log FILE inspection passed")
    INSPECTION_FAILED = mark("The inspection of entry {id} FAILED{said}: nobody in, no setting up. {again}.")
    PASSED_BARE = mark(
        "Entry {id} says passed, and nothing says what was mended: log FILE inspection passed --note WHAT."
    )
    ASK_INSPECTION = mark(
        "The inspection of entry {id} does not say whether it passed or failed{said}. {again}, or failed."
    )
    NOTED = mark("entry {id}, {who}: {note}")
    HEAD_CLOCK_BEHIND = mark("THE RECORD IS AHEAD OF THIS CLOCK. {headline}")
    CLOCK_BEHIND = mark(
        "Entry {id} is of {at}, and this clock shows {now}: set it right. What was written for later is not in this."
    )
    NOTED_ONLY = mark("entry {id}, {who}: {note} (SAID TO BE NO DANGER NOW)")
    ASK_NOTED = mark(
        "Entry {id} says '{words}' in words alone, and nobody hears that. {log} If it was none: log FILE correct {id}"
    )
    ASK_NOTED_ONLY = mark(
        "Entry {id} says '{words}' and that it is no danger now: nobody looked since. {log}"
    )
    LOG_THUNDER = mark("If it thunders: log FILE thunder.")
    LOG_WIND = mark(
        "If it blew: log FILE wind '32 mph' --averaging peak, with what the meter read, and when (--at)."
    )
    LOG_SNOW = mark("Measure it: log FILE snow '3 in'.")
    LOG_GROUND = mark("Say how the ground is now: log FILE state wet, frozen, ice, snow, soiled or dry.")
    LOG_PLACED = mark("Count what stands there now: log FILE placed N --where POINT.")
    LOG_DOORS = mark("Say how the doors and walls are: log FILE doors open, closed or in-use.")
    LOG_DOWN = mark("If it comes down: log FILE coming-down.")
    LOG_DAMAGE = mark(
        "Look at it: log FILE inspection failed --note WHAT, or inspection passed once it holds as it did."
    )
    ASK_LEFT = mark(
        "A record of this shelter lies here under another name, and its own file {file} is gone: {record}. If it is of this one: log {here} --adopt {record}. If not: log {here} setup --new-record begins another, or move that record to another folder."
    )
    ASK_LINKED = mark(
        "This file is {file} under another name, and the record {record} is its own: give {file} in place of {here}."
    )
    COPY_OF = mark(
        "A record of a shelter of this name stands beside {file}, of which this is a copy: {record}. It is not looked at here."
    )
    COPY_OF_SEVERAL = mark(
        "Records of a shelter of this name stand beside {files}, of which this is a copy. They are not looked at here."
    )
    ENTRY_UNREAD = mark('Entry {id} of the record is a "{event}", which this version does not know.')
    RECORD_CHANGED = mark("THE RECORD WAS CHANGED: {faults}.")
    TAKING_DOWN_BEGUN = mark("Taking down was begun at {at} (entry {id}): nobody inside")
    METER_CROSSED = mark("the meter crossed it at {at}")
    READ_AT = mark("{typed} was read at {at}")
    HELD = mark("{read}{read_2} (entry {id}): {level} until an all-clear that counts")
    CLEAR_REFUSED = mark("All-clear of entry {id} does not count. One counts: {missing}.")
    CLEAR_COUNTED_NOT = mark("All-clear of entry {id} does not count.")
    CLEAR_ASKS = mark("An all-clear counts: {missing}.")
    CLEAR_READY = mark("An all-clear counts now: all that it asks for is there.")
    CLEAR_WAITS_WIND = mark("not before {until} ({wait} min after the wind of {since})")
    CLEAR_WAITS_THUNDER = mark("not before {until} ({wait} min after the thunder of {since})")
    CLEAR_WANTS_READING = mark("with a wind reading under {level} (gusts below {gust}), later than {since}")
    CLEAR_WANTS_INSPECTION = mark("with an inspection that passed, later than {since}")
    ASK_STRENGTH = mark(
        "Wind was logged, and strength-level margins judge no reading: at what level it stands is not known."
    )
    HELD_SEE_NOW = mark("{words} (anchorage now {path}).")
    THUNDERED = mark(
        "Thunder (entry {id}): everybody out until {until} at the least, {thunder_wait} min after the last."
    )
    THUNDERED_DOWN = mark(
        "Thunder (entry {id}), and the shelter is down: nobody stays in the open; into a solid building or a closed car until {until} at the least, {thunder_wait} min after the last."
    )
    HELD_CORRECTED = mark(
        "{read}{read_2} (entry {id}, WRONG: corrected since; its level stays all the same): {level} until an all-clear that counts"
    )
    NAME_THE_WATCH = mark("name who watches at night: log FILE hand-over --to NAME --watch NAME")
    RELIEF_OF = mark("relief of {to}")
    DUE_READING = mark("wind reading")
    DUE_SNOW = mark("depth of snow on the roof")
    DUE_PULLS = mark("pull tests: {pulls} logged, three are needed")
    PUT_PULLS_IN = mark(
        "put the pull tests into the file (anchorage.stake.pull_tests): the lowest is {typed}"
    )
    HAND_CHECK = mark("hand check of every stake and line")
    LOOK_WIND = mark("inspection after wind")
    LOOK_THAW = mark("inspection after thaw")
    LOOK_RAIN = mark("inspection after rain")
    LOOK_PLACED = mark("inspection: what stands at the points changed")
    LOOK_DOORS = mark("inspection: doors changed")
    LOOK_STRAPS = mark("inspection: straps changed")
    LOOK_SHIFT = mark("inspection of the shift")
    LAST_IS_OLD = mark("{what} (the last is {n} min old)")
    WRITE_DOWN_STRUCK = mark("Once it is down, write down: taken down (struck).")
    STILL_GOING_UP = mark(
        "It is going up: nobody inside until it stands; half built it holds to {gust}. Once it stands, write down: set-up done (setup)."
    )
    TAKEN_AS_PLANNED = mark(
        "What stands at the points was not logged: taken as planned. Log it: anchorage log FILE placed N --each"
    )
    ASK_HAND_CHECK = mark(
        "After the gust of entry {id} stakes and lines count again only with a hand check: log an inspection."
    )
    NO_READING = mark("No wind reading is logged.")
    READING_TOO_OLD = mark("The last wind reading is {now} min old: too old to go by.")
    CORRECTED_HOLDS = mark("Entry {id} was corrected; the level that it raised falls only by an all-clear.")
    READ_BESIDE_A_LOST_FILE = mark(
        "The file was changed after the readings of entries {which}, and its text of then is not kept: what level they reached is not known until an all-clear."
    )
    HEAD_DOWN = mark("TAKEN DOWN")
    HEAD_DOWN_THUNDER = mark("TAKEN DOWN. THUNDER: everybody into a solid building or a closed car")
    HEAD_COMING_DOWN_KEEP_AWAY = mark("COMING DOWN: KEEP AWAY, stop and stand clear until an all-clear")
    HEAD_COMING_DOWN = mark("COMING DOWN: NOBODY INSIDE; {going_on}")
    HEAD_GOING_UP = mark("GOING UP: NOBODY INSIDE until it stands; the wind: {level}")
    HEAD_GOING_UP_OVER = mark(
        "GOING UP: NOBODY INSIDE; {read} was read, and half built it takes gusts below {gust}: stop, stand clear, go on in a lull"
    )
    HEAD_NOT_COUNTED = mark(
        "{unknown}: {level} only if all that is planned is in place: not all of it is logged"
    )
    HEAD_ASKED = mark("{unknown}: {level} by the wind alone: there are open questions")
    HEAD_SECURE_WORKING = mark("{level}: no more work in it; who is inside may stay, nobody new")
    HEAD_NOT_SAFE = mark(": NOT SAFE AS IT STANDS")
    HEAD_OVERDUE = mark("{unknown} until this is done: {what}. Before that it was: {headline}")
    HEAD_RECORD_CHANGED = mark("THE RECORD WAS CHANGED. {headline}")
    FAILS_AS_IT_STANDS = mark("{name} ({where}) fails as it stands.")
    NOTHING_COUNTED_AT = mark("Nothing is counted at {missing}: nothing stands there until it is logged.")
    FORECAST_NOW = mark("The forecast of this hour: {why}.")
    FORECAST_GUST_NOW = mark("The forecast of this hour: gusts to {gust}, {what}.")
    TIME_HAS_PASSED = mark("The time to begin has passed: {because}.")
    NOT_DONE_IN_TIME = mark("Not done in time: {what}.")
    RECORD_WAS_CHANGED = mark("The record was changed: {faults}.")
    HEARD_IS_KEPT_NOWHERE = mark(
        "What was heard stands in no record: said no more, it counts no more. Log what happens: log FILE thunder, wind or snow."
    )
