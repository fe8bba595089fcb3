"""What the interface says where a command would say what to type: the key that does it here. Each is a message of its own."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from anchorage.core.say import mark

INSTEAD: Mapping[str, str] = MappingProxyType({
    "{words} (anchorage now {path}).": mark("{words}. More: Now."),
    "What stands at the points was not logged: taken as planned. Log it: anchorage log FILE placed N --each": mark("What stands at the points was not logged: taken as planned. Log it: R, Placed."),
    "What was counted in entries {ids} was something else by the file of then, or lighter: a count is not made stronger by an edit. Count again and log it: anchorage log FILE placed N --each": mark("What was counted in entries {ids} was something else by the file of then, or lighter: a count is not made stronger by an edit. Count again and log it: R, Placed."),
    "The file was changed since the counts of entries {ids}, and its text of then is not kept: of what they were counted is not known. Count again and log it: anchorage log FILE placed N --each": mark("The file was changed since the counts of entries {ids}, and its text of then is not kept: of what they were counted is not known. Count again and log it: R, Placed."),
    "name who watches at night: log FILE hand-over --to NAME --watch NAME": mark("name who watches at night: R, Hand-over, Night watch"),
    "No forecast given: no deadline is known. Add --forecast.": mark("No forecast given: no deadline is known. Type it under Forecast, or L loads a file."),
    "NOT SAID whether it passed or failed, and until one passed nothing is a go. Log it: anchorage log FILE inspection passed, or failed.": mark("NOT SAID whether it passed or failed, and until one passed nothing is a go. Log it: R, Inspection, passed or failed."),
    "Entry {id} says passed, and nothing says what was mended: log FILE inspection passed --note WHAT.": mark("Entry {id} says passed, and nothing says what was mended: R, Inspection, with a note of what was mended."),
    "Mend it, inspect again and log it: log FILE inspection passed": mark("Mend it, inspect again and log it: R, Inspection"),
    "Log it again, point by point with --where, or with --each.": mark("Log it again (R, Placed): each point by its name, or all by each."),
    "{needed} are logged and {brought} were brought: count them and log it again; --more-came if they came later.": mark("{needed} are logged and {brought} were brought: count them and log it again (R, Placed); More came, if they came later."),
    "{n} at each of {points} points, which is {n_2} in all (--each), or {n} in all, which is {n_3} at each (--in-all)? Say which; or --where POINT": mark("{n} at each of {points} points, which is {n_2} in all (each), or {n} in all, which is {n_3} at each (in-all)? Say which under Of all points, or name one At point"),
    "NOT KEPT: that makes {needed}, and [stock] says {brought} were brought. If they came later: the same with --more-came. If {said} was meant in all: --in-all": mark("NOT KEPT: that makes {needed}, and {brought} were brought by the form (Stock). If they came later, say yes at More came. If {said} was meant in all, say in-all"),
    "no mean wind that was ever measured: NOT KEPT. If it was the peak, say --averaging peak; if the unit slipped, log it again. Until then go by what you see: everybody out of it": mark("no mean wind that was ever measured: NOT KEPT. If it was the peak, say peak at Averaged; if the unit slipped, type it again. Until then go by what you see: everybody out of it"),
    "NOT KEPT: it would count nothing. The file has no [[test]] of kind {kind}, so what was tested, on what and with what load is not known.{place} Put the test into the file with all of that; or keep it as words: log FILE note": mark("NOT KEPT: it would count nothing. The form has no test of kind {kind}, so what was tested, on what and with what load is not known.{place} Fill it in under Tests with all of that and save; or keep it as words: Note"),
    " Where it was made is not said either (--where POINT or --note PLACE).": mark(" Where it was made is not said either (At point, or Note)."),
    "--at {at}: that is later than now; log what has happened": mark("When, {at}: that is later than now; write down what has happened"),
    "--relief {relief}: that is before the hand-over; give when the relief comes": mark("Relief at, {relief}: that is before the hand-over; give when the relief comes"),
    "--relief, --watch": mark("Relief, night watch"),
    "--where and --{how}": mark("At point and Of all points"),
    "the number of the entry that was wrong, as log FILE prints it": mark("the number of the entry that was wrong, as it stands here"),
    "{path}: nothing has been logged yet; anchorage log FILE setup --who NAME begins the record": mark("{path}: nothing has been logged yet; R begins the record"),
    "The file was changed since entry {id} of its record, and its text of then was not kept: is it the same shelter? Then write it down: log FILE note 'the same shelter'.": mark("The file was changed since entry {id} of its record, and its text of then was not kept: is it the same shelter? Then write it down: R, Note, Same shelter: yes."),
    "The record beside this file is that of another shelter: {k} was {said} when entry {id} was written and is {said_2} now. Put that record aside; or, if it is the same shelter and the file was mended: log FILE note 'the same shelter' --same-shelter. check --as-planned leaves the record out.": mark("The record beside this file is that of another shelter: {k} was {said} when entry {id} was written and is {said_2} now. Save this under another name; or, if it is the same shelter and the file was mended: R, Note, Same shelter: yes"),
    "snow on the roof {value}, less than before: the more of it counts until somebody looked and says so: both sides clear, frame and straps straight (log FILE inspection passed --after snow)": mark("snow on the roof {value}, less than before: the more of it counts until somebody looked and says so: both sides clear, frame and straps straight (R, Inspection, after snow)"),
    "The forecast of the file is not judged here: `anchorage outlook FILE` does.": mark("The forecast of the file is not judged in this: Hours has it."),
    'No time zone is given: all times are UTC. Give --zone or [outlook] zone, such as "America/Chicago".': mark("No time zone is given: all times are UTC. Give it under Times, such as America/Chicago."),
    "no forecast: give --forecast FILE, --say LINE, --at LAT,LON or a [forecast] table in the file": mark("no forecast: type it under Forecast, or L loads a file"),
    "no zone is given and none is guessed: add  --zone America/Chicago  or a line  zone America/Chicago": mark("no zone is given and none is guessed: give it under Times, such as America/Chicago"),
    "no zone is given and none is guessed: add  --zone America/Chicago  or a line  zone America/Chicago, or say 18:00Z": mark("no zone is given and none is guessed: give it under Times, such as America/Chicago, or say 18:00Z"),
    "no zone is given and none is guessed: add  --zone America/Chicago, or the line with the time and zone that it was made at": mark("no zone is given and none is guessed: give it under Times, such as America/Chicago, or load the text with the line of the time and zone that it was made at"),
    "--from {text}: a host and a port from 1 to 65535 are needed; {how}": mark("{text}: a host and a port from 1 to 65535 are needed; {how}"),
    "--from {text}: {how}": mark("{text}: {how}"),
    "The height of the meter was not said: taken as {height_text}. Say it once: --height '10 ft'": mark("The height of the meter was not said: taken as {height_text}. Say it once: R, Meter on its pole"),
    "give the path of a deployment file; anchorage new FILE writes one, anchorage demo NAME judges a demo": mark("give the path of a deployment file, or pick a demo"),
    "time your own crew. Counts and gusts are those that check gives for the file with the changes of --json.": mark("time your own crew. Counts and gusts are those that the changed form gives."),
    "{path}: it is there already and was left as it is; another name, or --force": mark("{path}: it is there already and was left as it is; give another name"),
    'In the file, a block for each place; readings may be logged instead: log FILE test "62 lbf" --kind drag --where L2': mark("Under Tests, one for each place; readings may be written down instead: R, Test at the site"),
    'the feet stand on the ground itself, on no ground cloth (anchorage.contact = "plate")': mark("the feet stand on the ground itself, on no ground cloth (Stands on: plate)"),
    "{most} until checked. Look first: {first}: {total}. Boxes to sign: --full.": mark("{most} until checked. Look first: {first}: {total}. Boxes to sign: on the sheet."),
    "It was not said whether that is the peak or a mean: it counts as a mean over {averaging}, which stands for a higher gust. Hold the peak and add: --averaging peak": mark("It was not said whether that is the peak or a mean: it counts as a mean over {averaging}, which stands for a higher gust. Hold the peak and say peak at Averaged"),
    "NOT POSSIBLE so: {asked} are asked for at a point, and at most {most} go there; check with --full says what does it.": mark("NOT POSSIBLE so: {asked} are asked for at a point, and at most {most} go there; Compare, every way to hold it, says what does it."),
    "NOT KEPT: that makes {needed}, and [stock] says {brought} were brought. If they came later: the same with --more-came. Else count again": mark("NOT KEPT: that makes {needed}, and {brought} were brought by the form (Stock). If they came later, say yes at More came. Else count again"),
    "Entry {id} says '{words}' in words alone, and nobody hears that. {log} If it was none: log FILE correct {id}": mark("Entry {id} says '{words}' in words alone, and nobody hears that. {log} If it was none: R, Correction, entry {id}."),
    "NOT KEPT: '{words}' is a danger, and in words alone nobody hears it. {log} If it is no danger now: the same with --only-a-note": mark("NOT KEPT: '{words}' is a danger, and in words alone nobody hears it. {log} If it is no danger now: write it as a Note, Only a note: yes"),
    "If it thunders: log FILE thunder.": mark("If it thunders: R, Thunder heard."),
    "If it blew: log FILE wind '32 mph' --averaging peak, with what the meter read, and when (--at).": mark("If it blew: R, Wind reading, with what the meter read, and when."),
    "Measure it: log FILE snow '3 in'.": mark("Measure it: R, Snow on roof."),
    "Say how the ground is now: log FILE state wet, frozen, ice, snow, soiled or dry.": mark("Say how the ground is now: R, Ground."),
    "Count what stands there now: log FILE placed N --where POINT.": mark("Count what stands there now: R, Placed."),
    "Say how the doors and walls are: log FILE doors open, closed or in-use.": mark("Say how the doors and walls are: R, Doors."),
    "Look at it: log FILE inspection failed --note WHAT, or inspection passed once it holds as it did.": mark("Look at it: R, Inspection, failed with a note of what it is, or passed once it holds as it did."),
})  # fmt: skip
"""By the message of the command."""
