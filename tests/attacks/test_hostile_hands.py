"""What one phone in the room, or a program on it, can do to a show of hands."""

import json
import time

import pytest
from hypothesis import given
from hypothesis import strategies as st

from antlab.classroom.guess.question import Guess
from antlab.classroom.paper.hands import guesses, phone_page
from antlab.serve import hands
from antlab.serve.hands import Pace, Room
from antlab.serve.page_server import PageServer
from tests.letters import LETTERS

WORDS = {"A": "one", "B": "two"}
WHO = "a-phone-of-somebody"


def opened(folder):
    """A room with an open question, which is never served at once to so many as here."""
    room = Room(folder, {"00": Guess("00", "?", WORDS, "B", WORDS)})
    room.pages = {"door": b"the phone's", "desk": b"the teacher's"}
    room.desk("POST", f"{room.desk_path}/do", "what=choose&lesson=00", "")
    room.desk("POST", f"{room.desk_path}/do", "what=open", "")
    return room


def thinking(room):
    """A server that only thinks."""
    return PageServer({"index.html": b"all pages"}, "127.0.0.1", 0, ask=room.door)


@pytest.fixture(scope="module")
def room(tmp_path_factory):
    """The room of the tests that leave it as it is."""
    return opened(tmp_path_factory.mktemp("room"))


@pytest.fixture(scope="module")
def server(room):
    """Its server."""
    with thinking(room) as server:
        yield server


def status(server, method, target, fields=b""):
    """What is answered to a request, a number."""
    head = f"{method} {target} HTTP/1.1\r\nHost: a\r\n".encode()
    return int(server.answer(head + fields + b"\r\n", "10.0.0.9")[0].split()[1])


@pytest.fixture(autouse=True)
def patience(room):
    """Each test begins unhurried."""
    room.pace = Pace()


@pytest.mark.parametrize(
    ("method", "last", "answer"),
    [
        ("GET", "", 200), ("HEAD", "", 200), ("POST", "", 405), ("PUT", "", 405), ("DELETE", "/hand", 405),
        ("GET", f"/hand?who={WHO}&round=0.1&letter=A", 405), ("POST", f"/now?who={WHO}", 405),
        ("GET", f"/now?who={WHO}", 200), ("GET", "/now", 400), ("GET", "/now?who=short", 400),
        ("GET", f"/now?who={WHO}{60 * 'x'}", 400), ("GET", f"/now?who={WHO}%0d%0aX:1", 400),
        ("GET", f"/now?who={WHO}&self=1", 400), ("GET", f"/now?who={WHO}&room=1", 400),
        ("GET", "/now?" + "&".join(f"a{i}=1" for i in range(50)), 400),
        ("POST", f"/hand?who={WHO}&round=0.1&letter=C", 400),
        ("POST", f"/hand?who={WHO}&round=0.1&letter=AB", 400),
        ("POST", f"/hand?who={WHO}&round=0.1", 400), ("POST", f"/hand?who={WHO}&round=0.2&letter=A", 409),
        ("POST", f"/hand?who={WHO}&round=-1.1&letter=A", 409), ("POST", "/do?what=close", 405),
        ("GET", "/../desk", 404), ("GET", "/now/now", 404),
    ],
)  # fmt: skip
def test_only_what_a_phone_may_ask(room, server, method, last, answer):
    """Protects the room: a phone may look and answer, in one way each; the rest is refused."""
    before = room.asked[0].counts()
    assert status(server, method, room.door_path + last) == answer
    assert room.asked[0].counts() == before


def test_the_room_can_t_be_guessed(room, server):
    """Protects the room from who is in the network, not in the room: 49 bits, and 100 tries a second."""
    assert len(hands.LETTERS) ** hands.LONG > 2**49
    assert status(server, "GET", f"/room/{room.secret[:-1]}") == status(server, "GET", "/room/") == 404
    refused = [status(server, "GET", f"/room/{i:010}") for i in range(600)].count(429)
    assert refused > 100 and status(server, "GET", "/") == 200, "who guesses still has the pages"


def test_an_address_has_its_pace():
    """So many at once, so many a second, each address by itself; those that come and go fill no memory."""
    pace = Pace(at_once=3, a_second=2)
    assert [pace.allows("a", 0.0) for _ in range(5)] == [True, True, True, False, False]
    assert pace.allows("b", 0.0) and [pace.allows("a", 1.0) for _ in range(3)] == [True, True, False]
    assert [pace.allows("a", 100.0) for _ in range(4)] == [True, True, True, False], (
        "silence saves up no more"
    )
    for i in range(3 * hands.ADDRESSES):
        pace.allows(str(i), 100.0)
    assert len(pace.left) == hands.ADDRESSES


def test_a_phone_that_makes_up_phones(tmp_path):
    """Protects memory and disk: a round has room for 300 hands; who is in it may still change."""
    room = opened(tmp_path)
    room.pace = Pace(at_once=10_000)
    room.asked[0].rounds[0] |= {f"{i:016x}": "A" for i in range(hands.MOST_HANDS - 1)}
    target = f"{room.door_path}/hand?who={WHO}{{}}&round=0.1&letter=A"
    with thinking(room) as server:
        assert [status(server, "POST", target.format(i)) for i in range(3)] == [200, 429, 429]
        assert status(server, "POST", target.format(0)[:-1] + "B") == 200
        assert room.asked[0].counts()[0] == {"A": hands.MOST_HANDS - 1, "B": 1}
        for i in range(2 * hands.MOST_HANDS):
            status(server, "GET", f"{room.door_path}/now?who={WHO}{i}")
    assert len(room.here) <= hands.MOST_HANDS
    assert (room.folder / hands.STATE).stat().st_size < 50_000


@given(st.text(LETTERS, max_size=60), st.sampled_from(["GET", "POST", "HEAD", "PUT"]))
def test_no_words_break_it(room, query, method):
    """Protects against what nobody thought of: any question has an answer, and none tells the desk."""
    room.pace = Pace()
    for last in ("", "/now", "/hand"):
        code, body, _ = room.door(method, room.door_path + last, query, "10.0.0.9")
        assert code in (200, 400, 405, 409) and room.token.encode() not in body


def test_a_request_with_a_body(server, room):
    """Protects who sits behind a proxy: no body is read, chunks are refused."""
    target = f"{room.door_path}/now?who={WHO}"
    assert status(server, "GET", target, b"Transfer-Encoding: chunked\r\n") == 501
    assert status(server, "GET", target, b"Content-Length: 5\r\nContent-Length: 6\r\n") == 400


def test_an_answer_costs_little(room):
    """Protects the lesson: 60 phones that look every two seconds take a twentieth of a processor at most."""
    room.pace = Pace(at_once=10_000)
    began = time.process_time()
    for i in range(300):
        room.door("GET", f"{room.door_path}/now", f"who=a-phone-in-the-room-{i % 60:02}", "10.0.0.9")
    assert (time.process_time() - began) / 300 * 30 < 0.05


def test_the_phone_s_page_knows_nothing():
    """Protects the guess: the page has neither question nor answer, and lets nothing in from elsewhere."""
    page = phone_page()
    assert "default-src 'none'" in page and "innerHTML" not in page and "://" not in page
    for one in guesses().values():
        assert not [words for words in (*one.options.values(), *one.sentences.values()) if words in page]
        assert one.question not in page and json.dumps(one.title) not in page
