"""Public alerts in XML and JSON: what warns is never dropped, what is over or a test warns of nothing, what is not known is unknown."""

import json

import pytest
from test_as_people_say_it import CALM, NOW, said, site  # noqa: F401 - the fixture

from anchorage.core.errors import InputFaults
from anchorage.outlook.alerts import read_alerts
from anchorage.outlook.clock import read_iso
from anchorage.outlook.reader import read_text

T = read_iso(NOW, "", "")
TIMES = {
    "sent": "2026-03-10T12:30:00-05:00",
    "effective": "2026-03-10T12:30:00-05:00",
    "onset": "2026-03-10T15:00:00-05:00",
    "expires": "2026-03-10T20:00:00-05:00",
}


def feature(event="", **more):
    p = {
        "@id": "x", "@type": "wx:Alert", "id": "urn:oid:1", "areaDesc": "Aaa; Bbb", "geocode": {"SAME": ["017031"], "UGC": ["ZZZ001"]}, "affectedZones": [], "references": [],
        **TIMES, "ends": "2026-03-10T20:00:00-05:00", "status": "Actual", "messageType": "Alert", "category": "Met", "severity": "Severe", "certainty": "Likely", "urgency": "Expected",
        "event": event, "sender": "a@b.example", "senderName": "An office", "headline": f"{event} issued March 10 at 12:30PM CDT until March 10 at 8:00PM CDT by an office",
        "description": "", "instruction": "Secure loose objects.", "response": "Prepare", "parameters": {"AWIPSidentifier": ["NPWZZZ"], "NWSheadline": ["A HEADLINE"]},
        "scope": "Public", "code": "IPAWSv1.0", "language": "en-US", "web": "http://example.invalid", "eventCode": {"SAME": ["NWS"], "NationalWeatherService": ["XXW"]},
    } | more  # fmt: skip
    return {
        "id": "x",
        "type": "Feature",
        "geometry": None,
        "properties": {k: v for k, v in p.items() if v != "gone"},
    }


def collection(*features):
    return {
        "@context": [],
        "type": "FeatureCollection",
        "features": list(features),
        "title": "current alerts",
        "updated": "2026-03-10T17:00:00+00:00",
    }


def cap(event, *, status="Actual", kind="Alert", head="", body="", **times):
    every = TIMES | times
    sent = every.pop("sent")
    when = "".join(f"<{k}>{v}</{k}>" for k, v in every.items() if v)
    return (
        f'<?xml version="1.0" encoding="UTF-8"?>\n<alert xmlns="urn:oasis:names:tc:emergency:cap:1.2"><identifier>urn:oid:1</identifier><sender>a@b.example</sender><sent>{sent}</sent>'
        f"<status>{status}</status><msgType>{kind}</msgType><scope>Public</scope>{head}<info><language>en-US</language><category>Met</category><event>{event}</event><urgency>Expected</urgency>"
        f"<severity>Severe</severity><certainty>Likely</certainty><eventCode><valueName>SAME</valueName><value>NWS</value></eventCode>{when}<senderName>An office</senderName>{body}"
        "<area><areaDesc>Aaa</areaDesc><geocode><valueName>UGC</valueName><value>ZZZ001</value></geocode></area></info></alert>"
    )  # fmt: skip


def judged(capsys, site, alert):  # noqa: F811
    path = site.with_name("alerts")
    path.write_text(alert if isinstance(alert, str) else json.dumps(alert))
    return said(capsys, site, CALM, more=("--forecast", str(path)))


BOTH = pytest.mark.parametrize("form", ["json", "xml"])


def alert(form, event, **more):
    return collection(feature(event, **more)) if form == "json" else cap(event, **more)


EVENTS = {
    "Tornado Warning": 1, "Tornado Watch": 3, "Severe Thunderstorm Warning": 1, "Severe Thunderstorm Watch": 3, "High Wind Warning": 1, "High Wind Watch": 3, "Wind Advisory": 1,
    "Extreme Wind Warning": 1, "Hurricane Warning": 1, "Tropical Storm Watch": 1, "Winter Storm Warning": 3, "Winter Weather Advisory": 3, "Blizzard Warning": 1, "Ice Storm Warning": 3,
    "Snow Squall Warning": 1, "Red Flag Warning": 1, "Special Weather Statement": 3, "Severe Weather Statement": 3, "Gale Warning": 1, "Storm Warning": 1, "Dust Storm Warning": 1,
    "Frobnication Warning": 3, "Tornado": 1, "Lake Effect Snow Warning": 3, "Special Marine Warning": 1, "Tornado Emergency": 1,
    "Dense Fog Advisory": 0, "Heat Advisory": 0, "Flood Warning": 3, "Air Quality Alert": 0, "Rip Current Statement": 0, "Beach Hazards Statement": 0, "Wind Chill Advisory": 0,
}  # fmt: skip


