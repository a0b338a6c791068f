"""What must not pass, does not: other hosts, other sites' pages, ways out of the folder, floods, script in names."""

import re
from pathlib import Path

import pytest
from starlette.websockets import WebSocketDisconnect

from seatfield.web.guards import LARGEST_BODY_BYTES

HOST = "127.0.0.1:8437"
LIVE = "ws://127.0.0.1:8437/live"


@pytest.mark.parametrize(
    "host", ["evil.example", "127.0.0.1", "127.0.0.1:80", "127.0.0.1:8437.evil.example", ""]
)
def test_another_host_is_refused(client, host):
    """A name that was made to point at this machine still names itself in the Host header (DNS rebinding)."""
    answer = client.get("/api/state", headers={"host": host})
    assert answer.status_code == 421
    assert "own name only" in answer.json()["sentence"]


@pytest.mark.parametrize(
    "origin", ["https://evil.example", "null", "https://127.0.0.1:8437", "http://127.0.0.1:1"]
)
def test_another_origin_is_refused_for_reading_and_writing(client, origin):
    for answer in (
        client.get("/api/state", headers={"origin": origin}),
        client.post("/api/undo", headers={"origin": origin}),
    ):
        assert answer.status_code == 403


def test_another_sites_picture_or_form_is_refused_by_what_the_browser_says_of_it(client):
    assert client.get("/api/state", headers={"sec-fetch-site": "cross-site"}).status_code == 403
    assert client.get("/api/state", headers={"sec-fetch-site": "same-origin"}).status_code == 200


@pytest.mark.parametrize("headers", [{"host": "evil.example"}, {"origin": "https://evil.example"}])
def test_a_foreign_socket_is_refused(client, headers):
    with pytest.raises(WebSocketDisconnect) as refused, client.websocket_connect(LIVE, headers=headers):
        pass
    assert refused.value.code == 1008


def test_the_pages_own_requests_pass(client):
    assert client.get("/api/state", headers={"origin": f"http://{HOST}"}).status_code == 200


@pytest.mark.parametrize(
    "name",
    [
        "..%2fproject.toml",
        "../project.toml",
        "%2e%2e/secret.png",
        "..%5csecret.png",
        "/etc/passwd",
        "project.toml",
        "log/x.png",
        ".hidden.png",
        "link.png",
        "a%00.png",
        "a" * 300 + ".png",
    ],
)
def test_no_path_leaves_the_folder(client, folder, name):
    (folder.parent / "secret.png").write_bytes(b"\x89PNG secret")
    (folder / "link.png").symlink_to(folder.parent / "secret.png")
    answer = client.get(f"/api/pictures/{name}")
    assert answer.status_code in {404, 422}
    assert b"secret" not in answer.content.replace(b"secret.png", b"")


@pytest.mark.parametrize(
    "path", ["/assets/../../app.py", "/assets/%2e%2e/%2e%2e/app.py", "/fonts/..%2fstyle.json"]
)
def test_the_pages_own_files_end_at_their_folder(client, path):
    assert client.get(path).status_code == 404


def test_a_flood_is_refused_by_its_length_before_it_comes(client):
    answer = client.put("/api/pictures", headers={"content-length": str(2_000_000_000)}, content=iter([b"x"]))
    assert answer.status_code == 413


def test_a_flood_that_hides_its_length_is_cut_off(client, folder):
    sent = 0

    def flood():
        nonlocal sent
        while True:
            sent += 1_000_000
            yield b"\x89PNG\r\n\x1a\n" + b"x" * 999_992
            if sent > 10 * LARGEST_BODY_BYTES:
                return

    answer = client.put("/api/pictures", content=flood())
    assert answer.status_code == 413
    assert not list(Path(folder).glob("*.png"))


def test_what_is_only_shown_takes_no_change(served, folder):
    before = (folder / "project.toml").read_bytes()
    client = served(read_only=True)
    assert client.get("/api/state").json()["read_only"]
    for answer in (
        client.post("/api/edits", json={"commands": [{"do": "write", "key": "name", "value": "x"}]}),
        client.post("/api/undo"),
        client.post("/api/ticks", json={"what": "x"}),
        client.put("/api/pictures", content=b"\x89PNG\r\n\x1a\n"),
    ):
        assert answer.status_code == 403
        assert "only shown" in answer.json()["sentence"]
    assert (folder / "project.toml").read_bytes() == before
    assert not (folder / "log").exists()


def test_every_answer_keeps_the_page_to_its_own_files(client):
    """CSP Level 3: nothing but this origin may be loaded, no inline script, no framing."""
    for path in ("/api/state", "/", "/api/no-such", "/fonts/Lato-Regular.ttf"):
        headers = client.get(path).headers
        policy = headers["content-security-policy"]
        assert policy.startswith("default-src 'self';"), path
        assert "unsafe" not in policy
        assert "frame-ancestors 'none'" in policy
        assert headers["x-content-type-options"] == "nosniff"


def test_the_page_asks_nothing_of_other_hosts():
    """No built file names another origin to load from; names inside comments and licences do not load."""
    assets = Path(__file__).parents[2] / "src" / "seatfield" / "web" / "assets"
    if not (assets / "index.html").is_file():
        pytest.skip("the page is not built; tests/e2e builds it")
    page = (assets / "index.html").read_text("utf-8")
    assert not re.findall(r"""(?:src|href)=["'](?:https?:)?//""", page)
    for sheet in assets.rglob("*.css"):
        assert not re.findall(r"url\(\s*[\"']?(?:https?:)?//|@import", sheet.read_text("utf-8"))


def test_script_in_names_stays_text(client):
    """The page puts names in as text; the API hands them on as JSON, never as HTML."""
    name = "</script><script>alert(1)</script>"
    saved = client.post("/api/edits", json={"commands": [{"do": "write", "key": "name", "value": name}]})
    assert saved.status_code == 200
    answer = client.get("/api/state")
    assert answer.json()["name"] == name
    assert answer.headers["content-type"] == "application/json"
    assert name not in client.get("/").text
