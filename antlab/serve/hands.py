"""A room that answers by show of hands: what is asked, who has answered, and what phone and teacher are told.

A phone is a random token of its own, of which only a digest is kept; it counts once in a round. All that was
answered is on the disk before the phone is told so: a server that was killed goes on where it was.
"""

import contextlib
import hashlib
import inspect
import json
import os
import re
import secrets
import threading
import time
from collections import Counter
from dataclasses import asdict, dataclass, field
from pathlib import Path
from urllib.parse import parse_qsl

from antlab import files
from antlab.classroom.guess.counted import (
    GO_ON,
    MOST_ASKED,
    MOST_HANDS,
    MOST_ROUNDS,
    TALK,
    Asked,
    advice,
    write_asked,
)  # fmt: skip
from antlab.trouble import Trouble

FORMAT = 1
STATE = ".antlab-room"  # the room as it is, beside what was counted
HELD = ".antlab-room-held"  # while a server has it, no other counts there
GOES_ON_S = 12 * 3600  # a server that is started again so soon is in the same room
LETTERS, LONG = "abcdefghjkmnpqrstuvwxyz23456789", 10  # of the room's address, for who must type it: 49 bits
TOKEN = re.compile(r"[A-Za-z0-9_-]{16,40}")
HERE_S = 8  # a phone that asked so recently is in the room
AT_ONCE, A_SECOND, ADDRESSES = 400, 100, 1000  # requests from one address, which a whole class may share
CHOSEN, OPEN, CLOSED, TALKING = "chosen", "open", "closed", "talking"  # what a question goes through
NEXT = {TALK: "talk", GO_ON: "tell"}  # which step the teacher's page offers first, by the advice
NOT_NOW = (409, b"not now", {"Content-Type": "text/plain"})
NO_SENSE = (400, b"no sense", {"Content-Type": "text/plain"})
TOO_OFTEN = (429, b"too often", {"Content-Type": "text/plain", "Retry-After": "2"})


@dataclass
class Question:
    """A guess under way. rounds: phone -> letter, for each. bars, told: whether those were shown already."""

    lesson: str
    at: str
    rounds: list = field(default_factory=list)
    phase: str = CHOSEN
    bars: bool = False
    told: bool = False

    def counts(self):
        """How many hands each letter had, for each round."""
        return [dict(sorted(Counter(hands.values()).items())) for hands in self.rounds]


class Pace:
    """So many requests from one address at once, and so many a second after that."""

    def __init__(self, at_once=AT_ONCE, a_second=A_SECOND):
        self.at_once, self.a_second, self.left = at_once, a_second, {}

    def allows(self, address, now):
        """Whether one more may come. now: seconds of a clock that never goes back."""
        left, then = self.left.pop(address, (self.at_once, now))
        left = min(left + (now - then) * self.a_second, self.at_once)
        self.left[address] = max(left - 1, 0), now
        if len(self.left) > ADDRESSES:
            del self.left[next(iter(self.left))]  # who was silent longest
        return left >= 1


@contextlib.contextmanager
def held(folder):
    """Have a room's folder for one server alone while the block runs; Trouble where another has it."""
    path = Path(folder) / HELD
    if os.path.lexists(path) and not files.is_plain(path):
        raise Trouble(f"{path} is no plain file: move it away, and run this again.")
    with contextlib.suppress(FileExistsError):
        files.write(path, b"", private=True, force=False)
    with open(path, "rb") as file:
        if not files.is_locked(file):
            raise Trouble(
                f"another antlab pages --serve counts hands in {folder}: end it, or choose another folder "
                "for this one with --class."
            )
        yield


