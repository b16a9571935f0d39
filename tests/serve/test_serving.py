"""Pages served to a room: exactly those, to read, to many at once; and what the command says and refuses."""

import gzip
import http.client
import os
import re
import signal
import socket
import subprocess
import sys
import tempfile
import threading
import time
import urllib.request
from concurrent.futures import ThreadPoolExecutor
from html.parser import HTMLParser
from types import SimpleNamespace

import pytest
from test_live import toy

from antlab.__main__ import main
from antlab.classroom.paper import pages
from antlab.classroom.paper.poster import poster
from antlab.cli import pages as pages_command
from antlab.files import ROOT
from antlab.serve import hands, page_server, ports
from antlab.trouble import Trouble

PAGES = {
    "index.html": b'<a href="height.html">Height</a>',
    "height.html": "<p>½ λ ".encode() + 9000 * b"curve ",
    "films/07.js": b"antlabFilm()",
}


@pytest.fixture
def server():
    """The pages on a port of this machine."""
    with page_server.PageServer(PAGES, "127.0.0.1", 0) as server:
        thread = threading.Thread(target=server.serve_forever)
        thread.start()
        yield server
        server.shutdown()
        thread.join()


def ask(server, path, method="GET", **headers):
    """Status, headers and body of one request whose path is sent as it stands."""
    connection = http.client.HTTPConnection("127.0.0.1", server.server_port, timeout=10)
    connection.request(method, path, headers=headers)
    answer = connection.getresponse()
    body = answer.read()
    connection.close()
    return answer.status, answer.headers, body


def test_pages_as_written(server):
    """The index at /, each page by its name; packed only for who can unpack; HEAD tells the size alone."""
    assert ask(server, "/")[2] == ask(server, "/index.html")[2] == PAGES["index.html"]
    status, headers, body = ask(server, "/height.html?from=poster")
    assert (status, body) == (200, PAGES["height.html"])
    assert headers["Content-Type"] == "text/html; charset=utf-8" and "Content-Encoding" not in headers
    _, headers, packed = ask(server, "/height.html", **{"Accept-Encoding": "br, gzip"})
    assert headers["Content-Encoding"] == "gzip" and gzip.decompress(packed) == body
    assert int(headers["Content-Length"]) == len(packed) < len(body) / 10
    status, headers, nothing = ask(server, "/height.html", "HEAD")
    assert (status, int(headers["Content-Length"]), nothing) == (200, len(body), b"")
    _, headers, body = ask(server, "/films/07.js")
    assert (headers["Content-Type"], body) == ("text/javascript; charset=utf-8", PAGES["films/07.js"])


@pytest.mark.parametrize(
    "path",
    [
        "/nothing.html", "/height", "/HEIGHT.html", "/../pyproject.toml", "/%2e%2e/pyproject.toml",
        "//etc/passwd", "/etc/passwd", "/..%2f..%2fetc%2fpasswd", "/..\\pyproject.toml", "/./height.html",
        "/height.html/", "/height.html%00", "height.html", "http://127.0.0.1/height.html",
        "file:///etc/passwd", "*",
    ],
)  # fmt: skip
def test_nothing_else_is_there(server, path):
    """No folder, no way out, no other spelling: 404, with a way back and without the path."""
    status, headers, body = ask(server, path)
    assert status == 404 and b'href="/"' in body and b"passwd" not in body and b"toml" not in body
    assert headers["X-Content-Type-Options"] == "nosniff"


def test_nothing_can_be_changed(server):
    """What is not reading is refused, and everything is there afterwards."""
    for method in ("POST", "PUT", "DELETE", "PATCH", "OPTIONS"):
        status, headers, _ = ask(server, "/height.html", method)
        assert (status, headers["Allow"]) == (405, "GET, HEAD")
    assert ask(server, "/height.html", "BREW")[0] == 501
    assert ask(server, "/height.html")[2] == PAGES["height.html"]


