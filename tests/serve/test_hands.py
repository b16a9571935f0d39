"""Show of hands: nothing counted twice, nothing lost, and nobody told the right letter too soon."""

import http.client
import json
import subprocess
import sys
import threading
import time
from concurrent.futures import ThreadPoolExecutor
from urllib.parse import urlencode

import pytest

from antlab.classroom.guess.counted import EXPLAIN, GO_ON, NOBODY, TALK, read_asked
from antlab.classroom.guess.question import Guess
from antlab.cli import pages as pages_command
from antlab.files import ROOT
from antlab.serve import hands, ports
from antlab.serve.hands import Room
from antlab.serve.page_server import PageServer
from antlab.trouble import Trouble

WORDS = {"A": "a stick", "B": "a car", "C": "a bus", "D": "two"}
GUESSES = {
    "00": Guess("00", "How **long**?", WORDS, "C", {one: f"So {one} says." for one in WORDS}, title="Start"),
    "03": Guess("03", "What now?", WORDS, "D", {one: f"Then {one}." for one in WORDS}, title="The trap"),
}
PHONES = [f"phone-of-somebody-{i:02d}" for i in range(60)]


@pytest.fixture
def room(tmp_path):
    """A room in which lesson 00 was put up and opened."""
    room = Room(tmp_path, GUESSES)
    room.pages = {"door": b"the phone's", "desk": b"the teacher's"}
    assert do(room, "choose", lesson="00")["phase"] == "chosen"
    assert do(room, "open")["phase"] == "open"
    return room


def do(room, what, **given):
    """One step at the desk: what the teacher's page then shows, or the number of the refusal."""
    query = urlencode({"what": what} | given)
    status, body, _ = room.desk("POST", f"{room.desk_path}/do", query, "127.0.0.1")
    return json.loads(body) if status == 200 else status


def now(room, who=PHONES[0]):
    """What a phone is told."""
    return json.loads(room.door("GET", f"{room.door_path}/now", urlencode({"who": who}), "10.0.0.7")[1])


def hand(room, letter, who=PHONES[0], in_round="0.1"):
    """One answer of a phone; the status."""
    query = urlencode({"who": who, "round": in_round, "letter": letter})
    return room.door("POST", f"{room.door_path}/hand", query, "10.0.0.7")[0]


def counted(room):
    """How many hands each letter has in each round of the question on the desk."""
    return room.asked[room.current].counts()


@pytest.fixture
def site(room):
    """The room, served; a function that asks for a path there."""
    with PageServer({}, "127.0.0.1", 0, ask=room.door) as server:
        thread = threading.Thread(target=server.serve_forever)
        thread.start()

        def ask(method, path):
            connection = http.client.HTTPConnection("127.0.0.1", server.server_port, timeout=10)
            connection.request(method, path)
            answer = connection.getresponse()
            body = answer.read()
            connection.close()
            return answer.status, body

        yield ask
        server.shutdown()
        thread.join()


def test_a_class_answers_in_one_second(room, site):
    """Protects the count: 60 phones at once, each changing its mind and saying it again, are 60 hands."""

    def phone(who):
        said = []
        for letter in ("A", "B", "B"):
            query = urlencode({"who": who, "round": "0.1", "letter": letter})
            said.append(site("POST", f"{room.door_path}/hand?{query}")[0])
        return said

    began = time.monotonic()
    with ThreadPoolExecutor(60) as phones:
        said = list(phones.map(phone, PHONES))
    assert said == 60 * [[200, 200, 200]] and counted(room) == [{"B": 60}]
    assert time.monotonic() - began < 5
    assert Room(room.folder, GUESSES).asked[0].counts() == [{"B": 60}], "all of it is on the disk"


PROGRAM = """
import sys
sys.path.insert(0, "tests/serve")
from test_hands import GUESSES
from antlab.cli.pages import serve
from antlab.serve.hands import Room
serve({}, "127.0.0.1", int(sys.argv[2]), Room(sys.argv[1], GUESSES), int(sys.argv[3]))
"""