class Room:
    """What is asked and answered in one evening; phones come to the door, the teacher to the desk."""

    def __init__(self, folder, guesses, *, clock=time.time):
        """Open a room, or the one that was open here some hours ago.

        folder: where it is kept. guesses: lesson -> Guess. Raises Trouble where that can't be.
        """
        self.folder, self.guesses, self.clock = Path(folder), guesses, clock
        self.lock, self.writing, self.pace = threading.Lock(), threading.Lock(), Pace()
        self.change = self.kept = 0
        self.trouble, self.here, self.pages, self.since = "", {}, {}, time.monotonic()
        before = self._read()
        if before:
            self._take(before)
            self._count()
        if not before or not 0 <= clock() - before["changed"] < GOES_ON_S:
            self.secret = "".join(secrets.choice(LETTERS) for _ in range(LONG))
            self.token = secrets.token_urlsafe(24)
            self.name = time.strftime("hands-%Y-%m-%d-%H%M%S.json", time.localtime(clock()))
            self.asked, self.current = [], None
        self.change += 1
        self._keep()
        if self.trouble:
            raise Trouble(f"{self.trouble}: choose another folder with --class.")

    # the door: phones

    @property
    def door_path(self):
        """Where phones ask, "/room/…"; whoever has not seen it can't guess it."""
        return f"/room/{self.secret}"

    def door(self, method, path, query, address):
        """What a phone is answered: (status, body, headers); None where it is not about a room."""
        if not path.startswith("/room/"):
            return None
        with self.lock:
            if not self.pace.allows(address, time.monotonic()):
                return TOO_OFTEN
        asks = {"now": ("GET", self._now), "hand": ("POST", self._hand)}
        return self._answered(self.door_path, "door", asks, method, path, query)

    def _now(self, who=""):
        """What a phone shows: nothing in it tells which letter is right before that was told."""
        if not TOKEN.fullmatch(who):
            return NO_SENSE
        with self.lock:
            phone, now = self._phone(who), time.monotonic()
            self.here = {one: at for one, at in self.here.items() if now - at < HERE_S}
            if len(self.here) < MOST_HANDS:
                self.here[phone] = now
            one = self._question()
            if one is None or one.phase == CHOSEN:
                return _told({"phase": "wait"})
            guess = self.guesses[one.lesson]
            mine = [hands.get(phone, "") for hands in one.rounds]
            told = {"phase": one.phase, "round": self._round(), "rounds": len(one.rounds), "mine": mine[-1],
                    "first": mine[0] if mine[1:] else "",
                    "question": guess.question, "options": guess.options}  # fmt: skip
            if one.told:
                told |= {"right": guess.right, "sentences": guess.sentences, "phase": "told"}
            return _told(told)

    def _hand(self, who="", round="", letter=""):
        """A phone answers, or answers anew, as long as the round is open."""
        if not TOKEN.fullmatch(who):
            return NO_SENSE
        with self.lock:
            one = self._question()
            if one is None or one.phase != OPEN or round != self._round():
                return NOT_NOW
            hands, phone = one.rounds[-1], self._phone(who)
            if letter not in self.guesses[one.lesson].options:
                return NO_SENSE
            if phone not in hands and len(hands) >= MOST_HANDS:
                return TOO_OFTEN
            if hands.get(phone) != letter:
                hands[phone] = letter
                self.change += 1
        self._keep()
        return _told({"mine": letter})

    def _phone(self, who):
        return hashlib.sha256(f"{self.secret} {who}".encode()).hexdigest()[:16]

    def _round(self):
        """The name of the round: an answer that comes late is not counted in the next one."""
        return f"{self.current}.{len(self._question().rounds)}"

    # the desk: the teacher

    @property
    def desk_path(self):
        """Where the teacher's page asks."""
        return f"/desk/{self.token}"

    def desk(self, method, path, query, address):
        """What the teacher's page is answered, as door() is."""
        asks = {"now": ("GET", self._all), "do": ("POST", self._do)}
        return self._answered(self.desk_path, "desk", asks, method, path, query)

    def _all(self):
        """All that the teacher's page shows; the right letter too, once it was told."""
        with self.lock:
            now, one = time.monotonic(), self._question()
            told = {
                "phase": "rest", "trouble": self.trouble, "seconds": int(now - self.since),
                "here": sum(now - at < HERE_S for at in self.here.values()),
                "asked": [question.lesson for question in self.asked if question.rounds],
            }  # fmt: skip
            if one is None:
                return _told(told)
            guess, counts = self.guesses[one.lesson], one.counts()
            told |= {"phase": one.phase, "lesson": one.lesson, "title": guess.title, "bars": one.bars,
                     "question": guess.question, "options": guess.options, "told": one.told,
                     "hands": [sum(hands.values()) for hands in counts]}  # fmt: skip
            if counts and one.phase != OPEN:
                said = advice(counts[-1], guess.right)
                told |= {"advice": said, "next": "open" if one.phase == TALKING else NEXT.get(said, "open")}
            if one.bars and one.phase != OPEN:
                told |= {"counts": counts}
            if one.told:
                told |= {"right": guess.right, "sentences": guess.sentences}
            return _told(told)

    def _do(self, what="", lesson=""):
        """The teacher goes on; what makes no sense just now, such as a second click, changes nothing."""
        with self.lock:
            one = self._question()
            if not (self._chosen(lesson) if what == "choose" else one and self._step(one, what)):
                return NOT_NOW
            self.change += 1
            self.since = time.monotonic()
        self._keep()
        self._count()
        return self._all()

    def _chosen(self, lesson, afresh=False):
        """Have a lesson's question on the desk, as it was left; or a new one."""
        known = [i for i, one in enumerate(self.asked) if one.lesson == lesson]
        if lesson not in self.guesses or (not known or afresh) and len(self.asked) >= MOST_ASKED:
            return False
        if (one := self._question()) and one.phase == OPEN:
            one.phase = CLOSED
        if not known or afresh:
            at = time.strftime("%Y-%m-%d %H:%M", time.localtime(self.clock()))
            self.asked.append(Question(lesson, at))
            known = [len(self.asked) - 1]
        self.current = known[-1]
        return True

    def _step(self, one, what):
        """Take one step with a Question; False where it is not the time for it."""
        over = one.phase in (CLOSED, TALKING)
        if (
            what == "open"
            and (one.phase == CHOSEN or over)
            and len(one.rounds) < MOST_ROUNDS
            and not one.told
        ):
            one.rounds.append({})
            one.phase, one.bars = OPEN, False
        elif what == "close" and one.phase == OPEN:
            one.phase = CLOSED
        elif what == "talk" and one.phase == CLOSED and len(one.rounds) < MOST_ROUNDS and not one.told:
            one.phase = TALKING
        elif what == "bars" and over and not one.bars:
            one.bars = True
        elif what == "tell" and over and not one.told:
            one.phase, one.bars, one.told = CLOSED, True, True
        elif what == "afresh" and over:
            return self._chosen(one.lesson, afresh=True)
        elif what == "rest" and one.phase != OPEN:
            self.current = None
        else:
            return False
        return True

    # both

    def _question(self):
        return None if self.current is None else self.asked[self.current]

    def _answered(self, mine, page, asks, method, path, query):
        """Find who answers: the page itself at its address, what it asks for below."""
        base, _, last = path.rpartition("/")
        at_page = secrets.compare_digest(path.rstrip("/"), mine)
        if not at_page and not secrets.compare_digest(base, mine):
            return None
        wanted, act = ("GET", lambda: (200, self.pages[page], {})) if at_page else asks.get(last, ("", None))
        if act is None:
            return None
        if method != wanted and (method, wanted) != ("HEAD", "GET"):
            return 405, b"", {"Allow": wanted}
        try:
            given = {} if at_page else dict(parse_qsl(query, max_num_fields=4))
            inspect.signature(act).bind(**given)
        except (TypeError, ValueError):  # names that are none of ours, too many
            return NO_SENSE
        return act(**given)

    # the disk

    def _keep(self):
        """Have all that changed on the disk; who comes while that is done waits for one writing together."""
        mine = self.change
        with self.writing:
            if self.kept >= mine:
                return
            with self.lock:
                now, text = self.change, self._text()
            try:
                files.write(self.folder / STATE, text, private=True)
            except OSError as error:
                self.trouble = f"{self.folder / STATE} can't be written: {error.strerror}"
            else:
                self.kept, self.trouble = now, ""

    def _text(self):
        content = {
            "antlab": "room", "format": FORMAT, "changed": self.clock(), "secret": self.secret,
            "token": self.token, "name": self.name, "current": self.current,
            "asked": [asdict(one) for one in self.asked],
        }  # fmt: skip
        return json.dumps(content).encode()

    def _count(self):
        """Have what was counted on the disk, for `antlab class`."""
        with self.writing:
            with self.lock:
                asked = [Asked(one.lesson, one.at, tuple(one.counts())) for one in self.asked if one.rounds]
            try:
                if asked:
                    write_asked(self.folder / self.name, asked)
            except OSError as error:
                self.trouble = f"{self.folder / self.name} can't be written: {error.strerror}"

    def close(self):
        """Keep all; the server ends."""
        self._keep()
        self._count()

    def _read(self):
        """What was kept here, or None; Trouble for what is no room of ours."""
        path = self.folder / STATE
        if not os.path.lexists(path):
            return None
        owner = os.getuid() if hasattr(os, "getuid") else None
        try:
            before = json.loads(files.read(path, most=5_000_000, owner=owner))
            sound = before["antlab"] == "room" and before["format"] == FORMAT and self._sound(before)
        except OSError as error:
            raise Trouble(f"{path} can't be read: {error.strerror}; move it away.") from None
        except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
            sound = False
        if not sound:
            raise Trouble(f"{path} is damaged, or of another version: move it away, and run this again.")
        return before

    def _sound(self, before):
        """Whether what was kept can be a room."""
        asked, current = [Question(**one) for one in before["asked"]], before["current"]
        return (
            re.fullmatch(rf"[{LETTERS}]{{{LONG}}}", before["secret"])
            and TOKEN.fullmatch(before["token"])
            and re.fullmatch(r"hands-[0-9-]+\.json", before["name"])
            and (current is None or type(current) is int and 0 <= current < len(asked))
            and isinstance(before["changed"], float)
            and all(self._sound_question(one) for one in asked)
        )

    def _sound_question(self, one):
        """Whether a Question that was kept can be one."""
        options = set(self.guesses[one.lesson].options)
        return (
            one.phase in (CHOSEN, OPEN, CLOSED, TALKING)
            and (one.phase == CHOSEN) == (len(one.rounds) == 0)
            and len(one.rounds) <= MOST_ROUNDS
            and all(set(hands.values()) <= options for hands in one.rounds)
        )

    def _take(self, before):
        self.secret, self.token, self.name = before["secret"], before["token"], before["name"]
        self.asked, self.current = [Question(**one) for one in before["asked"]], before["current"]


def _told(what):
    return 200, json.dumps(what).encode(), {"Content-Type": "application/json", "Cache-Control": "no-store"}