def test_every_answer_is_guarded_and_anonymous(server, capfd):
    """Headers on good and bad answers; no version to look up; nothing about a visitor is printed."""
    for path, method in (("/", "GET"), ("/no", "GET"), ("/", "POST"), ("/", "BREW")):
        headers = ask(server, path, method)[1]
        assert headers["X-Content-Type-Options"] == "nosniff" and headers["X-Frame-Options"] == "DENY"
        assert headers["Cache-Control"] == "max-age=300" and headers["Server"] == "antlab"
    with socket.create_connection(("127.0.0.1", server.server_port)) as rude:  # leaves in the middle
        rude.sendall(b"GET /height.html HTTP/1.0\r\n\r\n")
        rude.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, b"\1\0\0\0\0\0\0\0")
    assert ask(server, "/")[0] == 200
    assert capfd.readouterr() == ("", "")


def test_a_class_at_once_with_slow_ones_among_them(server):
    """50 requests together all come back whole, while others hold their connection without a word."""
    server.ask_s = 0.3
    address = ("127.0.0.1", server.server_port)
    slow = [socket.create_connection(address) for _ in range(20)]
    with ThreadPoolExecutor(50) as phones:
        bodies = list(phones.map(lambda _: ask(server, "/height.html")[2], range(50)))
    assert bodies == 50 * [PAGES["height.html"]]
    for connection in slow:
        connection.settimeout(5)
        assert connection.recv(1) == b"", "the server let go of who says nothing"
        connection.close()


def test_opening_asks_the_network_nothing(monkeypatch):
    """HTTPServer looks its own name up when it opens, which a hall without internet makes it wait for."""

    def lookup(*words):
        raise AssertionError("a name was looked up")

    monkeypatch.setattr(socket, "getfqdn", lookup)
    monkeypatch.setattr(socket, "gethostbyaddr", lookup)
    page_server.PageServer(PAGES, "127.0.0.1", 0).server_close()


def cards(monkeypatch, addresses, *, down=(), tunnels=(), outward=None):
    """Let psutil name these cards, and the system send what leaves the house by one of them."""
    import psutil

    hardware = SimpleNamespace(family=None, address="00:00:5e:00:53:01")
    entries = {
        card: [hardware, SimpleNamespace(family=socket.AF_INET, address=address)]
        for card, address in addresses.items()
    }
    stats = {
        card: SimpleNamespace(isup=card not in down, flags="up,pointopoint" if card in tunnels else "up")
        for card in addresses
    }
    monkeypatch.setattr(psutil, "net_if_addrs", lambda: entries)
    monkeypatch.setattr(psutil, "net_if_stats", lambda: stats)

    def connect(self, place):
        if outward is None:
            raise OSError("network is unreachable")

    monkeypatch.setattr(page_server.socket.socket, "connect", connect)
    monkeypatch.setattr(page_server.socket.socket, "getsockname", lambda self: (outward, 9))


def test_own_addresses(monkeypatch):
    """The one that leads outward first, a tunnel last; no loopback, nothing that is down."""
    all_cards = {"lo": "127.0.0.1", "docker": "172.17.0.1", "wifi": "192.168.1.5", "old": "10.9.9.9",
                 "auto": "169.254.7.7", "vpn": "10.8.0.2"}  # fmt: skip
    cards(monkeypatch, all_cards, down=["old"], tunnels=["vpn"], outward="192.168.1.5")
    assert page_server.own_addresses() == ["192.168.1.5", "172.17.0.1", "169.254.7.7", "10.8.0.2"]
    cards(monkeypatch, all_cards, down=["old", "docker"], tunnels=["vpn"], outward="10.8.0.2")
    assert page_server.own_addresses()[0] == "192.168.1.5", "phones are not in the tunnel"
    cards(monkeypatch, {"lo": "127.0.0.1", "hotspot": "10.42.0.1"})
    assert page_server.own_addresses() == ["10.42.0.1"], "a network that leads nowhere is a network"


