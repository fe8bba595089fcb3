"""What a session knows, and what is said of it at the top, without a screen: never an old verdict."""

from dataclasses import replace

import pytest

from anchorage.demo import demo_text
from anchorage.deployment.draft import read_draft
from anchorage.deployment.policy import SUBJECTS
from tui import answer, engine, recording, store
from tui.banner import banner, status
from tui.fields import KEYS
from tui.keys import VIEWS
from tui.recording import Stands
from tui.session import VARIANTS, Session
from tui.views import every_view


@pytest.fixture
def session(tmp_path):
    """A demo, answered."""
    s = Session()
    s.begin(store.Document(), read_draft(demo_text("asphalt"), KEYS))
    s.answered(engine.evaluate(s.draft, s.number, tmp_path))
    return s


def test_there_is_a_verdict_only_of_what_is_typed_now(session):
    said = banner(session)
    assert (said.word, said.tone) == ("NO-GO", "-no-go")
    assert said.what.startswith("set up, gusts 20 mph. Once up GO: work")
    assert "To set up" not in " ".join(said.more)  # it is said once
    session.history.edit("wind.speed", "21 mph")
    assert not session.fresh
    assert (banner(session).word, session.answer_number) == ("WAIT", -1)


def test_a_late_answer_is_not_taken(session, tmp_path):
    late = engine.evaluate(session.draft.with_("wind.speed", "90 mph"), session.number, tmp_path)
    session.number += 1
    before = session.answer
    assert not session.answered(late)
    assert session.answer is before


def test_what_cannot_be_read_is_no_verdict_and_keeps_the_last_plan(session, tmp_path):
    good = session.good
    session.history.edit("wind.speed", "fast")
    session.answered(engine.evaluate(session.draft, session.number, tmp_path))
    said = banner(session)
    assert (said.word, said.tone) == ("NO VERDICT", "-stale")
    assert session.good is good
    assert "from before" in said.more[0]


def test_a_forecast_that_is_not_judged_yet_is_waited_for(session, tmp_path):
    session.forecasts = (tmp_path / "taf.txt",)
    assert session.judging
    assert banner(session).word == "WAIT"
    session.weather_found = engine.Weather(session.number, trouble="no")
    assert banner(session).word == "CANNOT SAY"


@pytest.mark.parametrize("level", ["people-out", "keep-away"])
def test_readings_that_send_people_out_stand_above_every_plan(session, level):
    session.stands = Stands((), session.number, level=level, headline="NO-GO: out")
    assert banner(session)[:2] == ("NO-GO", "out")


def test_what_the_record_says_stays_in_the_header_beside_a_typo_and_while_it_is_worked_out(session, tmp_path):
    session.history.edit("wind.speed", "fast")
    session.stands = Stands((), session.number, level="people-out", headline="PEOPLE OUT")
    assert banner(session)[:2] == ("NO-GO", "PEOPLE OUT")
    session.answered(engine.evaluate(session.draft, session.number, tmp_path))
    said = banner(session)
    assert (said.word, said.what, said.tone) == ("NO-GO", "PEOPLE OUT", "-no-go")
    assert said.more[0].startswith("NO VERDICT: 1 to correct")
    session.stands = Stands((), session.number, level="secure", headline="SECURE")
    assert (banner(session).word, banner(session).more[0]) == ("NO VERDICT", "By the record: SECURE")


def test_no_use_is_a_go_while_the_forecast_cannot_be_judged(session, tmp_path):
    session.forecasts = (tmp_path / "nofile",)
    session.weather_found = engine.weather(session.answer, session.forecasts, session.number)
    assert session.weather_found.trouble == "The forecast file cannot be read: No such file or directory"
    page = next(p for p in every_view() if p.name == "answer")
    text = "\n".join(line for line, _ in page.lines_of(session, 70))
    assert "The forecast file cannot be read" in text
    rows = text[text.index("May it go up?") : text.index("Holds to")]
    assert "CANNOT SAY" in rows
    assert "GO:" not in rows.replace("NO-GO", "")


def test_thunder_in_the_record_stays_whatever_the_forecast_file_is(tmp_path):
    path = tmp_path / "site.toml"
    path.write_text(demo_text("asphalt"), encoding="utf-8")
    good, said, _ = recording.write_down(path, {"event": "thunder", "who": "A. Leader"})
    assert good, said
    s = Session()
    doc = store.open_file(path, KEYS)
    s.begin(doc)
    s.answered(engine.evaluate(s.draft, s.number, tmp_path, beside=path))
    s.forecasts = (tmp_path / "nofile",)
    s.stands = recording.now(s.answer, doc.saved, path, s.forecasts)
    s.weather_found = engine.weather(s.answer, s.forecasts, s.number)
    assert s.stands.level == "people-out"
    text = " ".join(s.stands.lines)
    assert "The forecast file cannot be read: No such file" in text
    assert "Errno" not in text
    assert banner(s)[:2] == ("NO-GO", "PEOPLE OUT")
    stay, worst = answer.stay_words(
        s.answer.plan, answer.by_reading(s.answer.plan, s.stands, s.weather_found)
    )
    assert worst == "no-go", stay


