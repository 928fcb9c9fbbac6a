"""The phone app as files: types, packing, policy, caching; nothing but the built folder is served."""

import pytest

PAGE = b"<!doctype html><title>Trammel</title>"


@pytest.fixture
def built(settings):
    folder = settings.pwa
    (folder / "assets").mkdir(parents=True)
    files = {
        "index.html": PAGE,
        "sw.js": b"self;",
        "manifest.webmanifest": b"{}",
        "assets/index-a1b2c3d4.js": b"main();",
        "assets/micropython-a1b2c3d4.wasm": b"\0asm",
        "assets/font-a1b2c3d4.woff2": b"wOF2",
        ".secret.json": b"{}",
        "notes.xyz": b"?",
    }
    for name, data in files.items():
        (folder / name).write_bytes(data)
    (folder / "index.html.br").write_bytes(b"brotli page")
    (folder / "index.html.gz").write_bytes(b"gzip page")
    (settings.data / "outside.json").write_bytes(b"{}")
    return folder


@pytest.fixture
def served(client, built):
    return client


@pytest.mark.parametrize(
    ("path", "type"),
    [
        ("/", "text/html; charset=utf-8"),
        ("/index.html", "text/html; charset=utf-8"),
        ("/sw.js", "text/javascript; charset=utf-8"),
        ("/manifest.webmanifest", "application/manifest+json"),
        ("/assets/micropython-a1b2c3d4.wasm", "application/wasm"),
        ("/assets/font-a1b2c3d4.woff2", "font/woff2"),
    ],
)
def test_types_are_set_in_code(served, path, type):
    answer = served.get(path)
    assert (answer.status_code, answer.headers["Content-Type"]) == (200, type)


@pytest.mark.parametrize(
    ("accepts", "encoding", "data"),
    [
        ("br, gzip", "br", b"brotli page"),
        ("gzip", "gzip", b"gzip page"),
        ("", None, PAGE),
        ("br;q=0", None, PAGE),
    ],
)
def test_what_the_build_packed_is_sent_packed(served, accepts, encoding, data):
    answer = served.get("/", headers={"Accept-Encoding": accepts})
    assert answer.data == data
    assert answer.headers.get("Content-Encoding") == encoding
    assert "Accept-Encoding" in answer.headers["Vary"]
    assert answer.headers["Content-Type"].startswith("text/html")


def test_hashed_files_are_kept_for_ever_and_the_others_asked_after(served):
    assert "immutable" in served.get("/assets/index-a1b2c3d4.js").headers["Cache-Control"]
    for path in ("/", "/index.html", "/sw.js", "/manifest.webmanifest"):
        assert served.get(path).headers["Cache-Control"] == "no-cache"
    assert served.get("/api/health").headers["Cache-Control"] == "no-store"


def test_a_page_that_did_not_change_is_not_sent_again(served):
    tag = served.get("/").headers["ETag"]
    again = served.get("/", headers={"If-None-Match": tag})
    assert (again.status_code, again.data) == (304, b"")


@pytest.mark.parametrize("path", ["/", "/api/health", "/nothing", "/sw.js"])
def test_every_answer_carries_the_policy(served, path):
    headers = served.get(path).headers
    policy = headers["Content-Security-Policy"]
    assert policy.startswith("default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; worker-src 'self';")
    assert "unsafe-inline" not in policy and "frame-ancestors 'none'" in policy
    assert headers["X-Content-Type-Options"] == "nosniff"
    assert headers["Referrer-Policy"] == "no-referrer"


@pytest.mark.parametrize(
    "path",
    ["/../shop/outside.json", "/%2e%2e/shop/outside.json", "/.secret.json", "/notes.xyz", "/index.html.br",
     "/assets", "/assets/", "//etc/passwd", "/index.html/"],
)  # fmt: skip
def test_nothing_else_is_served(served, path):
    answer = served.get(path)
    assert answer.status_code == 404
    assert answer.json["error"]["code"] == "not-found"


def test_an_app_that_is_not_built_is_said_with_the_remedy(client):
    answer = client.get("/")
    assert answer.status_code == 503
    assert "npm run build" in answer.json["error"]["message"]
