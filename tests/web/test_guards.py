"""Who may ask: forged hosts and origins, missing tokens, and what a browser may load.

Expected behavior is that of RFC 9110 (421, 403, 401), RFC 6265bis (SameSite), RFC 9457 (problem
details) and Content Security Policy Level 3.
"""

from pathlib import Path

import pytest
from starlette.testclient import TestClient

from render.web.app import create_app
from render.web.security import COOKIE, Gate
from render.web.settings import WebSettings, tidy_base
from tests.helpers.page import browse

HTML = {"accept": "text/html"}


@pytest.fixture
def client(tmp_path: Path) -> TestClient:
    return browse(WebSettings(tmp_path))


@pytest.mark.parametrize("host", ["evil.example", "127.0.0.1.evil.example:80", "", "[::2]:80"])
def test_a_foreign_host_is_refused(client: TestClient, host: str) -> None:
    answer = client.get("/", headers={"host": host})
    assert answer.status_code == 421
    assert answer.headers["content-type"] == "application/problem+json"
    assert set(answer.json()) == {"type", "title", "status", "detail"}


@pytest.mark.parametrize("host", ["127.0.0.1:8000", "localhost", "LOCALHOST:1", "[::1]:8000"])
def test_own_hosts_are_served(client: TestClient, host: str) -> None:
    assert client.get("/", headers={"host": host}).status_code == 200


@pytest.mark.parametrize(
    "headers",
    [
        {"origin": "http://evil.example"},
        {"origin": "null"},
        {"origin": "http://127.0.0.1:9"},
        {"sec-fetch-site": "cross-site"},
        {"sec-fetch-site": "same-site"},
    ],
)
def test_a_foreign_post_is_refused(client: TestClient, headers: dict[str, str]) -> None:
    answer = client.post("/", headers=headers)
    assert answer.status_code == 403


@pytest.mark.parametrize("headers", [{"origin": "http://127.0.0.1"}, {}])
def test_an_own_post_reaches_the_views(client: TestClient, headers: dict[str, str]) -> None:
    assert client.post("/", headers=headers).status_code == 405


def test_a_token_lets_one_visitor_in(tmp_path: Path) -> None:
    used: list[str] = []
    gate = Gate()
    settings = WebSettings(tmp_path, gate=gate)
    token = gate.mint(lambda: used.append("used"))
    client, other = browse(settings), browse(settings)
    assert client.get("/").status_code == 401
    assert client.get("/?token=wrong").status_code == 401
    assert not used
    first = client.get(f"/?token={token}")
    cookie = first.headers["set-cookie"].lower()
    assert first.status_code == 200
    assert "httponly" in cookie
    assert "samesite=strict" in cookie
    assert token not in first.text
    assert token != client.cookies[COOKIE]
    assert client.get("/").status_code == 200
    assert other.get(f"/?token={token}").status_code == 401
    assert used == ["used"]


def test_a_browser_may_load_nothing_inline_or_from_elsewhere(client: TestClient) -> None:
    policy = client.get("/").headers["content-security-policy"]
    assert "default-src 'self'" in policy
    assert "unsafe" not in policy
    assert "*" not in policy
    assert "http" not in policy


def test_refusals_carry_the_policy_too(client: TestClient) -> None:
    answer = client.get("/", headers={"host": "evil.example"})
    assert "content-security-policy" in answer.headers


def test_a_person_gets_a_page_and_a_program_a_problem(client: TestClient) -> None:
    page = client.get("/nowhere", headers=HTML)
    assert page.status_code == 404
    assert "nothing at this address" in page.text
    table = client.get("/nowhere").json()
    assert table["status"] == 404
    assert table["type"] == "about:blank"


def test_no_stack_trace_is_shown(tmp_path: Path) -> None:
    app = create_app(WebSettings(tmp_path))
    app.state.settings = None  # whatever a view asks of it now fails
    client = TestClient(app, "http://127.0.0.1", raise_server_exceptions=False)
    answer = client.get("/?lang=en")
    assert answer.status_code == 500
    assert "Traceback" not in answer.text
    assert "settings" not in answer.text


@pytest.mark.parametrize("given", ["markers", "/markers/", " markers "])
def test_a_base_path_is_in_every_link(tmp_path: Path, given: str) -> None:
    client = browse(WebSettings(tmp_path, tidy_base(given)))
    assert client.get("/", follow_redirects=False).headers["location"] == "/markers/"
    text = client.get("/markers/").text
    assert 'href="/markers/marker"' in text
    assert 'href="/marker"' not in text
    assert "/markers/static/page.css" in text
