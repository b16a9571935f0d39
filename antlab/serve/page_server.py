"""A few pages, served to read: from memory, so that nothing else of this machine can be reached.

A connection has one request, which must come whole within seconds, and its answer must be taken within a
minute: who drips, keeps silent or does not listen is ended, and holds up nobody else.
"""

import asyncio
import contextlib
import errno
import gzip
import ipaddress
import re
import signal
import socket
import threading
from email.utils import formatdate
from functools import lru_cache
from http import HTTPStatus

HEADERS = {
    "Server": "antlab",  # no version that somebody could look up a weakness of
    "Connection": "close",
    "Content-Type": "text/html; charset=utf-8",
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Referrer-Policy": "no-referrer",
    "Cache-Control": "max-age=300",  # a student who walks to and fro asks once; new pages show soon
    "Vary": "Accept-Encoding",
}
NOT_HERE = b'<!doctype html><title>Not here</title><p>There is no such page. <a href="/">All pages</a></p>'
TO_READ = b"These pages are to read."

END, MOST_BYTES = b"\r\n\r\n", 8192  # of a request: browsers send about 500 bytes
SCRIPT = {"Content-Type": "text/javascript; charset=utf-8"}
CAPITALS = b"ABCDEFGHIJKLMNOPQRSTUVWXYZ"  # every request begins with one, no TLS does
REQUEST = re.compile(rb"([A-Z][!-~]*) ([!-~]+) HTTP/([0-9]\.[0-9])")  # RFC 9112, section 3
FIELD = re.compile(rb"([!#$%&'*+.^_`|~0-9A-Za-z-]+):([\t -~\x80-\xff]*)")  # the same, section 5
ONCE = [b"host", b"content-length", b"transfer-encoding"]  # given twice, two readers may read them two ways
CHANGES = [b"POST", b"PUT", b"PATCH", b"DELETE", b"OPTIONS"]  # known, and refused

PACKED, FEW = 6, 8  # how hard, of 9, since films are packed already; pages kept unpacked for who asks again
SEND_BUFFER = 1 << 17  # bytes of a page that the system keeps for a slow reader; of itself it takes megabytes
FULL = {errno.EMFILE, errno.ENFILE}  # no file is left to open


class PageServer:
    """Serves pages of HTML and scripts (.js) at one address and port; "index.html" at / too.

    It listens from the start and answers while serve_forever runs. It writes nothing down.
    """

    def __init__(self, pages, address, port, *, ask=None, ask_s=10, take_s=60, most=1000):
        """Take the pages as they are now, names and bytes; OSError if the port can't be had.

        pages: name -> bytes, or pairs of these. They are kept packed, as nearly every browser takes them.
        ask: who may answer before the pages do: ask(method, path, query, address) returns (status, body,
        headers), or None. No body is read, and what changes something is done in a thread: it may wait for
        the disk. ask_s, take_s: seconds for a whole request to come, and for its answer to be taken. most:
        connections held at once; one more ends the oldest. They are not counted by address: a class may
        share one.
        """
        pairs = pages.items() if isinstance(pages, dict) else pages
        self.pages = {f"/{name}".encode(): gzip.compress(text, PACKED) for name, text in pairs}
        self.unpacked = lru_cache(FEW)(gzip.decompress)
        if b"/index.html" in self.pages:
            self.pages[b"/"] = self.pages[b"/index.html"]
        self.ask, self.ask_s, self.take_s, self.most = ask, ask_s, take_s, most
        self.asking, self.taking = {}, {}  # task -> connection, the oldest first
        self.socket = socket.create_server((address, port), backlog=1024)  # all come at once
        self.socket.setsockopt(socket.SOL_SOCKET, socket.SO_SNDBUF, SEND_BUFFER)  # inherited by connections
        self.socket.setblocking(False)
        self.server_port = self.socket.getsockname()[1]
        self.loop, self.over = asyncio.SelectorEventLoop(), asyncio.Event()

    def __enter__(self):
        return self

    def __exit__(self, *error):
        self.server_close()

    def server_close(self):
        """Give the port back; serve_forever has ended."""
        self.socket.close()
        self.loop.close()

    def serve_forever(self):
        """Answer until shutdown, or Ctrl-C."""
        allow_files(self.most + 100)
        with on_interrupt(self.shutdown):
            self.loop.run_until_complete(self._serve())

    def shutdown(self):
        """Let serve_forever come to its end; from any thread."""
        self.loop.call_soon_threadsafe(self.over.set)

    async def _serve(self):
        """Keep the door until it is over, then see everybody out."""
        door = self.loop.create_task(self._open_door())
        await self.over.wait()
        tasks = [door, *self.asking, *self.taking]
        for task in tasks:
            task.cancel()
        await asyncio.gather(*tasks, return_exceptions=True)
        await self.loop.shutdown_default_executor()  # what a phone was about to change is whole

    async def _open_door(self):
        """Take each connection that comes; where there is no room, the oldest goes."""
        while True:
            try:
                connection, (address, *_) = self.socket.accept()
                connection.setblocking(False)
            except BlockingIOError:
                await self._knock()
                continue
            except ConnectionError:
                continue  # it left before it was taken
            except OSError as error:
                if error.errno not in FULL or not await self._make_room():
                    await asyncio.sleep(0.1)
                continue
            visit = self.loop.create_task(self._visit(connection, address))
            self.asking[visit] = connection
            visit.add_done_callback(self._end)
            if len(self.asking) + len(self.taking) > self.most:
                await self._make_room()
            await asyncio.sleep(0)  # a crowd at the door keeps nobody inside waiting

    async def _knock(self):
        """Wait until somebody is at the door. (sock_accept loses whoever comes as it is told to stop.)"""
        there = self.loop.create_future()
        self.loop.add_reader(self.socket, lambda: there.done() or there.set_result(None))
        try:
            await there
        finally:
            self.loop.remove_reader(self.socket)

    async def _make_room(self):
        """End the oldest of those that ask or of those that take, whichever are more; return None if none."""
        oldest = next(iter(max(self.asking, self.taking, key=len)), None)
        if oldest:
            oldest.cancel()
            await asyncio.wait([oldest])
        return oldest

    def _end(self, visit):
        """Close the connection of a visit that is over."""
        (self.asking if visit in self.asking else self.taking).pop(visit).close()

    async def _visit(self, connection, address):
        """Hear one request and answer it."""
        visit = asyncio.current_task()
        with contextlib.suppress(OSError):  # a phone that went away, or took too long, is no news
            async with asyncio.timeout(self.ask_s):
                heard = await self._hear(connection)
            self.taking[visit] = self.asking.pop(visit)
            async with asyncio.timeout(self.take_s):
                if self.ask and heard.startswith(b"POST"):
                    said = await asyncio.to_thread(self.answer, heard, address)
                else:
                    said = self.answer(heard, address)
                for part in said:
                    await self.loop.sock_sendall(connection, part)
                connection.shutdown(socket.SHUT_WR)
                for _ in range(16):  # what came and was not read would reset the connection: no answer
                    if not await self.loop.sock_recv(connection, MOST_BYTES):
                        break

    async def _hear(self, connection):
        """Return a request with its empty line, or as far as it could be one; OSError if it broke off."""
        heard = b""
        while END not in heard and len(heard) < MOST_BYTES and heard[:1] in CAPITALS:
            more = await self.loop.sock_recv(connection, MOST_BYTES - len(heard))
            if not more:
                raise ConnectionAbortedError
            heard += more
        return heard

    def answer(self, heard, address=""):
        """Return what is said to a request, head and body: a page by its exact name, or a refusal."""
        header, end, _ = heard.partition(END)
        line, *lines = header.split(b"\r\n")
        asked, fields = REQUEST.fullmatch(line), [FIELD.fullmatch(line) for line in lines]
        if not end and len(heard) == MOST_BYTES:
            return reply(431 if lines else 414)
        if not (end and asked and all(fields)):
            return reply(400)
        method, target, version = asked.groups()
        names = [field[1].lower() for field in fields]
        if any(names.count(name) > 1 for name in ONCE) or (version == b"1.1" and b"host" not in names):
            return reply(400)
        if version[:1] != b"1":
            return reply(505)
        path, _, query = target.partition(b"?")
        asks = self.ask and b"transfer-encoding" not in names
        if asks and (said := self.ask(method.decode(), path.decode(), query.decode(), address)):
            status, body, more = said
            return reply(status, body, method != b"HEAD", **more)
        if method in CHANGES:
            return reply(405, Allow="GET, HEAD")
        if method not in (b"GET", b"HEAD") or b"transfer-encoding" in names:
            return reply(501)
        packed = self.pages.get(path)
        kind = SCRIPT if path.endswith(b".js") else {}
        whole = method == b"GET"
        if packed is None:
            return reply(404, NOT_HERE, whole)
        if any(f[1].lower() == b"accept-encoding" and b"gzip" in f[2] for f in fields):
            return reply(200, packed, whole, **kind, **{"Content-Encoding": "gzip"})
        return reply(200, self.unpacked(packed), whole, **kind)


