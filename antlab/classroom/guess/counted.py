"""What a room answered by show of hands, before it talked and after: letters counted, no names, no phones."""

import json
import re
from dataclasses import asdict, dataclass
from pathlib import Path

from antlab import files
from antlab.classroom.course import LARGEST_HOMEWORK
from antlab.trouble import Slip

FORMAT = 1
NAMED = "hands-*.json"  # the files of this kind in a folder
MOST_ASKED, MOST_ROUNDS, MOST_HANDS = 40, 2, 300  # an evening; of a question; in a round
# When to explain, when to let them talk: peer instruction asks again where some are right and some are not.
# C. H. Crouch and E. Mazur, "Peer Instruction: Ten years of experience and results", Am. J. Phys. 69 (2001)
# 970; thirds: value from memory.
EXPLAIN = "Under a third are right. Explain, then ask again."
TALK = "Between a third and two thirds are right. Let them talk, then ask again."
GO_ON = "More than two thirds are right. Go on."
NOBODY = "Nobody has answered."
_LESSON, _AT, _LETTER = re.compile(r"\d\d"), re.compile(r"\d{4}-\d\d-\d\d \d\d:\d\d"), re.compile(r"[A-Z]")


@dataclass(frozen=True)
class Asked:
    """One guess as a room answered it.

    lesson: its number, "03". at: when it was first asked, "2026-11-27 19:30". rounds: for each round how many
    hands each letter had, letter -> count; the second is after they talked.
    """

    lesson: str
    at: str
    rounds: tuple = ()

    def in_words(self, right=None):
        """A line of text. right: the letter that is."""
        told = []
        for when, counts in zip(("before", "after"), self.rounds, strict=False):
            hands = "  ".join(f"{letter} {count}" for letter, count in sorted(counts.items()))
            told.append(f"{when}: {hands or 'nobody'}{share_words(counts, right)}")
        return f"{self.lesson}  {'; '.join(told)}"


def share_words(counts, right):
    """Of all hands the share at the right letter, in words. counts: letter -> how many. right: or None."""
    hands = sum(counts.values())
    return f" ({counts.get(right, 0) / hands:.0%} right)" if right and hands else ""


def advice(counts, right):
    """What a teacher does next, a sentence. counts: letter -> how many. right: the letter."""
    everybody, them = sum(counts.values()), counts.get(right, 0)
    if not everybody:
        return NOBODY
    return EXPLAIN if 3 * them < everybody else TALK if 3 * them <= 2 * everybody else GO_ON


def write_asked(path, asked):
    """Write what was asked, a list of Asked, for its owner alone. Raises OSError."""
    content = {"antlab": "hands", "format": FORMAT, "asked": [asdict(one) for one in asked]}
    return files.write(path, json.dumps(content, indent=1).encode(), private=True)


def read_asked(path):
    """Read such a file: a list of Asked. Raises Slip, whatever is in it."""
    try:
        content = json.loads(files.read(path, most=LARGEST_HOMEWORK))
    except OSError as error:
        raise Slip(f"can't be read: {error.strerror}") from None
    except (ValueError, RecursionError):
        raise Slip("is damaged, or of another program: no JSON") from None
    if not isinstance(content, dict) or content.get("antlab") != "hands":
        raise Slip("is of another program: no show of hands of antlab")
    if content.get("format") != FORMAT:
        raise Slip("was written by another version of antlab: open it there, or update")
    asked = content.get("asked")
    if not isinstance(asked, list) or len(asked) > MOST_ASKED:
        raise Slip("has no list of what was asked")
    return [_asked(one) for one in asked]


def _asked(one):
    lesson, at, rounds = (one.get(part) if isinstance(one, dict) else None for part in Asked.__annotations__)
    sound = (
        isinstance(lesson, str) and _LESSON.fullmatch(lesson)
        and isinstance(at, str) and _AT.fullmatch(at)
        and isinstance(rounds, list) and len(rounds) <= MOST_ROUNDS
        and all(isinstance(counts, dict) for counts in rounds)
        and all(_LETTER.fullmatch(letter) and type(count) is int and 0 <= count <= MOST_HANDS
                for counts in rounds for letter, count in counts.items())
    )  # fmt: skip
    if not sound:
        raise Slip("has a question that makes no sense")
    return Asked(lesson, at, tuple(rounds))


def hands_in(folder):
    """The files of this kind in a folder and the folders right below it."""
    return sorted((*Path(folder).glob(NAMED), *Path(folder).glob(f"[!.]*/{NAMED}")))


def read_hands(folder):
    """All that was asked by the files in a folder and the folders right below it.

    Returns (asked, notes): a list of Asked by lesson and time, a list of (file, what about it).
    """
    found, notes = [], []
    for path in hands_in(folder):
        try:
            found += read_asked(path)
        except Slip as why:
            notes.append((ascii(path.relative_to(folder).as_posix())[1:-1], str(why)))
    return sorted(found, key=lambda one: (one.lesson, one.at)), notes


def right_letter(lesson):
    """The right letter of a lesson's guess; None where the course has no such lesson."""
    from antlab.classroom.guess.question import read_guess

    try:
        return read_guess(lesson).right
    except Slip:
        return None