@BOTH
@pytest.mark.parametrize("event", EVENTS)
def test_an_event_counts_by_its_class(capsys, site, form, event):  # noqa: F811
    code, out = judged(capsys, site, alert(form, event))
    assert code == EVENTS[event], out.get("headline", out)
    printed = [r["text"] for r in out["remarks"]["not_understood"]]
    assert printed == ([event] if "Frobnication" in event else [])
    if code == 1:
        assert [h["level"] for h in out["hours"]][:2] == [
            "normal",
            "normal",
        ]  # from its onset, not from when it was sent


@BOTH
def test_a_test_or_what_is_over_warns_of_nothing_and_what_is_damaged_counts(capsys, site, form):  # noqa: F811
    kind = "messageType" if form == "json" else "kind"
    ended = {"expires": "2026-03-10T13:00:00-05:00", "onset": "2026-03-10T12:00:00-05:00"} | (
        {"ends": None} if form == "json" else {}
    )
    for code, more in (
        (0, {"status": "Test"}), (0, {"status": "Exercise"}), (0, {"status": "Draft"}), (0, {kind: "Cancel"}), (0, {kind: "Ack"}), (0, ended), (1, {kind: "Update"}),
        (1, {"status": "Actua1"}), (1, {kind: "Canсel"}), (1, {"expires": "soon"} | ({"ends": None} if form == "json" else {})), (1, {"onset": "??"}), (1, {"onset": None}), (1, {"status": ""}),
    ):  # fmt: skip
        found, out = judged(capsys, site, alert(form, "High Wind Warning", **more))
        assert found == code, (more, out.get("headline", out))


def test_cancelled_or_replaced_only_over_its_whole_area(capsys, site):  # noqa: F811
    first = feature("High Wind Warning")
    later = {
        "sent": "2026-03-10T13:00:00-05:00",
        "id": "urn:oid:2",
        "references": [{"@id": "y", "identifier": "urn:oid:1", "sender": "a", "sent": TIMES["sent"]}],
    }
    cancel = feature("High Wind Warning", messageType="Cancel", **later)
    assert judged(capsys, site, collection(first))[0] == 1
    assert (
        judged(capsys, site, collection(first, cancel))[0]
        == judged(capsys, site, collection(cancel, first))[0]
        == 0
    )
    part = feature("High Wind Warning", messageType="Cancel", **later | {"geocode": {"UGC": ["ZZZ002"]}})
    assert judged(capsys, site, collection(first, part))[0] == 1
    milder = feature("Dense Fog Advisory", messageType="Update", **later)
    assert judged(capsys, site, collection(first, milder))[0] == 0
    damaged = feature("Dense Fro Advisory", messageType="Update", **later)
    assert judged(capsys, site, collection(first, damaged))[0] == 1
    test = feature("High Wind Warning", messageType="Cancel", status="Test", **later)
    assert judged(capsys, site, collection(first, test))[0] == 1


