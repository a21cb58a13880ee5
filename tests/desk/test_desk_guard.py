"""The door of the desk: who may ask, how much, for how long."""

from __future__ import annotations

import time

import pytest

pytest.importorskip("starlette", reason="the desk's extra is not installed: pip install 'rehilt[desk]'")
pytest.importorskip("httpx", reason="httpx is not installed: pip install 'rehilt[browser]'")

from starlette.testclient import TestClient

from migrate.desk import app as desk_app
from migrate.desk.app import create_app
from migrate.desk.guard import MOST_BYTES
from tests.desk.desk_requests import HOST, PORT, body


@pytest.fixture(scope="module")
def client() -> TestClient:
    return TestClient(create_app(PORT), base_url=f"http://127.0.0.1:{PORT}")


@pytest.mark.parametrize(
    "host", ["evil.example", "evil.example:8123", "127.0.0.1", "127.0.0.1:8124", "localhost.evil:8123", ""]
)
def test_a_foreign_host_is_refused(client: TestClient, host: str) -> None:
    for answer in (client.get("/", headers={"host": host}), client.post("/move", headers={"host": host}, json=body())):
        assert answer.status_code == 403


@pytest.mark.parametrize("host", ["127.0.0.1:8123", "localhost:8123", "[::1]:8123"])
def test_the_loopback_names_are_served(client: TestClient, host: str) -> None:
    assert client.get("/", headers={"host": host}).status_code == 200


@pytest.mark.parametrize(
    "headers",
    [
        {"origin": "http://evil.example"},
        {"origin": "null"},
        {"origin": "http://127.0.0.1:9"},
        {"origin": "https://127.0.0.1:8123"},
        {"sec-fetch-site": "cross-site"},
        {"sec-fetch-site": "same-site"},
    ],
)
def test_requests_from_other_pages_are_refused(client: TestClient, headers: dict[str, str]) -> None:
    assert client.post("/date", headers=headers, json=body()).status_code == 403


def test_the_own_page_may_ask(client: TestClient) -> None:
    answer = client.post(
        "/date", headers={"origin": f"http://127.0.0.1:{PORT}", "sec-fetch-site": "same-origin"}, json=body()
    )
    assert answer.status_code == 200 and answer.json()["generation"] == "wick2"


def test_a_form_of_another_page_cannot_pass_for_json(client: TestClient) -> None:
    for kind in ("text/plain", "application/x-www-form-urlencoded", "multipart/form-data"):
        assert client.post("/move", headers={"content-type": kind}, content=b"{}").status_code == 415


def test_what_is_too_big_is_refused_by_its_header_and_by_its_bytes(client: TestClient) -> None:
    big = b'"' + b"x" * MOST_BYTES + b'"'
    kind = {"content-type": "application/json"}
    assert client.post("/move", headers=kind, content=big).status_code == 413
    assert client.post("/move", headers=kind, content=iter([big])).status_code == 413


def test_every_answer_carries_the_policy_and_forbids_inline_script(client: TestClient) -> None:
    for answer in (client.get("/"), client.get("/desk.js"), client.get("/nowhere"), client.post("/move", content=b"x")):
        policy = answer.headers["content-security-policy"]
        assert "default-src 'none'" in policy and "script-src 'self'" in policy and "unsafe" not in policy
        assert "access-control-allow-origin" not in answer.headers
        assert answer.headers["x-content-type-options"] == "nosniff"
    assert "<script>" not in client.get("/").text and " style=" not in client.get("/").text


@pytest.mark.parametrize(
    "content",
    [b"", b"{", b"[]", b"null", b"\xff", b'{"text": 3}', b'{"to": "wick9"}', b'{"pixels": 0, "to": "wick3"}',
     b'{"scene": "../../etc/passwd"}', b"[" * 100_000],
)  # fmt: skip
def test_nonsense_is_told_and_never_a_traceback(client: TestClient, content: bytes) -> None:
    for path in ("/move", "/date", "/play", "/construct", "/patch", "/report"):
        answer = client.post(path, headers={"content-type": "application/json"}, content=content)
        assert answer.status_code == 400 and answer.json()["error"]


def test_what_takes_too_long_is_given_up(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(desk_app.explain, "dating", lambda one: time.sleep(0.6))
    slow = TestClient(create_app(PORT, seconds=0.1), base_url=f"http://127.0.0.1:{PORT}")
    answer = slow.post("/date", json=body())
    assert answer.status_code == 503 and "longer than 0.1 s" in answer.json()["error"]


def test_the_desk_is_bound_to_the_loopback_interface() -> None:
    from migrate.desk import serve

    assert serve.HOST == "127.0.0.1" and HOST["host"].startswith(serve.HOST)
