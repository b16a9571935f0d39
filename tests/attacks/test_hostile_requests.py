"""What one phone in the room, or a program on it, can do to the pages that are served to all.

All of it stays on 127.0.0.1, some thousands of connections in some seconds.
"""

import contextlib
import socket
import subprocess
import sys
import threading
import time
from concurrent.futures import ThreadPoolExecutor

import psutil
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from antlab.files import ROOT
from antlab.serve import page_server

PAGES = {"index.html": b"all pages", "wide.html": bytes(range(256)) * 20_000}
GET = b"GET / HTTP/1.1\r\nHost: a\r\n\r\n"
FLOOD = 2000


@pytest.fixture
def server():
    """The pages, with little patience."""
    with page_server.PageServer(PAGES, "127.0.0.1", 0, ask_s=0.8, take_s=1.2) as server:
        thread = threading.Thread(target=server.serve_forever)
        thread.start()
        yield server
        server.shutdown()
        thread.join()


def call(port):
    """A new connection."""
    return socket.create_connection(("127.0.0.1", port), timeout=10)


def hear(connection):
    """All that still comes, until the other end closes or breaks off."""
    heard = b""
    with contextlib.suppress(ConnectionError):
        while more := connection.recv(65536):
            heard += more
    return heard


def say(port, words):
    """What is answered to these bytes; they may not all be taken."""
    with call(port) as connection:
        with contextlib.suppress(ConnectionError):
            connection.sendall(words)
        return hear(connection)


def status(heard):
    """The number in an answer, of which there is one."""
    assert heard.count(b"HTTP/1.") == 1, heard[:200]
    return int(heard.split()[1])


def served_well(port):
    """A phone that asks in earnest gets its page; return after how many seconds."""
    began = time.monotonic()
    assert say(port, GET).endswith(b"\r\n\r\nall pages")
    return time.monotonic() - began


def wait_until(true, seconds=5):
    """Fail unless it comes true."""
    until = time.monotonic() + seconds
    while not true():
        assert time.monotonic() < until
        time.sleep(0.02)


@pytest.mark.parametrize("begin", [b"GET /", b"GET / HTTP/1.1\r\nHost: a\r\nX: "])
def test_who_drips_is_ended(server, begin):
    """Protects the room's places: a letter now and then kept a connection, and a thread with it, for ever."""
    with call(server.server_port) as slow:
        slow.sendall(begin)
        began = time.monotonic()
        with contextlib.suppress(ConnectionError):
            while time.monotonic() - began < 20 and not readable(slow):
                slow.sendall(b"a")
                time.sleep(0.05)
        assert 0.5 < time.monotonic() - began < 15, "it is given less than a second; a busy machine is late"
    assert served_well(server.server_port) < 2


def readable(connection):
    """Whether the other end said something, or closed."""
    connection.setblocking(False)
    try:
        return connection.recv(1) == b""
    except BlockingIOError:
        return False
    finally:
        connection.settimeout(10)


def test_who_does_not_listen_is_ended(server):
    """Protects memory and places: a page that is asked for, and taken by the spoonful, is let go of."""
    slow = [call(server.server_port) for _ in range(20)]
    for connection in slow:
        connection.sendall(GET.replace(b"/ ", b"/wide.html "))
    wait_until(lambda: len(server.taking) == 20)
    assert served_well(server.server_port) < 2
    began = time.monotonic()
    while server.taking and time.monotonic() - began < 5:
        for connection in slow:
            connection.recv(1024)
        time.sleep(0.05)
    assert not server.taking
    for connection in slow:
        assert len(hear(connection)) < len(PAGES["wide.html"])
        connection.close()


def test_the_oldest_goes(server):
    """Protects the newcomer: whoever came first and says nothing makes room, in order, and nobody else."""
    server.most, server.ask_s = 3, 30
    silent = []
    for _ in range(5):
        silent.append(call(server.server_port))
        wait_until(lambda: len(server.asking) == min(len(silent), 3))
    wait_until(lambda: readable(silent[0]) and readable(silent[1]))
    assert not any(map(readable, silent[2:]))
    silent[4].sendall(GET)
    assert status(hear(silent[4])) == 200
    for connection in silent:
        connection.close()


PROGRAM = """
import sys
from antlab.serve.page_server import PageServer
if sys.argv[1:]:
    import resource
    resource.setrlimit(resource.RLIMIT_NOFILE, (int(sys.argv[1]),) * 2)
with PageServer({"index.html": b"all pages"}, "127.0.0.1", 0) as server:
    print(server.server_port, flush=True)
    server.serve_forever()
"""