def test_own_addresses_of_this_machine():
    """Asked for real: each can be opened."""
    for address in page_server.own_addresses():
        page_server.PageServer({}, address, 0).server_close()


def test_choose_address(monkeypatch):
    """The likeliest unless another is asked for; none, or a strange one, is a sentence with the mend."""
    monkeypatch.setattr(page_server, "own_addresses", lambda: ["192.168.1.5", "10.0.0.3"])
    assert pages_command.choose_address() == ("192.168.1.5", ["10.0.0.3"])
    assert pages_command.choose_address("10.0.0.3") == ("10.0.0.3", ["192.168.1.5"])
    for strange in ("0.0.0.0", "10.0.0.4", "example.org"):
        with pytest.raises(Trouble, match=f"{strange} is no address .* 192.168.1.5 or 10.0.0.3"):
            pages_command.choose_address(strange)
    monkeypatch.setattr(page_server, "own_addresses", list)
    with pytest.raises(Trouble, match="in no network: join .* or switch on a phone's hotspot"):
        pages_command.choose_address()


@pytest.mark.parametrize(
    ("site", "who"),
    [
        ("http://192.168.1.5:8080/", "Everybody in the same network can read them, and nothing else"),
        ("http://8.8.4.4:8080/", "Everybody on the internet (the address is a public one)"),
        ("http://127.0.0.1:8080/", "Only this machine itself can read them"),
    ],
)
def test_it_says_what_it_opens(site, who):
    """To whom, what they can do, how to get there, how it ends."""
    desk = f"http://127.0.0.1:8081/desk/{32 * 'x'}"
    said = pages_command.announcement(site, ["10.0.0.3"], count=14, poster="poster.html", desk=desk)
    assert f"This opens 14 pages at {site}\n{who}" in said
    for words in ("Nothing here can be changed", "no visit is written down", "--address 10.0.0.3", "firewall",
                  "hotspot", "poster.html", "Ctrl-C", desk, "tell nobody", "without names"):  # fmt: skip
        assert words in said
    assert max(len(line) for line in said.splitlines()) <= 110
    said = pages_command.announcement(site, [], count=14, poster="poster.html", desk=desk)
    assert "other networks" not in said


@pytest.fixture
def command(monkeypatch):
    """`antlab pages …` with one small view; what it would serve is caught."""
    calls = []
    monkeypatch.setattr("antlab.cli.main.settle", lambda extra, argv: None)
    monkeypatch.setattr(pages, "views", lambda: {"toy": toy})
    monkeypatch.setattr(pages_command, "numbers_of", lambda asked: [])
    monkeypatch.setattr(pages_command, "apart", lambda make, *given: make(*given))
    monkeypatch.setattr(
        pages_command, "serve", lambda *given: calls.append((dict(given[0]), *given[1:])) or 0
    )
    return lambda *words: (main(["pages", *words]), calls)


def test_serve_is_off_unless_asked_for(command, tmp_path, capsys):
    """Pages alone open nothing and write no poster; what belongs to serving is refused without it."""
    assert command("--folder", str(tmp_path)) == (0, [])
    assert not (tmp_path / "poster.html").exists()
    assert command("--port", "8080") == (2, [])
    assert command("--address", "127.0.0.1") == (2, [])
    assert command("--class", str(tmp_path)) == (2, [])
    assert capsys.readouterr().err.count("are for serving: add --serve, or leave them out.") == 3


