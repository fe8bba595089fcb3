"""What can be looked up by ``anchorage help TOPIC`` beside the commands: a page for each, of whole sentences."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from anchorage.core.plain import wrap
from anchorage.core.say import later

if TYPE_CHECKING:
    from anchorage.core.say import Later


@dataclass(frozen=True)
class Topic:
    """What it is about, then paragraphs; a tuple among them is what is typed, the same in every language."""

    about: Later
    parts: tuple[Later | tuple[str, ...], ...]

    def lines(self, name: str) -> list[str]:
        """The page."""
        out = wrap(f"{name.upper()}: {self.about}")
        for part in self.parts:
            out += ["", *((f"  {line}" for line in part) if isinstance(part, tuple) else wrap(str(part)))]
        return out


TOPICS: dict[str, Topic] = {
    "verdict": Topic(
        later("whom it is about, from which share of the limiting gust, and what the exit code says"),
        (
            later("A verdict is about one thing: to set up, to stay up with people in, or to stay up empty. What the others would be stands beside it."),
            later("The limiting gust is the least of three: what the anchorage holds, the maker's rating, and the rules of the place. Below 60 % of it all is normal; from 60 % make it secure; from 80 % people leave; from 100 % keep away. [policy] in the file moves these shares down; to move one up, somebody signs (signed_by) and is named on every page."),
            later("Anchors are counted so that people may stay in at the gust that you give. [anchorage] size_for asks for another use: working (people in and out, doors in use), people-in, empty, set-up. The counts of the others are printed too."),
            later("Without the maker's rating there is no GO, only what the anchorage holds. A key that is left out is taken on the safe side where there is one, listed under what is taken as true, or asked for; anchorage defaults lists them all."),
            later("Exit codes: 0 go, 1 no-go, 2 input that cannot be used, 3 unknown. Nothing unknown is ever a go. chance gives no verdict: 0, or 3 where a forecast leaves it open. fleet: 1 if any is no-go, else 2 if any cannot be read or judged, else 3 if any is unknown, else 0."),
        ),
    ),
    "weights": Topic(
        later("how they are fixed decides most how many are needed"),
        (
            later("Say both, in the file: how a weight hangs on the leg, and what the feet are made of underneath."),
            ("[anchorage]", 'how = "lashed-to-leg"', "how_detail = { stop = true, every_bag = true, on_ground = false }", 'foot = "rubber"        # or "plastic", "bare-metal"'),
            later("lashed-to-leg: each weight is tied to its leg, and lies on the plate or under a stop: a leg that comes up takes it along. hung-clear: it hangs and touches nothing. standing-tied: on the ground, tied to the leg. on-foot: it lies on the plate and can slide. on-flap: it holds nothing."),
            later("What is not said counts at its worst, and the page gives two numbers: the one that holds until somebody looked, and the one that would do, with a box for each thing to look at. Only the first is used. Look, write into the file what you saw, and judge again."),
        ),
    ),
    "said": Topic(
        later("a forecast as people say it, and what is read from files"),
        (
            ('anchorage outlook FILE --zone America/Chicago --say "until 18:00 gust 35 mph"', '  --say "tonight winds 15 to 25 mph with gusts up to 40 mph"', '  --say "severe thunderstorm warning until 6 pm Central"  --say "sleet 1 in"'),
            later("One --say for each line. Only a gust together with its end can lead to a go; a time that may mean two moments counts as the worse one."),
            later("--forecast F takes NWS JSON, TAF, METAR, NBM text, hourly JSON, CSV, the text of a public forecast page or bulletin, and public alerts as CAP XML or JSON; several at once, of which the worse counts in each hour. What is in it is told by looking, not by its name."),
            later("Each piece is accounted for. What was not understood is printed, and its hours are unknown: people are out then, unless the gap is two hours at most."),
        ),
    ),
    "sure": Topic(
        later("how likely it holds, and what is least certain about it"),
        (
            ("anchorage chance FILE --samples 50000 --seed 2", "anchorage chance FILE --forecast tonight.json --zone America/Chicago"),
            later("chance draws the installation many times: pressures, terrain, friction, masses, soil or pulled stakes, angles of lines; margins are 1, and every draw goes through the same checks. It says in words how likely the gust is more than what is held, then what that hangs on most, then figures with their standard errors."),
            later("A chance under 1 in 1,000 is found by importance sampling, with a first-order check beside it. It is about wind alone: neither snow nor the least load of a code is in it, and what check says stands on top. Some spreads have no published source, and then the result says so. It makes nothing a go; with thunder in the forecast it bounds nothing."),
        ),
    ),
    "store": Topic(
        later("one store for many sites, and what is moved where"),
        (
            ("anchorage demo county --copy FOLDER", "anchorage fleet FOLDER --stock FOLDER/stock.toml --forecast tonight.json"),
            later("The file of the store has [[item]], [[place]] with what is there and which to keep first, [[vehicle]] with payload and speed, [[crew]] with hours, and [[distance]] between two places. What [stock] of a deployment claims does not count then."),
            later("What each site needs comes from the judgement of outlook, hour by hour. Found is the way in which most shelters are held, then least is moved, then least is driven. Where they cannot all be held, it names why: so many bags, the hours of a crew, a road without a row. With more than eight sites not every order is looked at, and it says that nothing is proven."),
            later("Without --stock each file is judged by itself, as by check, or by outlook with a forecast: one for all, or a folder with NAME.json for NAME.toml. A file that cannot be read is a row that says why; one without its forecast is never a go."),
        ),
    ),
    "grids": Topic(
        later("one installation over a gridded forecast, cell by cell"),
        (
            ("anchorage region FILE --grid demo --map map.png", "anchorage region FILE --grid many.nc -o cells.zarr --scheduler tcp://10.0.0.5:8786"),
            later("A grid says what it holds by CF attributes: standard_name (wind_speed_of_gust has to be there; wind_from_direction, precipitation, snowfall and air_temperature are used), units, a real calendar, forecast_reference_time (or --issued). What it does not say is refused; what is missing in it is unknown."),
            later("The rule is that of outlook, in each cell. Of an ensemble the first member sets a deadline, and chance is a range of shares: members in the worst single hour, and members in any hour at all, those with unknown hours included. The map is letters and hatching, for a black printer."),
            later("A grid for which there is no room is refused before it is read. --scheduler sends the deployment to its workers without encryption and without a password: use it in a network that you trust, and in no other."),
        ),
    ),
    "years": Topic(
        later("how often it may stand, by years of weather"),
        (
            ("anchorage climate FILE --history obs.csv --hours 24 --kit other.toml", "anchorage climate FILE --history demo --hours 24"),
            later("It reads hourly and special reports of an airport as public archives give them (station, valid, drct, sknt, gust; METAR text too). A window of N hours is as its worst hour, by the limit for the wind's direction; if an hour of it is missing it is unknown, for stations fail in storms. An hour without a reported gust has its mean and 10 kt more, which need not be reported."),
            later("Gusts of a return period come from the largest of each year and from storms over a threshold, side by side with their errors, from ten years on. No factor for a short stay is used, and no limit is made of them. A NetCDF or Zarr history is counted in each cell (--map, -o)."),
        ),
    ),
    "offline": Topic(
        later("a laptop that never sees a network"),
        (
            later("On a machine that does, in the folder of the program, make a folder of wheels, or one file; carry it over; install or start it there:"),
            ("python3 -m pip wheel -q -w wheels .", "python3 -m pip install --no-index --find-links wheels shelter-anchorage", "shiv -q -c anchorage --no-index -f wheels -o anchorage.pyz shelter-anchorage", "python3 anchorage.pyz demo"),
            later("The wheels are for that system and that Python. Extras go into both: '.[region]' and 'shelter-anchorage[region]'. shiv comes by pip install shiv; its file unpacks itself once into ~/.shiv. anchorage --version --verbose says what runs where, what is missing, and which folders are written to."),
            later("It was tried on Linux with no route to anywhere. On Windows and macOS it was never run: locks, folders, terminal and zone go through one module each, tried by what can be simulated."),
        ),
    ),
}  # fmt: skip
TESTS = "tests"
"""How to measure at the site: written beside what is made of it."""
MEASURING = later("how to measure at the site, and how it is written down")
LANGUAGES = "languages"
"""Which there are, and who has read them: told by the catalogues themselves."""
SPOKEN = later("in which languages it speaks, and where their words are from")


def abouts() -> dict[str, str]:
    """Each topic by its name, with what it is about."""
    return {
        **{name: str(t.about) for name, t in TOPICS.items()},
        TESTS: str(MEASURING),
        LANGUAGES: str(SPOKEN),
    }
