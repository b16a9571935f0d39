"""The command `antlab pages`: the course, or your own antenna, as pages without a kernel; or serve them."""

import contextlib
import ipaddress
import multiprocessing
import os
import sys
import threading
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

from antlab.cli.sheet import first_argument, first_asked
from antlab.serve import ports
from antlab.trouble import Trouble, expanded, print_safely, typed, unwarned, writing

FIRST_PORT = 8080  # beside the lessons' own
DESK = "127.0.0.1"  # where the teacher's page is: no other machine gets there


def pages_arguments(parser):
    """Name what `pages` takes."""
    parser.add_argument("--folder", type=Path, default=Path("antlab-pages"), help="where to (%(default)s)")
    parser.add_argument(
        "--antenna", metavar="NAME.json",
        help="instead, one page for the lawn: your own antenna out of its file, with what to cut and to trim",
    )  # fmt: skip
    first_argument(parser, of="on that page, until the phone's owner chooses: ")
    parser.add_argument(
        "--lesson", metavar="NN", nargs="+", action="extend",
        help="of the lessons these alone, such as 07: quickly made (all of them take a minute or two)",
    )  # fmt: skip
    hall = parser.add_argument_group(
        "to a room",
        "Off unless you ask for it. The pages are written to the folder as usual, with a poster of their "
        "address. Until Ctrl-C every phone in the same network can read them, and nothing else. A page of "
        "yours, open on this machine alone, asks the room a lesson's guess by show of hands. It needs no "
        "internet.",
    )
    hall.add_argument("--serve", action="store_true", help="let this machine's network read the pages")
    hall.add_argument("--port", type=ports.port_number, help=f"to serve at (first free from {FIRST_PORT} on)")
    hall.add_argument("--address", metavar="IP", help="of this machine, if it is in more networks than one")
    hall.add_argument(
        "--class", type=Path, metavar="FOLDER", dest="class_folder",
        help="where to keep what the room answered, for antlab class (the pages' folder)",
    )  # fmt: skip


def run_pages(args, rest):
    """Write the pages; with --serve, let the room read them until Ctrl-C."""
    numbers = numbers_of(args.lesson)
    if not args.serve:
        if args.port or args.address or args.class_folder:
            raise Trouble("--port, --address and --class are for serving: add --serve, or leave them out.")
        if args.antenna:
            return _lawn(args)
        print_safely("Making the pages; all lessons take a minute or two …")
        paths = written(args.folder, numbers)
        print_safely(
            f"Wrote {_count(paths)} pages; open {paths[0]}, or copy the whole folder to a phone or a stick."
        )
        return 0
    return _to_a_room(args, numbers)


def _to_a_room(args, numbers):
    """Write the pages and let the room read them and answer, until Ctrl-C."""
    from antlab.serve.hands import held

    address, others = choose_address(args.address)
    port = ports.choose_port(args.port, address=address, first=FIRST_PORT)
    site, first = f"http://{address}:{port}/", first_asked(args)
    folder = expanded(args.class_folder or args.folder)
    with contextlib.ExitStack() as stack:
        with writing(folder, "--class" if args.class_folder else "--folder"):
            stack.enter_context(held(folder))
        print_safely("Making the pages; all lessons take a minute or two …")
        paths, lawn = apart(_written_with, args.folder, numbers, site, args.antenna, first)
        if lawn:
            print_safely(f"Your antenna: {site}{lawn}.html")
        room, desk_port = _room(folder, site, port)
        desk = f"http://{DESK}:{desk_port}{room.desk_path}"
        print_safely(announcement(site, others, count=_count(paths), poster=paths[-1], desk=desk))
        top = paths[0].parent
        served = ((path.relative_to(top).as_posix(), path.read_bytes()) for path in paths)
        return serve(served, address, port, room, desk_port)


def apart(make, *given):
    """What make(*given) returns, made in a process of its own that takes along the memory it needed."""
    fresh = multiprocessing.get_context("spawn")
    with ProcessPoolExecutor(1, mp_context=fresh) as worker:
        return worker.submit(make, *given).result()


def _written_with(folder, numbers, site, antenna, first):
    """Write the pages, with that of an antenna's file, or None; return their paths, and that page's name."""
    lawn = _antenna(antenna, first) if antenna else None
    return written(folder, numbers, site, lawn), next(iter(lawn), None) if lawn else None


def numbers_of(asked):
    """The lessons that were asked for by number, or all; Trouble for one that there is not."""
    from antlab.classroom.course import course, lessons

    known = [path.name[:2] for path in lessons(course())]
    numbers = sorted({number.zfill(2) for number in asked or known})
    if unknown := [number for number in numbers if number not in known]:
        raise Trouble(f"there is no lesson {unknown[0]}: name some of {', '.join(known)} with --lesson")
    return numbers


def _count(paths):
    """How many of the files are pages."""
    return sum(path.suffix == ".html" for path in paths)


