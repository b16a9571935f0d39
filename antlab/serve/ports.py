"""Which port of this machine the lessons or pages are served at."""

import argparse
import errno
import os
import socket

from antlab.trouble import Trouble

FIRST_PORT = 8888


def port_number(text):
    """Read a port from the command line."""
    if not text.isdecimal() or not 1 <= int(text) <= 65535:
        raise argparse.ArgumentTypeError(f"{text} is no port: give a number from 1024 to 65535")
    return int(text)


def choose_port(asked=None, *, address="127.0.0.1", first=None):
    """Return the port asked for, else the first free one from 8888 on; raise Trouble when there is none.

    address: of this machine, where the port is to be free; first: where the search begins in place of 8888.
    """
    first = first or FIRST_PORT
    for port in [asked] if asked else range(first, first + 100):
        with socket.socket(socket.AF_INET, socket.SOCK_STREAM) as probe:
            if os.name != "nt":  # as the server does: a port just left is free again
                probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            try:
                probe.bind((address, port))
            except OSError as error:
                taken = error.errno == errno.EADDRINUSE
            else:
                return port
    if asked:
        why = "is taken by another program" if taken else "may not be used on this machine"
        raise Trouble(f"port {asked} {why}: choose another with --port, or leave --port out.")
    raise Trouble(f"ports {first} to {port} are all taken: choose another with --port.")
