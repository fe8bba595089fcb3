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
    ENTRY_UNREAD = mark('Entry {id} of the record is a "{event}", which this version does not know.')
    RECORD_CHANGED = mark("THE RECORD WAS CHANGED: {faults}.")
    TAKING_DOWN_BEGUN = mark("Taking down was begun at {at} (entry {id}): nobody inside")
    METER_CROSSED = mark("the meter crossed it at {at}")
    READ_AT = mark("{typed} was read at {at}")
    HELD = mark("{read}{read_2} (entry {id}): {level} until an all-clear that counts")
    CLEAR_TOO_EARLY = mark(
        "All-clear of entry {id} does not count: {at} min after a reading at that level; {all_clear_wait} min are needed."
    )
    CLEAR_NOT_INSPECTED = mark(
        "All-clear of entry {id} does not count: no inspection that passed was logged after the wind."
    )
    CLEAR_NO_LOWER = mark(
        "All-clear of entry {id} does not count: no lower reading was logged after the wind."
    )
    ASK_STRENGTH = mark(
        "Wind was logged, and strength-level margins judge no reading: at what level it stands is not known."
    )
    HELD_SEE_NOW = mark("{words} (anchorage now {path}).")
    THUNDERED = mark("Thunder (entry {id}): everybody out for {thunder_wait} min after the last.")
    THUNDERED_DOWN = mark(
        "Thunder (entry {id}), and the shelter is down: nobody stays in the open; into a solid building or a closed car for {thunder_wait} min after the last."
    )
    HELD_CORRECTED = mark(
        "{read}{read_2} (entry {id}, WRONG: corrected since; its level stays all the same): {level} until an all-clear that counts"
    )
