"""What is told is a value until it is shown: a code of a closed list and what it is told of; a result holds no sentence."""

import importlib
import pickle
import typing

import pytest
from pydantic import BaseModel

from anchorage.core.say import places, speaking
from anchorage.core.told import MaybeWorded, Put, Telling, Told, english, in_words, once, put, tell, together
from anchorage.core.units import show
from anchorage.core.words import all_of, several, so_many
from anchorage.demo import demo_text
from anchorage.deployment.reader import read_text
from anchorage.judging.plan import assess, make_plan
from anchorage.judging.result import Plan
from anchorage.loads.notes import Note as Load
from anchorage.outlook.result import Outlook
from anchorage.record.over import Recorded
from anchorage.record.stand import Due, Missing, Reading, Shift, Stand, Standing, Watched, stand

ROOMS = ("loads", "holding", "checks", "deployment", "judging", "outlook", "record")
LISTS = {room: importlib.import_module(f"anchorage.{room}.notes").Note for room in ROOMS}


@pytest.mark.parametrize("room", ROOMS)
def test_a_list_has_each_message_once_with_places_that_are_names(room):
    """Two members of one message would be one member, and a decision on the second would be on the first."""
    notes = LISTS[room]
    assert issubclass(notes, Telling)
    assert len(notes.__members__) == len(list(notes))
    assert all(p.isidentifier() for n in notes for p in places(n.value))


def test_a_place_that_is_not_filled_and_one_too_many_are_refused():
    with pytest.raises(KeyError):
        tell(Load.SNOW_KIND_UNSAID)
    with pytest.raises(KeyError):
        tell(Load.ELEVATION_UNSAID, height=3)


def test_figures_and_parts_are_written_where_it_is_shown():
    kind = tell(Load.SNOW_KIND_UNSAID, density=put(format, 640.0, "g"))
    assert str(kind) == f"{kind}" == "Kind of snow not given: taken as wet, 640 kg/m3."
    bags = put(all_of, (put(so_many, 1, "sandbags"), put(show, "speed", 10.5, "si")))
    assert (str(bags), english(bags)) == ("1 sandbag and 10.5 m/s",) * 2
    with speaking("es"):
        assert str(bags) == "1 saco de arena y 10,5 m/s"
        assert several("sandbags") == "sacos de arena"
        assert english(bags) == "1 sandbag and 10.5 m/s"
        assert str(kind) != english(kind)
    assert str(together(kind, "!", between="")) == f"{kind}!"
    assert pickle.loads(pickle.dumps((kind, bags))) == (kind, bags)  # noqa: S301 - made here


def test_what_reads_the_same_is_told_once():
    """Two stakes 5.01 and 5.04 diameters apart are one note."""
    near, same, far = (put(format, x, ".1f") for x in (5.01, 5.04, 6.0))
    assert near != same
    assert in_words(once([near, same, far])) == ["5.0", "6.0"]


def test_a_plan_goes_to_another_process_and_comes_back_from_its_json():
    plan = make_plan(read_text(demo_text("winter"), "winter"))
    assert pickle.loads(pickle.dumps(plan)) == plan  # noqa: S301 - made here
    back = Plan.model_validate_json(plan.to_json())
    assert back.to_json() == plan.to_json()
    assert all(isinstance(c, Told | Put) for c in (*plan.conditions, *back.conditions))


TEXT = {
    "Plan": "name subject subjects margins",
    "Reason": "code of",
    "DoesNotOut": "where",
    "WindOut": "method exposure as_typed",
    "DemandOut": "case",
    "CheckOut": "unit case where",
    "AnchorageOut": "kind unit line_weakest",
    "PointOut": "id group kind item",
    "LimitOut": "where case foot roof_snow_depth_m",
    "TornOut": "doors",
    "PolicyOut": "signed_by",
    "SnowOut": "basis uneven depth_if_m",
    "AlarmOut": "rule",
    "RackingOut": "resisted_by",
    "StockOut": "item spread",
    "AlternativeOut": "use subject",
    "GroupOut": "at item",
    "FindOut": "code",
    "LostOut": "point neighbour",
    "HalfBuiltOut": "governed_by",
    "PlaceFirstOut": "points",
    "WallOut": "wall",
    "ProvenanceOut": "weakest weak",
    "MovesOut": "row how value worse",
    "CautionOut": "key",
    "EvidenceOut": "kind contact state why",
    "RecordOut": "last",
    "ChangeOut": "code value where",
    "EditOut": "key was now",
    "Outlook": "name zone now subject start end all_clear_not_before provenance",
    "ReasonOut": "code",
    "HourOut": "start end gust_text state subjects governed_by",
    "DeadlinesOut": "secure_by people_out_by start_strike_by",
    "DeadlineNoteOut": "reached done_by missing lull_by lull_before",
    "WindowsOut": "missing",
    "WindowOut": "start end",
    "SourceOut": "format name issued",
    "RemarkOut": "text at why",
}
"""Fields of a result that are text, all of them: codes, names, keys, times, what somebody typed, and pieces of a forecast as they were."""


def models(kind):
    if isinstance(kind, type) and issubclass(kind, BaseModel):
        yield kind
    for part in typing.get_args(kind):
        yield from models(part)


def text_in(kind):
    return kind is str or any(
        text_in(p) for p in typing.get_args(kind) if typing.get_origin(kind) is not typing.Literal
    )


def test_no_field_of_a_result_is_a_sentence():
    """A new field that is text stands here as what it is; a sentence is a record: ``Worded``."""
    found, todo = {}, [Plan, Outlook]
    assert typing.get_args(MaybeWorded)
    while todo:
        model = todo.pop()
        if model.__name__ in found:
            continue
        fields = model.model_fields
        plain = [
            n
            for n, f in fields.items()
            if text_in(f.annotation) and not any(type(m).__name__ == "PlainSerializer" for m in f.metadata)
        ]
        found[model.__name__] = " ".join(plain)
        todo += [m for f in fields.values() for m in models(f.annotation)]
    assert {k: v for k, v in found.items() if v} == TEXT


STAND_TEXT = {"Shift": ["to", "watch"]}
"""Names that somebody typed."""


@pytest.mark.parametrize("kind", [Stand, Due, Shift, Standing, Missing, Reading, Watched])
def test_no_field_of_where_it_stands_is_a_sentence(kind):
    """What ``now`` says is put into words on its page: the same Stand reads in any language."""
    fields = typing.get_type_hints(kind)
    assert [n for n, t in fields.items() if text_in(t)] == STAND_TEXT.get(kind.__name__, [])


def test_where_it_stands_is_told_in_the_language_of_who_reads():
    d = read_text(demo_text("asphalt"))
    s = stand(assess(d), Recorded((), (), {}, ""), 0)
    here = (s.headline, in_words(s.why), [str(x.what) for x in s.due], in_words(s.assumed))
    with speaking("es"):
        there = (s.headline, in_words(s.why), [str(x.what) for x in s.due], in_words(s.assumed))
    assert all(a and a != b for a, b in zip(here, there, strict=True))