def test_serve_gives_what_was_written(command, tmp_path, capsys, monkeypatch):
    """The pages and the poster, byte for byte, at the first free port; a strange file there is not served."""
    (tmp_path / "diary.html").write_text("mine")
    monkeypatch.setattr(pages_command, "FIRST_PORT", 8460)
    code, ((served, address, port, room, desk_port),) = command(
        "--serve", "--folder", str(tmp_path), "--address", "127.0.0.1"
    )
    assert (code, address) == (0, "127.0.0.1") and 8460 <= port < 8560
    names = ("index", "symbols", "sources", "toy", "poster")
    assert set(served) == {f"{name}.html" for name in names}
    assert all((tmp_path / name).read_bytes() == content for name, content in served.items())
    said = capsys.readouterr().out
    assert f"This opens 5 pages at http://127.0.0.1:{port}/" in said
    assert f"\nhttp://127.0.0.1:{desk_port}{room.desk_path}\n" in said and room.secret not in said
    assert not any(room.secret.encode() in content for content in served.values())


def test_serve_overwrites_nothing_of_yours(command, tmp_path, capsys):
    """A poster that is not ours stays, and nothing opens."""
    (tmp_path / "poster.html").write_text("my poster")
    assert command("--serve", "--folder", str(tmp_path), "--address", "127.0.0.1") == (2, [])
    assert "poster.html is not one of antlab's pages" in capsys.readouterr().err
    assert (tmp_path / "poster.html").read_text() == "my poster"


def test_one_server_counts_in_a_folder(command, tmp_path, capsys):
    """Protects what was counted from a second server on the same folder; the next one, alone, is welcome."""
    words = "--serve", "--folder", str(tmp_path / "a"), "--address", "127.0.0.1", "--class", str(tmp_path)
    with hands.held(tmp_path):
        assert command(*words) == (2, []) and not (tmp_path / "a").exists()
    complaint = capsys.readouterr().err
    assert "another antlab pages --serve counts" in complaint and complaint.count("\n") == 1
    assert command(*words)[0] == 0


def test_the_server_is_light():
    """Protects the laptop at the front: pages are made in a process that ends; what serves loads no numpy."""
    heavy = "('numpy', 'matplotlib', 'PIL', 'nbformat', 'sympy')"
    code = (
        "import sys\nfrom antlab.cli import main, pages\n"
        "if __name__ == '__main__':\n"
        "    numbers = pages.numbers_of(['07'])\n"
        "    room = pages._room(pages.Path(sys.argv[1]), 'http://127.0.0.1:8080/', 8080)\n"
        "    said = pages.announcement('http://127.0.0.1:8080/', [], count=1, poster='', desk='')\n"
        f"    print(*[name for name in {heavy} if name in sys.modules])"
    )
    with tempfile.TemporaryDirectory() as folder:
        command = [sys.executable, "-c", code, folder]
        out = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=True)
    assert out.stdout.strip() == ""


def refused(word):
    """What the process of its own may meet."""
    raise Trouble(f"{word}: choose another")


def test_what_is_made_apart_comes_back():
    """The answer, or the one sentence of a Trouble, out of the other process."""
    assert pages_command.apart(int, "7") == 7
    with pytest.raises(Trouble, match="^a folder: choose another$"):
        pages_command.apart(refused, "a folder")


def test_port_taken(command, tmp_path, capsys):
    """One line with the mend, before anything is made."""
    with socket.create_server(("127.0.0.1", 0)) as other:
        port = str(other.getsockname()[1])
        folder = tmp_path / "pages"
        assert command("--serve", "--folder", str(folder), "--address", "127.0.0.1", "--port", port)[0] == 2
        assert f"port {port} is taken by another program" in capsys.readouterr().err
        assert not folder.exists()


def test_port_taken_meanwhile():
    """In the seconds in which the pages are made somebody else may take the port."""
    with socket.create_server(("127.0.0.1", 0)) as other:
        port = other.getsockname()[1]
        with pytest.raises(Trouble, match=f"127.0.0.1:{port} can't be opened .*: choose another --port"):
            pages_command.serve({}, "127.0.0.1", port)