def _room(folder, site, port):
    """The room that answers, with its pages, and the port of the teacher's."""
    from antlab.classroom.paper import hands
    from antlab.serve.hands import Room

    with writing(folder, "--class"):
        room = Room(folder, hands.guesses())
    door = f"{site.rstrip('/')}{room.door_path}"
    room.pages = {"door": hands.phone_page().encode(), "desk": hands.desk_page(door, room.guesses).encode()}
    first = port + 1 if port < 65000 else FIRST_PORT
    return room, ports.choose_port(address=DESK, first=first)


def _lawn(args):
    """Write the page of one antenna."""
    from antlab.antenna.antenna_file import read_antenna
    from antlab.classroom.paper.lawn import write_lawn_page

    first = first_asked(args)
    print_safely("Making the page; it takes some seconds …")
    with unwarned(), writing(args.folder):
        antenna = read_antenna(expanded(args.antenna))
        path = write_lawn_page(antenna, expanded(args.folder), first)
    print_safely(
        f"Wrote {path}: send it to your phone, or copy it there, and open it with the browser. It needs no "
        "network. What you log on the lawn comes home by "
        f"antlab trim {typed(str(args.antenna))} --from-phone FILE."
    )
    return 0


def _antenna(path, first):
    """The page of one antenna by its name, to stand among the others."""
    from antlab.antenna.antenna_file import read_antenna
    from antlab.classroom.paper.lawn import lawn_page, name_of

    with unwarned():
        antenna = read_antenna(expanded(path))
        return {name_of(antenna): lawn_page(antenna, first=first)}


def written(folder, numbers, site=None, lawn=None):
    """Write the pages, and the poster of a site; return their paths, the index first, the poster last.

    numbers: of the lessons. lawn: the page of an antenna, name -> HTML, or None.
    """
    from antlab.classroom.paper.lesson_pages import write_course
    from antlab.classroom.paper.poster import poster

    beside = (lawn or {}) | {"poster": poster(site)} if site else None
    with writing(folder):
        return write_course(expanded(folder), numbers, beside=beside, with_earlier=not site)


def choose_address(asked=None):
    """Return this machine's address to serve at, and its others; Trouble if there is none or not that."""
    from antlab.serve.page_server import own_addresses

    found = own_addresses()
    if asked == "127.0.0.1":
        return asked, found
    if not found:
        raise Trouble(
            "this machine is in no network: join the room's wireless network, or switch on a phone's hotspot "
            "and let this machine and the students join it (it needs no internet), and run this again."
        )
    if asked and asked not in found:
        raise Trouble(f"{asked} is no address of this machine: give --address {' or '.join(found)}")
    address = asked or found[0]
    return address, [other for other in found if other != address]


def announcement(site, others, *, count, poster, desk):
    """Say what is about to be opened, to whom, and how a phone gets there."""
    from antlab.classroom.paper import qr

    address = ipaddress.ip_address(site.split("/")[2].rpartition(":")[0])
    if address.is_loopback:
        who = "Only this machine itself"
    elif address.is_global:
        who = "Everybody on the internet (the address is a public one)"
    else:
        who = "Everybody in the same network"
    other = f"\nThis machine is in other networks too: add --address {' or '.join(others)}" if others else ""
    code = qr.text(site, encoding=sys.stdout.encoding or "ascii", colours=has_colours())
    return f"""\
This opens {count} pages at {site}
{who} can read them, and nothing else of this machine.
Nothing here can be changed through them, nothing goes to the internet, no visit is written down.{other}
To ask the room by show of hands open this page, on this machine alone, and tell nobody its address:
{desk}
Phones that scan the code there can answer: letters are counted, without names.
On a phone: join the network that this machine is in, then point the camera at the code, or type the address.
If nothing comes: allow Python in this machine's firewall, for private networks. A network for guests may keep
its devices apart; a phone's hotspot seldom does.

{code}

To project or to print: {poster}
Ctrl-C here closes it."""


def has_colours():
    """Tell whether the terminal takes colours; an old Windows console would show their codes."""
    return sys.stdout.isatty() and (os.name != "nt" or "WT_SESSION" in os.environ)


def serve(pages, address, port, room=None, desk_port=None):
    """Let the network read the pages, and answer in a room, until Ctrl-C; return the exit status."""
    from antlab.serve.page_server import PageServer

    try:
        # Ctrl-C ends serve_forever; what is suppressed came before it, or after
        with contextlib.suppress(KeyboardInterrupt), contextlib.ExitStack() as stack:
            if room:
                stack.callback(room.close)
                desk = stack.enter_context(PageServer({}, DESK, desk_port, ask=room.desk))
                stack.enter_context(_running(desk))
            server = stack.enter_context(PageServer(pages, address, port, ask=room and room.door))
            server.serve_forever()
    except OSError as error:
        raise Trouble(f"{address}:{port} can't be opened ({error.strerror}): choose another --port") from None
    print_safely("\nClosed: nobody can read the pages here any more.")
    return 0


@contextlib.contextmanager
def _running(server):
    """Have a server answer in a thread of its own, until the end."""
    thread = threading.Thread(target=server.serve_forever)
    thread.start()
    try:
        yield
    finally:
        server.shutdown()
        thread.join()