def test_the_header_is_the_worse_of_the_plan_and_of_a_record_that_says_that_it_stands(session, tmp_path):
    session.history.edit("wind.speed", "8 mph")
    session.answered(engine.evaluate(session.draft, session.number, tmp_path))
    why = "No wind reading is logged."
    up = Stands((), session.number, headline="CANNOT SAY", state="up", verdict="unknown", why=why)
    assert banner(session).word == "GO"
    session.stands = up
    said = banner(session)
    assert (said.word, said.what, said.tone) == (
        "CANNOT SAY",
        f"By the record: {why}",
        "-unknown",
    )
    uses = answer.by_reading(session.answer.plan, up)
    assert "go" not in {v for k, v in uses.items() if k != SUBJECTS["set-up"]}
    session.stands = replace(up, verdict="no-go", headline="NORMAL: NOT SAFE AS IT STANDS")
    assert (banner(session).word, banner(session).tone) == ("NO-GO", "-no-go")
    session.stands = replace(up, state="")  # not up yet, nothing written down: nothing to go by but the wind
    assert banner(session).word == "GO"


def test_the_record_of_one_that_stands_without_a_reading_is_no_go(tmp_path):
    path = tmp_path / "site.toml"
    path.write_text(demo_text("asphalt"), encoding="utf-8")
    assert recording.write_down(path, {"event": "setup", "who": "A. Leader"})[0]
    doc = store.open_file(path, KEYS)
    found = recording.now(engine.evaluate(doc.saved, 1, tmp_path, beside=path), doc.saved, path, ())
    assert (found.state, found.verdict) == ("up", "unknown"), found
    assert found.why
    assert recording.write_down(path, {"event": "struck", "who": "A. Leader"})[0]
    found = recording.now(engine.evaluate(doc.saved, 1, tmp_path, beside=path), doc.saved, path, ())
    assert (found.state, found.headline) == ("down", "")
    assert recording.write_down(path, {"event": "thunder", "who": "A. Leader"})[0]
    found = recording.now(engine.evaluate(doc.saved, 1, tmp_path, beside=path), doc.saved, path, ())
    assert (found.state, found.level) == ("down", "people-out")
    assert "THUNDER" in found.headline


def test_what_was_taken_down_is_said_to_be(session):
    session.stands = Stands((), session.number, state="down")
    said = banner(session)
    assert (said.word, said.what) == ("TAKEN DOWN", "By the record")


def test_a_forecast_does_not_follow_to_another_shelter(session, tmp_path):
    session.begin(store.Document(tmp_path / "a.toml"), session.draft)
    session.forecasts = (tmp_path / "nofile",)
    session.stands = Stands((), session.number, level="people-out", headline="PEOPLE OUT")
    session.begin(store.Document(tmp_path / "a.toml"), session.draft)
    assert session.forecasts, "the same file, read anew"
    session.begin(store.Document(tmp_path / "b.toml"), session.draft)
    assert session.forecasts == ()
    assert session.stands is None


def test_what_is_not_saved_or_written_by_others_is_said(session):
    assert "NOT SAVED" in status(session)
    session.underneath = True
    assert any("CHANGED ON DISK" in said for said in status(session))
    session.place = replace(session.place)
    session.begin(store.Document(), session.draft)
    assert "CHANGED ON DISK" not in status(session)


def test_the_next_variant_is_one_that_is_another(session):
    seen = set()
    for _ in VARIANTS:
        session.variant = session.next_variant(1)
        assert (
            engine.variant(session.variant, session.draft, session.kept, session.doc.saved) != session.draft
        )
        seen.add(session.variant)
    assert len(seen) > 2


def test_every_view_has_a_page_and_says_something_of_every_state(session):
    pages = list(every_view())
    assert tuple(p.name for p in pages) == VIEWS
    for page in pages:
        assert page.lines_of(session, 70)
        assert page.lines_of(Session(), 70)


def test_a_page_is_old_when_what_it_shows_is_of_another_answer(session):
    for page in every_view():
        page.texts = [("x", "")]
        session.compared = engine.Compared(session.number, "x", None)
        session.worked = (session.number, "x", [])
        session.stands = Stands((), session.number)
        assert not page.is_old(session), page.name
    session.number += 1
    session.history.edit("wind.speed", "21 mph")
    for page in every_view():
        page.texts = [("x", "")]
        assert page.is_old(session), page.name


THUNDER = "THUNDER: everybody into a solid building or a closed car, until Tue 14:30 UTC at the least"