def test_words_and_parameters_of_an_alert_count(capsys, site):  # noqa: F811
    fog = "Dense Fog Advisory"
    for code, more in (
        (0, {"description": "* WHAT...Visibility one quarter mile or less in dense fog."}),
        (1, {"description": "* WHAT...Southwest winds 20 to 30 mph with gusts\nup to 50 mph expected."}), (1, {"description": "HAZARD...60 mph wind gusts and quarter size hail."}),
        (1, {"description": "Thunderstorms late."}), (1, {"parameters": {"maxWindGust": ["60 MPH"]}}), (1, {"parameters": {"tornadoDetection": ["RADAR INDICATED"]}}),
        (3, {"parameters": {"tornadoDetection": ["POSSIBLE"]}}), (0, {"parameters": {"VTEC": ["/O.NEW.KZZZ.FG.Y.0001.260310T2000Z-260311T0100Z/"]}}),
        (1, {"parameters": {"VTEC": ["/O.NEW.KZZZ.HW.W.0001.260310T2000Z-260311T0100Z/"]}}), (0, {"parameters": {"VTEC": ["/O.CAN.KZZZ.HW.W.0001.260310T2000Z-260311T0100Z/"]}}),
        (3, {"parameters": {"VTEC": ["/O.NEW.KZZZ.HW"]}}), (3, {"parameters": {"frobnication": ["x"]}}), (3, {"parameters": {"maxWindGust": ["60"]}}), (3, {"frobnication": "x"}),
        (1, {"headline": "Tornado Warning issued"}), (3, {"severity": "Sev#re"}), (3, {"event": "gone"}), (3, {"event": None}), (3, {"event": ""}),
    ):  # fmt: skip
        found, out = judged(capsys, site, collection(feature(**{"event": fog} | more)))
        assert found == code, (more, out.get("headline", out))


def test_a_list_without_alerts_says_so_and_gives_no_go(capsys, site):  # noqa: F811
    assert judged(capsys, site, collection())[0] == 0
    path = site.with_name("none")
    path.write_text(json.dumps(collection()))
    assert said(capsys, site, more=("--forecast", str(path)))[0] == 3
    assert judged(capsys, site, collection("x", feature("Dense Fog Advisory")))[0] == 3
    assert judged(capsys, site, feature("High Wind Warning"))[0] == 1
    assert judged(capsys, site, {"@graph": [feature("High Wind Warning")["properties"]]})[0] == 1


ENTITY = '<!DOCTYPE x [<!ENTITY a "aaaa"><!ENTITY b "&a;&a;&a;">]>'


@pytest.mark.parametrize(
    "text",
    [
        cap("Tornado Warning").replace("<alert", ENTITY + "<alert"), "<!DOCTYPE html><html></html>", '<!DOCTYPE a SYSTEM "file:///etc/passwd"><alert/>', "<alert>", "<a/>", "<" * 100,
        "<alert>" * 40 + "</alert>" * 40, "<alert>&undefined;</alert>", cap("Tornado Warning")[:-30], "<alert>\x00</alert>",
    ],
)  # fmt: skip
def test_xml_that_is_no_alert_is_refused(text):
    with pytest.raises(InputFaults):
        read_text(text, T, "alert.xml")


def test_every_piece_of_an_alert_is_accounted_for():
    """JSON by its places, XML by its words."""
    data = collection(feature("High Wind Warning", description="Gusts up to 60 mph."))
    found = read_alerts(data, T)
    places = {r.at for r in found.remarks.pieces()}
    assert not found.remarks.not_understood
    for key, value in data["features"][0]["properties"].items():
        if value not in ([], "", {}):
            assert any(
                p.lower().startswith(
                    f"features[1].properties.{'msgtype' if key == 'messageType' else key.lower()}"
                )
                for p in places
            ), key
    words = read_text(
        cap("High Wind Warning", body="<description>zork</description>").replace("<scope>", "stray<scope>"),
        T,
        "x",
    )[0]
    assert [r.text for r in words.remarks.not_understood] == ["stray"]
    said = " ".join(r.text for r in words.remarks.pieces())
    assert all(
        w in said
        for w in (
            "urn:oid:1", "An office", "High Wind Warning", "ZZZ001", "zork", "2026-03-10T20:00:00-05:00",
        )
    )  # fmt: skip


@pytest.mark.parametrize(
    "hint", ["High Wind Warning", "Tornado Warning", "Hurricane Watch", "Frobnication Watch", "Wind Advisory"]
)
def test_an_alert_added_never_makes_it_better(capsys, site, hint):  # noqa: F811
    order = ["go", "unknown", "no-go"]
    for base in (
        collection(),
        collection(feature("High Wind Watch")),
        collection(feature("Tornado Warning")),
        collection(feature("Winter Storm Watch")),
    ):
        before, after = (
            judged(capsys, site, base)[1],
            judged(capsys, site, collection(*base["features"], feature(hint, id="urn:oid:9")))[1],
        )
        assert order.index(after["verdict"]) >= order.index(before["verdict"])
        for key, by in before["deadlines"].items():
            assert by is None or (after["deadlines"][key] is not None and after["deadlines"][key] <= by)