def test_killed_and_started_again(room):
    """Protects the evening: what a phone was told is counted outlives the server, and phones just go on."""
    room.close()
    port = ports.choose_port(first=8700)
    desk = ports.choose_port(first=port + 1)
    command = [sys.executable, "-c", PROGRAM, str(room.folder), str(port), str(desk)]
    with subprocess.Popen(command, cwd=ROOT) as child:
        try:
            for who, letter in zip(PHONES[:3], "ABC", strict=True):
                query = urlencode({"who": who, "round": "0.1", "letter": letter})
                assert post(port, f"{room.door_path}/hand?{query}") == 200
        finally:
            child.kill()
    again = Room(room.folder, GUESSES)
    assert (again.door_path, again.desk_path) == (room.door_path, room.desk_path)
    assert counted(again) == [{"A": 1, "B": 1, "C": 1}]
    assert now(again, PHONES[1])["mine"] == "B" and hand(again, "B", PHONES[1]) == 200
    assert counted(again) == [{"A": 1, "B": 1, "C": 1}], "who says it again counts once"
    assert read_asked(again.folder / again.name)[0].rounds == ({"A": 1, "B": 1, "C": 1},)


def post(port, path):
    """The status of a request, once there is somebody to answer it."""
    for _ in range(200):
        try:
            connection = http.client.HTTPConnection("127.0.0.1", port, timeout=10)
            connection.request("POST", path)
            return connection.getresponse().status
        except OSError:
            time.sleep(0.05)
        finally:
            connection.close()
    return None


def test_an_evening(room):
    """Protects the order: ask, close, talk, ask again; late phones join; each round has its own answers."""
    assert hand(room, "A") == hand(room, "B") == 200 and hand(room, "C", PHONES[1]) == 200
    assert (now(room)["mine"], now(room, PHONES[2])["mine"]) == ("B", "")
    shown = do(room, "close")
    assert (shown["hands"], shown["advice"], shown["next"]) == ([2], TALK, "talk") and "counts" not in shown
    assert hand(room, "A") == 409 and now(room)["phase"] == "closed"
    assert do(room, "talk")["phase"] == "talking" and now(room)["mine"] == "B"
    assert do(room, "open")["phase"] == "open"
    assert now(room)["round"] == "0.2" and now(room)["mine"] == "", "nobody is held to the first answer"
    assert hand(room, "A") == 409, "an answer to the first round that comes late is not one to the second"
    assert [hand(room, "C", who, "0.2") for who in PHONES[:3]] == [200, 200, 200]
    assert do(room, "bars") == 409
    do(room, "close")
    shown = do(room, "bars")
    assert (shown["counts"], shown["next"]) == ([{"B": 1, "C": 1}, {"C": 3}], "tell")
    assert do(room, "open") == 409, "two rounds, to be shown side by side"
    assert do(room, "tell")["right"] == "C"
    assert (now(room)["right"], now(room)["first"], now(room)["mine"]) == ("C", "B", "C")
    assert do(room, "choose", lesson="03")["phase"] == "chosen" and now(room) == {"phase": "wait"}
    assert do(room, "choose", lesson="00")["counts"] == [{"B": 1, "C": 1}, {"C": 3}], "as it was left"
    assert do(room, "afresh")["phase"] == "chosen" and do(room, "open")["hands"] == [0]
    assert [one.rounds for one in read_asked(room.folder / room.name)] == [
        ({"B": 1, "C": 1}, {"C": 3}),
        ({},),
    ]


def test_a_second_click_changes_nothing(room):
    """Protects from impatience: a step that was taken is not taken again."""
    assert do(room, "open") == 409 and do(room, "talk") == 409 and do(room, "rest") == 409
    assert do(room, "close")["phase"] == "closed" and do(room, "close") == 409
    assert do(room, "nonsense") == 409 and do(room, "choose", lesson="77") == 409
    assert counted(room) == [{}]


def test_what_is_open_is_closed_before_another_is_put_up(room):
    """Protects the count: a question that is no longer shown takes no answers."""
    hand(room, "A")
    do(room, "choose", lesson="03")
    assert hand(room, "B") == 409
    assert do(room, "choose", lesson="00")["phase"] == "closed" and counted(room) == [{"A": 1}]