@pytest.mark.parametrize("files", [None, 128])
def test_a_flood_that_says_nothing(files):
    """Protects the lesson: with 2,000 open connections a phone is still answered, in little memory.

    So it is where the system allows few files: then accept fails, and must neither end the server nor spin.
    """
    resource = pytest.importorskip("resource")
    page_server.allow_files(FLOOD + 200)
    if resource.getrlimit(resource.RLIMIT_NOFILE)[0] < FLOOD + 200:
        pytest.skip("this system lets nobody open so many files")
    command = [sys.executable, "-c", PROGRAM, *([str(files)] if files else [])]
    pipes = {"stdout": subprocess.PIPE, "stderr": subprocess.PIPE}
    with subprocess.Popen(command, cwd=ROOT, text=True, **pipes) as child:
        silent = []
        try:
            port, program = int(child.stdout.readline()), psutil.Process(child.pid)
            served_well(port)
            before = program.memory_info().rss
            silent += [call(port) for _ in range(FLOOD)]
            assert sorted(served_well(port) for _ in range(5))[2] < 1
            assert program.memory_info().rss - before < 30e6
            assert program.num_fds() <= (files or 1100)
            worked = sum(program.cpu_times()[:2])
            time.sleep(0.5)
            assert sum(program.cpu_times()[:2]) - worked < 0.3
            assert served_well(port) < 2
        finally:
            child.kill()
            for connection in silent:
                connection.close()
            assert child.stderr.read() == ""


@pytest.mark.parametrize(
    ("words", "answer"),
    [
        (b"GET / HTTP/1.1\r\nHost: a\r\nX: " + 3_000_000 * b"a", 431),
        (b"GET / HTTP/1.1\r\nHost: a\r\n" + 300_000 * b"X: a\r\n", 431),
        (b"GET /" + 10_000 * b"a" + b" HTTP/1.1\r\nHost: a\r\n\r\n", 414),
        (b"A" * 1_000_000, 414),
    ],
    ids=["megabytes", "endless lines", "long address", "one long word"],
)
def test_too_much(server, words, answer):
    """Protects memory: of what is said before the empty line, eight thousand bytes are let in."""
    assert status(server.answer(words[: page_server.MOST_BYTES])[0]) == answer
    heard = say(server.server_port, words)
    assert not heard or status(heard) == answer  # nothing, where the rest came too late and reset the line
    assert served_well(server.server_port) < 2


HIDDEN = b"GET /wide.html HTTP/1.1\r\nHost: a\r\n\r\n"


@pytest.mark.parametrize(
    ("fields", "answer"),
    [
        (b"Content-Length: 5\r\nTransfer-Encoding: chunked\r\n\r\n0\r\n\r\n", 501),
        (b"Transfer-Encoding: chunked\r\n\r\n0\r\n\r\n", 501),
        (b"Transfer-Encoding: chunked\r\nTransfer-Encoding: identity\r\n\r\n", 400),
        (b"Transfer-Encoding : chunked\r\n\r\n0\r\n\r\n", 400),
        (b"Content-Length: 0\r\nContent-Length: 40\r\n\r\n", 400),
        (b"Host: b\r\n\r\n", 400),
        (b"X: a\r\n folded\r\n\r\n", 400),
        (b"X: a\nTransfer-Encoding: chunked\r\n\r\n", 400),
        (b"X: a\x00b\r\n\r\n", 400),
        (b"\r\n", 200),
        (b"Connection: keep-alive\r\n\r\n", 200),
        (b"Content-Length: 36\r\n\r\n", 200),
    ],
)
def test_one_connection_one_answer(server, fields, answer):
    """Protects whoever sits behind a proxy: no second request can hide in or behind a first one."""
    heard = say(server.server_port, b"GET / HTTP/1.1\r\nHost: a\r\n" + fields + HIDDEN)
    assert status(heard) == answer and b"Connection: close" in heard


@pytest.mark.parametrize(
    ("target", "answer"),
    [
        (b"/../pyproject.toml", 404), (b"/%2e%2e/pyproject.toml", 404), (b"/..%5cpyproject.toml", 404),
        (b"//127.0.0.1/index.html", 404), (b"http://127.0.0.1/index.html", 404), (b"file:///etc/passwd", 404),
        (b"/%00", 404), (b"/index.html%00.txt", 404), (b"/index.html#x", 404), (b"*", 404), (b"?", 404),
        (b"/index.html\x00", 400), (b"/\xc3\xa9", 400), (b"/a b", 400), (b"/\x0bindex.html", 400), (b"", 400),
    ],
)  # fmt: skip
def test_no_way_out(server, target, answer):
    """Protects the machine's files: what is not a page's exact name is not there."""
    heard = say(server.server_port, b"GET " + target + b" HTTP/1.1\r\nHost: a\r\n\r\n")
    assert status(heard) == answer
    assert b"passwd" not in heard and b"toml" not in heard and b"all pages" not in heard