@pytest.mark.skipif(os.name == "nt", reason="Windows can't send a Ctrl-C to one process alone")
def test_ctrl_c_ends_it_cleanly():
    """Status 0, a word, no traceback, and the port is free again."""
    port = ports.choose_port(first=8600)
    program = (
        "import sys, signal; signal.signal(signal.SIGINT, signal.default_int_handler); "
        "from antlab.cli.pages import serve; "
        f"sys.exit(serve({{'index.html': b'here'}}, '127.0.0.1', {port}))"
    )
    process = subprocess.Popen(
        [sys.executable, "-c", program], cwd=ROOT, text=True, stdout=subprocess.PIPE, stderr=subprocess.PIPE
    )
    try:
        opener = urllib.request.build_opener(urllib.request.ProxyHandler({}))
        for _ in range(100):
            time.sleep(0.05)
            try:
                with opener.open(f"http://127.0.0.1:{port}/", timeout=5) as answer:
                    assert answer.read() == b"here"
                break
            except OSError:
                assert process.poll() is None
        process.send_signal(signal.SIGINT)
        said, complained = process.communicate(timeout=10)
    finally:
        process.kill()
    assert (process.returncode, complained) == (0, "")
    assert said.strip() == "Closed: nobody can read the pages here any more."
    assert ports.choose_port(port) == port


def test_ctrl_c_in_the_middle_of_an_answer():
    """It ends the serving, not the task that runs just then: that would leave halves behind, and warnings."""

    class Interrupted(page_server.PageServer):
        def answer(self, *heard):
            signal.raise_signal(signal.SIGINT)
            return super().answer(*heard)

    before = signal.signal(signal.SIGINT, signal.default_int_handler)
    try:
        with Interrupted(PAGES, "127.0.0.1", 0) as server, ThreadPoolExecutor(1) as phone:
            heard = phone.submit(ask, server, "/")
            server.serve_forever()
            heard.exception(timeout=10)  # answered or not, as it came
            assert not server.asking and not server.taking
        assert signal.getsignal(signal.SIGINT) is signal.default_int_handler
    except KeyboardInterrupt:
        pytest.fail("Ctrl-C ended the task")
    finally:
        signal.signal(signal.SIGINT, before)


class Codes(HTMLParser):
    """What the QR codes of a page say, and the addresses that it would load."""

    def __init__(self, text):
        super().__init__()
        self.codes, self.loads = [], []
        self.feed(text)

    def handle_starttag(self, tag, attrs):
        given = dict(attrs)
        if tag == "svg":
            self.codes.append(given["aria-label"])
        self.loads += [given[name] for name in ("src", "href") if name in given]


def test_poster():
    """A code for the site and for each page, the address in letters, nothing to load, ours by its mark."""
    site = "http://192.168.1.5:8080/"
    text = poster(site)
    found = Codes(text)
    names = ["", *(f"{name}.html" for name in pages.views())]
    assert found.codes == [f"QR code: {site}{name}" for name in names]
    assert found.loads == []
    assert pages.OURS in text and "default-src 'none'" in text and f">{site}<" in text
    assert all(re.search(rf"<p>{re.escape(view.title)}</p>", text) for view in pages.views().values())


def test_pages_that_cant_be_written(command, tmp_path, capsys):
    """One line with the mend, and nothing opens."""
    (tmp_path / "file").write_text("")
    assert command("--serve", "--folder", str(tmp_path / "file"), "--address", "127.0.0.1") == (2, [])
    assert "can't be written" in (said := capsys.readouterr().err) and "--folder" in said


def test_colours_only_where_they_are_understood(monkeypatch):
    """No escape sequence in a file, nor in an old Windows console."""
    monkeypatch.setattr(sys, "stdout", SimpleNamespace(isatty=lambda: True))
    assert pages_command.has_colours() or os.name == "nt"
    monkeypatch.setattr(pages_command.os, "name", "nt")
    monkeypatch.delenv("WT_SESSION", raising=False)
    assert not pages_command.has_colours()
    monkeypatch.setenv("WT_SESSION", "1")
    assert pages_command.has_colours()
    monkeypatch.setattr(sys, "stdout", SimpleNamespace(isatty=lambda: False))
    assert not pages_command.has_colours()