def test_the_right_letter_is_told_last(room):
    """Protects the guess: nothing that phones or the projected page are sent tells it before it is shown."""
    for steps in ((), ("close",), ("bars",), ("talk",), ("open",), ("close",), ("bars",)):
        for step in steps:
            assert do(room, step) not in (409,)
        heard = json.dumps(now(room)) + room.desk("GET", f"{room.desk_path}/now", "", "")[1].decode()
        assert "right" not in heard.replace("are right", "") and "says" not in heard
    do(room, "tell")
    assert now(room)["sentences"]["A"] == "So A says."


@pytest.mark.parametrize(
    ("letters", "said"),
    [
        ("", NOBODY),
        ("AAC", TALK),
        ("AAAC", EXPLAIN),
        ("ACC", TALK),
        ("ACCC", GO_ON),
        ("C", GO_ON),
        ("A", EXPLAIN),
    ],
)
def test_what_the_teacher_is_advised(room, letters, said):
    """Under a third right: explain; a third to two thirds: let them talk; more: go on."""
    for who, letter in zip(PHONES, letters, strict=False):
        hand(room, letter, who)
    assert do(room, "close")["advice"] == said


def test_phones_here(room, monkeypatch):
    """The teacher sees how many phones there are to wait for; one that left is not waited for."""
    for who in PHONES[:4]:
        now(room, who), now(room, who)
    assert do(room, "close")["here"] == 4
    clock = time.monotonic() + hands.HERE_S + 1
    monkeypatch.setattr(time, "monotonic", lambda: clock)
    now(room)
    assert do(room, "bars")["here"] == 1


def test_a_room_ends_with_its_evening(room):
    """Next week there is another address; what this week believed is kept, also what was open to the end."""
    hand(room, "B")
    later = Room(room.folder, GUESSES, clock=lambda: time.time() + hands.GOES_ON_S + 60)
    assert later.secret != room.secret and later.token != room.token and later.asked == []
    assert later.name != room.name and read_asked(room.folder / room.name)[0].rounds == ({"B": 1},)


def test_no_phone_can_be_known_again(room):
    """Protects who answers: neither file holds what a phone is known by."""
    hand(room, "B")
    room.close()
    for path in room.folder.iterdir():
        assert PHONES[0] not in path.read_text()
    assert "phone" not in (room.folder / room.name).read_text()


def test_a_full_disk_is_told(room, monkeypatch):
    """Protects the lesson: it goes on, and the teacher reads what is the matter until it is over."""

    def full(*words, **more):
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patch:
        patch.setattr("antlab.files.write", full)
        assert hand(room, "B") == 200
        assert "can't be written: No space left" in do(room, "close")["trouble"]
    assert do(room, "bars")["trouble"] == "" and Room(room.folder, GUESSES).asked[0].counts() == [{"B": 1}]


@pytest.mark.parametrize(
    "text", ["", "[]", "{}", '{"antlab": "room", "format": 1}', "[" * 100_000, '{"antlab": "homework"}']
)
def test_a_damaged_file(tmp_path, text):
    """A sentence with the mend, and the file stays."""
    (tmp_path / hands.STATE).write_text(text)
    with pytest.raises(Trouble, match="is damaged, or of another version: move it away"):
        Room(tmp_path, GUESSES)
    assert (tmp_path / hands.STATE).read_text() == text


def test_a_folder_that_takes_nothing(tmp_path):
    """Before anything opens."""
    (tmp_path / "file").write_text("")
    with pytest.raises(Trouble, match="choose another folder with --class"):
        Room(tmp_path / "file", GUESSES)


def test_the_desk_is_on_this_machine_alone(room, monkeypatch):
    """Protects the desk: the room's server has none, and the desk's listens where no other machine gets."""
    opened = []

    class Closed(PageServer):
        def __init__(self, pages, address, port, *, ask=None):
            super().__init__(pages, address, port, ask=ask)
            opened.append((address, ask))
            self.over.set()

    monkeypatch.setattr("antlab.serve.page_server.PageServer", Closed)
    assert pages_command.serve({}, "127.0.0.1", 0, room, 0) == 0
    assert (
        opened == [("127.0.0.1", room.desk), ("127.0.0.1", room.door)] and pages_command.DESK == "127.0.0.1"
    )
    assert room.door("GET", f"{room.desk_path}/now", "", "") is None
    assert room.desk("GET", room.desk_path, "", "")[1] == b"the teacher's"
    assert room.desk("GET", f"/desk/{room.token[:-1]}", "", "") is None