@pytest.mark.parametrize(
    ("words", "answer"),
    [
        (b"get / HTTP/1.1\r\nHost: a\r\n\r\n", 400),
        (b"TRACE / HTTP/1.1\r\nHost: a\r\n\r\n", 501),
        (b"CONNECT 127.0.0.1:22 HTTP/1.1\r\nHost: a\r\n\r\n", 501),
        (b"M-SEARCH * HTTP/1.1\r\nHost: a\r\n\r\n", 501),
        (b"PRI * HTTP/2.0\r\n\r\nSM\r\n\r\n", 505),
        (b"GET / HTTP/1.1\r\n\r\n", 400),
        (b"GET /\r\n\r\n", 400),
        (b"GET / HTTP/1.1 \r\nHost: a\r\n\r\n", 400),
        (b"GET  / HTTP/1.1\r\nHost: a\r\n\r\n", 400),
        (b"\r\n\r\n", 400),
        (b"\x16\x03\x01\x02\x00\x01\x00\x01\xfc\x03\x03" + 200 * b"\x5a", 400),
        (b"\x00\xff\xfe", 400),
    ],
)
def test_strange_words(server, words, answer):
    """Protects the phone that tries https first, too: no patience is spent on what can't become a request."""
    server.ask_s = 30
    began = time.monotonic()
    assert status(say(server.server_port, words)) == answer
    assert time.monotonic() - began < 5


def test_a_refusal_arrives(server):
    """Protects whoever sends where nothing can be sent: the answer is not lost behind what nobody reads."""
    words = b"POST / HTTP/1.1\r\nHost: a\r\nContent-Length: 60000\r\n\r\n" + 60_000 * b"a"
    with call(server.server_port) as connection:
        connection.sendall(words)
        connection.shutdown(socket.SHUT_WR)
        assert status(hear(connection)) == 405


def test_half_closed(server):
    """Protects an old phone that closes its half after asking; one that leaves in the middle is forgotten."""
    for words, pages in ((GET, 1), (GET[:-2], 0), (b"", 0)):
        with call(server.server_port) as connection:
            connection.sendall(words)
            connection.shutdown(socket.SHUT_WR)
            assert hear(connection).count(b"all pages") == pages
    wait_until(lambda: not server.asking and not server.taking)


def test_many_that_slam_the_door(server, capfd):
    """Protects the process: hundreds of resets, before and after asking, leave nothing open or said."""
    files = getattr(psutil.Process(), "num_fds", lambda: 0)
    before = files()
    for k in range(400):
        with call(server.server_port) as connection:
            connection.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, b"\1\0\0\0\0\0\0\0")
            if k % 2:
                connection.sendall(GET.replace(b"/ ", b"/wide.html "))
    assert served_well(server.server_port) < 2
    wait_until(lambda: not server.asking and not server.taking)
    assert files() <= before
    assert capfd.readouterr() == ("", "")


def test_many_quick_requests(server):
    """Protects a class that is quick: 1,000 requests by 20 at once, each answered, nothing left open."""
    with ThreadPoolExecutor(20) as phones:
        assert all(phones.map(lambda _: served_well(server.server_port) < 5, range(1000)))
    wait_until(lambda: not server.asking and not server.taking)


@pytest.fixture(scope="module")
def deaf():
    """A server that only thinks."""
    with page_server.PageServer(PAGES, "127.0.0.1", 0) as server:
        yield server


PIECES = [b"GET", b"POST", b" ", b"/", b"..", b"HTTP/1.1", b"HTTP/1.0", b"\r\n", b"\n", b"\x00", b"Host: a",
          b"Content-Length: 1", b":", b"index.html", b"\r\n\r\n", b"gzip"]  # fmt: skip
FOR_PAGES = (b"GET / ", b"GET /index.html ", b"GET /?", b"GET /index.html?")


@given(st.one_of(st.binary(max_size=300), st.lists(st.sampled_from(PIECES), max_size=20).map(b"".join)))
@example(GET)
@example(b"GET /index.html?x HTTP/1.0\r\n\r\n")
def test_no_words_break_it(deaf, words):
    """Protects against what nobody thought of: any bytes have an answer, and only a plain one is a page."""
    head, body = deaf.answer(words)
    code = status(head)
    assert code in {200, 400, 404, 405, 501, 505}
    assert (code == 200) == (body == PAGES["index.html"])
    assert code != 200 or words.startswith(FOR_PAGES)