@pytest.mark.parametrize("state", ["", "not-up", "going-up", "up", "coming-down", "down"])
def test_thunder_stands_first_under_the_verdict_in_every_phase_whatever_else_is_said(session, state):
    level = "unknown" if state == "down" else "people-out"
    session.stands = Stands((), session.number, state=state, level=level, headline="PEOPLE OUT", verdict="no-go", thunder=THUNDER)  # fmt: skip
    session.answer = replace(session.answer, plan=session.answer.plan.model_copy(update={"verdict": "no-go"}))
    said = banner(session)
    assert said.more[0] == THUNDER
    assert said.must
    session.forecasts = (session.place.__class__,)  # not judged yet
    assert banner(session).more[0].startswith(THUNDER)
    assert set(answer.by_reading(session.answer.plan, session.stands).values()) == {"no-go"}
    page = next(p for p in every_view() if p.name == "answer")
    text = " ".join(" ".join(line for line, _ in page.lines_of(session, 70)).split())
    assert "solid building or a closed car" in text
    uses = text[: text.index("Holds to")].replace("NO-GO", "").replace("GOING UP", "")
    assert "GO" not in uses


def test_thunder_that_was_written_down_is_in_the_header_with_its_hour_and_after_a_refused_all_clear(tmp_path):
    path = tmp_path / "site.toml"
    path.write_text(demo_text("asphalt"), encoding="utf-8")
    for event in ("setup", "coming-down", "thunder", "all-clear"):
        good, said, _ = recording.write_down(path, {"event": event, "who": "A. Leader"})
        assert good, said
    doc = store.open_file(path, KEYS)
    s = Session()
    s.begin(doc)
    s.answered(engine.evaluate(s.draft, s.number, tmp_path, beside=path))
    s.stands = recording.now(s.answer, doc.saved, path, ())
    said = banner(s)
    assert said.must
    assert said.more[0].startswith("THUNDER: everybody into a solid building or a closed car, until ")
    assert " UTC" in said.more[0]


def test_of_one_that_is_not_up_the_first_word_is_whether_it_may_go_up(session, tmp_path):
    session.history.edit("wind.speed", "19 mph")
    session.answered(engine.evaluate(session.draft, session.number, tmp_path))
    plan = session.answer.plan
    up = plan.subjects[SUBJECTS["set-up"]]
    assert (plan.verdict, up) == ("go", "no-go")
    session.stands = Stands(
        (), session.number, state="not-up", headline="NORMAL", verdict="go", level="normal"
    )
    said = banner(session)
    assert (said.word, said.tone) == ("NO-GO", "-no-go")
    assert said.what.startswith("set up, gusts 19 mph. Once up GO: work")


def test_what_the_plan_is_for_is_no_better_than_the_plan_and_nobody_is_near_at_keep_away(session):
    plan = session.answer.plan.model_copy(update={"verdict": "no-go"})
    assert answer.by_reading(plan, None)[plan.subject] == "no-go"
    said, _ = answer.stay_words(plan, plan.subjects, near=True)
    assert "nobody near it" in said
    assert "empty" not in said


BEFORE_A_STORM = """
[outlook]
zone = "America/New_York"

[forecast]
heard = "2026-11-28 14:30"
lines = ["until 17:00 gust 18 mph", "until 19:00 gust 70 mph"]
"""
AT_THREE = 1795896000.0
"""2026-11-28 15:00 in New York."""


def test_the_answers_are_for_the_whole_stay_and_counts_say_which_gust_they_are_for(tmp_path):
    path = tmp_path / "site.toml"
    path.write_text(demo_text("asphalt") + BEFORE_A_STORM, encoding="utf-8")
    s = Session()
    s.begin(store.open_file(path, KEYS))
    s.answered(engine.evaluate(s.draft, s.number, tmp_path))
    s.weather_found = engine.weather(s.answer, (), s.number, AT_THREE)
    page = next(p for p in every_view() if p.name == "answer")
    text = " ".join(" ".join(line for line, _ in page.lines_of(s, 78)).split())
    assert "inside, doors shut: GO until Sat 16:30, then NO-GO" in text  # people out by then
    assert "empty, nobody in: GO until Sat 17:00, then NO-GO. From Sat 17:00: KEEP AWAY, gust 70 mph" in text
    assert "NOT for the 70 mph forecast" in text
    assert "Place for 20 mph: " in text
    assert "Short for 20 mph: " in text
    # once that hour is there, nothing is go, and no time is named
    s.weather_found = engine.weather(s.answer, (), s.number, AT_THREE + 2.5 * 3600)
    found = answer.courses(answer.by_reading(s.answer.plan, None, s.weather_found), s.weather_found)
    assert {c.words for c in found.values()} == {"NO-GO"}


def test_what_is_no_go_stands_under_a_go_of_three_lines_and_keep_away_is_no_go_for_any_use(session, tmp_path):
    session.history.edit("anchorage.size_for", "empty")
    session.answered(engine.evaluate(session.draft, session.number, tmp_path))
    said = banner(session)
    assert "Work with people coming and going: NO-GO" in " ".join(said.more[: said.must])
    session.history.edit("anchorage.size_for", "working")
    session.history.edit("stock.sandbags", "6")
    session.history.edit("wind.speed", "15 mph")
    session.answered(engine.evaluate(session.draft, session.number, tmp_path))
    assert session.answer.plan.levels.level == "keep-away"
    assert set(session.answer.plan.subjects.values()) == {"no-go"}
    assert ": GO" not in " ".join(banner(session).more)
