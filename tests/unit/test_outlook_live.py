"""The live fetch against a server of our own that replays good and broken answers. No test touches the internet."""

import json
import threading
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer

import pytest
from outlook_kit import at

from anchorage.outlook import live
from anchorage.outlook.clock import iso

pytest.importorskip("httpx")
NOW = at("2026-03-10T18")
GOOD = json.dumps(
    {
        "properties": {
            "updateTime": "2026-03-10T17:00:00Z",
            "windGust": {
                "uom": "wmoUnit:km_h-1",
                "values": [{"validTime": "2026-03-10T17:00:00Z/PT9H", "value": 18.0}],
            },
        }
    }
)


class Server:
    """Answers in the order given, the last one again and again: (status, body, headers)."""

    def __init__(self):
        self.answers: dict[str, list] = {"/points": [], "/gridpoints": []}
        self.asked: list[tuple[str, str]] = []
        outer = self

        class Handler(BaseHTTPRequestHandler):
            def do_GET(self):
                outer.asked.append((self.path, self.headers["User-Agent"]))
                kind = "/points" if self.path.startswith("/points") else "/gridpoints"
                todo = outer.answers[kind]
                status, body, headers = todo.pop(0) if len(todo) > 1 else todo[0]
                self.send_response(status)
                for k, v in headers.items():
                    self.send_header(k, v)
                self.end_headers()
                self.wfile.write(body.encode() if isinstance(body, str) else body)

            def log_message(self, *args):
                pass

        self.http = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
        self.base = f"http://127.0.0.1:{self.http.server_port}"
        threading.Thread(target=self.http.serve_forever, daemon=True).start()
        self.answers["/points"] = [
            (200, json.dumps({"properties": {"forecastGridData": f"{self.base}/gridpoints/ZZZ/1,1"}}), {})
        ]
        self.answers["/gridpoints"] = [(200, GOOD, {})]


@pytest.fixture
def server(monkeypatch):
    monkeypatch.delenv("ANCHORAGE_CONTACT", raising=False)
    for name in ("http_proxy", "HTTP_PROXY", "all_proxy", "ALL_PROXY"):
        monkeypatch.delenv(name, raising=False)
    s = Server()
    yield s
    s.http.shutdown()
    s.http.server_close()


def fetch(server, tmp_path, now=NOW, **more):
    slept: list[float] = []
    answer = live.fetch(
        35.2, -111.65, now, base=server.base, cache=tmp_path, sleep=slept.append, timeout=2.0, **more
    )
    return answer, slept


def test_it_identifies_itself_and_keeps_the_answer(server, tmp_path):
    answer, slept = fetch(server, tmp_path)
    assert (answer.text, answer.kept, answer.note, slept) == (GOOD, False, "", [])
    assert [p for p, _ in server.asked] == ["/points/35.2,-111.65", "/gridpoints/ZZZ/1,1"]
    assert all(agent.startswith("anchorage/") for _, agent in server.asked)
    again, _ = fetch(server, tmp_path, NOW + 7200, offline=True)
    assert again.kept
    assert again.text == GOOD
    assert iso(again.fetched) == "2026-03-10T18:00:00Z"
    assert "2.0 h ago" in again.note
    assert len(server.asked) == 2


def test_it_says_who_asks(server, tmp_path, monkeypatch):
    monkeypatch.setenv("ANCHORAGE_CONTACT", "team@example.org")
    fetch(server, tmp_path)
    assert "team@example.org" in server.asked[0][1]


def test_it_tries_again_with_longer_waits_and_minds_what_the_server_asks(server, tmp_path):
    server.answers["/gridpoints"] = [
        (503, "", {}),
        (429, "", {"Retry-After": "7"}),
        (500, "", {"Retry-After": "9999"}),
        (200, GOOD, {}),
    ]
    answer, slept = fetch(server, tmp_path)
    assert not answer.kept
    assert slept == [1.0, 7.0, live.LONGEST_WAIT_S]


@pytest.mark.parametrize(
    "broken",
    [
        (200, "<html>busy</html>", {}),
        (200, GOOD[:100], {}),
        (200, GOOD.replace("km_h-1", "furlong"), {}),
        (200, b"\xff\xfe", {}),
        (503, "", {}),
        (404, "", {}),
        (403, "", {}),
        (200, b" " * (live.LARGEST + 1), {}),
        (302, "", {"Location": "http://example.invalid/"}),
    ],
)
def test_a_broken_answer_falls_back_on_the_last_good_one_and_never_replaces_it(server, tmp_path, broken):
    server.answers["/gridpoints"] = [broken]
    with pytest.raises(live.LiveError, match="no earlier answer is kept"):
        fetch(server, tmp_path)
    server.answers["/gridpoints"] = [(200, GOOD, {})]
    fetch(server, tmp_path)
    server.answers["/gridpoints"] = [broken]
    answer, _ = fetch(server, tmp_path, NOW + 3600)
    assert answer.kept
    assert answer.text == GOOD
    assert "1.0 h ago" in answer.note


def test_an_answer_that_points_elsewhere_is_not_followed(server, tmp_path):
    server.answers["/points"] = [
        (
            200,
            json.dumps({"properties": {"forecastGridData": "http://example.invalid/gridpoints/ZZZ/1,1"}}),
            {},
        )
    ]
    with pytest.raises(live.LiveError, match="another server"):
        fetch(server, tmp_path)


def test_no_server_at_all(server, tmp_path):
    server.http.shutdown()
    server.http.server_close()
    with pytest.raises(live.LiveError, match="no connection"):
        fetch(server, tmp_path)


def test_a_spoiled_cache_is_not_used(server, tmp_path):
    fetch(server, tmp_path)
    path = next(tmp_path.iterdir())
    for spoiled in (
        "",
        "{}",
        '{"fetched": "2026-03-10T18:00:00Z", "body": "{}"}',
        path.read_text()[:200],
        '{"fetched": "2027-03-10T18:00:00Z", "body": ' + json.dumps(GOOD) + "}",
    ):
        path.write_text(spoiled)
        with pytest.raises(live.LiveError):
            fetch(server, tmp_path, offline=True)


def test_a_cache_that_cannot_be_written_harms_nothing(server, tmp_path):
    blocked = tmp_path / "file"
    blocked.write_text("")
    answer, _ = fetch(server, blocked)
    assert "could not be kept" in answer.note


@pytest.mark.parametrize("text", ["", "35.2", "here", "91,0", "0,181", "35.2,-111.65,3", "nan,1", "35.2;1"])
def test_a_place_that_is_none_is_refused(text):
    with pytest.raises(live.AnchorageError, match="--at"):
        live.place_of(text)
    assert live.place_of(" 35.2, -111.65 ") == (35.2, -111.65)
