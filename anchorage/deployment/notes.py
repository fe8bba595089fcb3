"""What this room tells people, a closed list: each by its code, with its English."""

from anchorage.core.say import mark
from anchorage.core.told import Telling


class Note(Telling):
    """What is told of the policy of a file."""

    PLACE_IS_POLICY = mark("[outlook] secure and people_out count everywhere; their place is [policy] now.")
    LEVEL_INSTEAD = mark("{levels} at {shares} instead of {rows}")
    LOOSER = mark("Looser than the published practice, on the word of {signed}: {what} of the limit.")
    NO_ROOM = mark(
        "{level} at {said} of the limit leaves no room for the next gust and for getting out: {most} counts, whoever signs."
    )
    LOOSER_SIGNED = mark("levels looser than published practice, signed by {signed_by}")
    OWN_LEVELS = mark("your own levels, from the file")
    SIGNED_BY = mark(", signed by {signed}")
    NO_LIMIT = mark("no limit found")
    MARGINS_OF_YOUR_OWN = mark("Margins of your own count ({which}), signed by {signed_by}")
    ASK_MARGINS = mark(
        "Margins of your own ask less than the published set ({which}): give [policy] signed_by, the name of who answers for them, or leave [margins] out."
    )
