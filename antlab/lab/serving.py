"""A few pages, served to read: from memory, so that nothing else of this machine can be reached."""

import gzip
import ipaddress
import os
import socket
import socketserver
import sys
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer

HEADERS = {
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Referrer-Policy": "no-referrer",
    "Cache-Control": "max-age=300",  # a student who walks to and fro asks once; new pages show soon
    "Vary": "Accept-Encoding",
}
NOT_HERE = b'<!doctype html><title>Not here</title><p>There is no such page. <a href="/">All pages</a></p>'


class PageServer(ThreadingHTTPServer):
    """Serves pages of HTML, name -> bytes, at one address and port; "index.html" at / too.

    It listens from the start and answers while serve_forever runs. It writes nothing down.
    """

    allow_reuse_address = os.name != "nt"  # there it would let two programs have one port
    request_queue_size = 128  # a class that opens the page at once

    def __init__(self, pages, address, port):
        """Take the pages as they are now; OSError if the port can't be had."""
        self.pages = {f"/{name}": (content, gzip.compress(content)) for name, content in pages.items()}
        if "index.html" in pages:
            self.pages["/"] = self.pages["/index.html"]
        super().__init__((address, port), Reader)

    def server_bind(self):
        """Take the port without asking the network for this machine's name, as HTTPServer would."""
        socketserver.TCPServer.server_bind(self)
        self.server_name, self.server_port = self.server_address[:2]

    def handle_error(self, request, client_address):
        """A phone that went away is no news."""
        if not isinstance(sys.exception(), OSError):
            super().handle_error(request, client_address)


class Reader(BaseHTTPRequestHandler):
    """Answers one request: a page by its exact name, or a refusal."""

    timeout = 15  # seconds for each part of a request to come

    def do_GET(self):
        """Send a page."""
        content, packed = self.server.pages.get(self.path.split("?")[0], (None, None))
        if content is None:
            self._send(404, NOT_HERE)
        elif "gzip" in self.headers.get("Accept-Encoding", ""):
            self._send(200, packed, {"Content-Encoding": "gzip"})
        else:
            self._send(200, content)

    do_HEAD = do_GET

    def refuse(self):
        """Nothing can be sent, changed or deleted here."""
        self._send(405, b"These pages are to read.", {"Allow": "GET, HEAD"})

    do_POST = do_PUT = do_PATCH = do_DELETE = do_OPTIONS = refuse

    def _send(self, status, content, headers=None):
        self.connection.settimeout(120)  # for the whole page, on the slowest phone
        self.send_response(status)
        kind = {"Content-Type": "text/html; charset=utf-8", "Content-Length": str(len(content))}
        for name, value in (kind | (headers or {})).items():
            self.send_header(name, value)
        self.end_headers()
        if self.command != "HEAD":
            self.wfile.write(content)

    def end_headers(self):
        """Close the headers with those that every answer has."""
        for name, value in HEADERS.items():
            self.send_header(name, value)
        super().end_headers()

    def version_string(self):
        """Name no version that somebody could look up a weakness of."""
        return "antlab"

    def log_message(self, *words):
        """Say nothing: nobody's visit is written down."""


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