def reply(status, body=TO_READ, whole=True, **headers):
    """Return the head of an answer, and its body if it is to be sent whole."""
    sized = {"Date": formatdate(usegmt=True), "Content-Length": len(body)}
    lines = [f"{name}: {value}\r\n" for name, value in (HEADERS | sized | headers).items()]
    head = f"HTTP/1.1 {status} {HTTPStatus(status).phrase}\r\n{''.join(lines)}\r\n"
    return head.encode(), body if whole else b""


@contextlib.contextmanager
def on_interrupt(act):
    """Let Ctrl-C call act: the KeyboardInterrupt that it raises else ends a task anywhere in its middle."""
    heard_here = threading.current_thread() is threading.main_thread()
    if not heard_here or signal.getsignal(signal.SIGINT) is not signal.default_int_handler:
        yield
        return
    signal.signal(signal.SIGINT, lambda *_: act())
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, signal.default_int_handler)


def allow_files(count):
    """Let this process have that many files open, as far as the system lets it: macOS begins with 256."""
    with contextlib.suppress(ImportError, OSError, ValueError):  # Windows has no such limit
        import resource

        soft, hard = resource.getrlimit(resource.RLIMIT_NOFILE)
        if soft != resource.RLIM_INFINITY and soft < count:
            wanted = count if hard == resource.RLIM_INFINITY else min(count, hard)
            resource.setrlimit(resource.RLIMIT_NOFILE, (wanted, hard))


def own_addresses():
    """List this machine's IPv4 addresses in its networks, the likeliest for other devices first.

    Nothing is sent: connecting a datagram socket only looks up which address the system would use.
    """
    import psutil

    stats, found = psutil.net_if_stats(), {}
    for card, entries in psutil.net_if_addrs().items():
        if card in stats and stats[card].isup:
            tunnel = "pointopoint" in stats[card].flags
            found |= {entry.address: tunnel for entry in entries if entry.family == socket.AF_INET}
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("198.51.100.1", 9))  # an address for documentation, RFC 5737
            outward = probe.getsockname()[0]
        except OSError:
            outward = None  # in no network, or in one that leads nowhere

    def unlikely(address):
        return found[address], ipaddress.ip_address(address).is_link_local, address != outward

    return sorted((a for a in found if not ipaddress.ip_address(a).is_loopback), key=unlikely)
