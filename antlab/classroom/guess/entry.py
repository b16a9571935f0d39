"""Where a guess is entered and kept, and at the end laid beside the answer: widgets of the notebook."""

from dataclasses import asdict
from pathlib import Path

import anywidget
import numpy as np
import traitlets

from antlab.classroom.course import look
from antlab.classroom.guess.curves import TRUE
from antlab.classroom.guess.question import plain, read_guess
from antlab.classroom.homework.progress import Guessed, guesses_in, store_of_guesses, work_folder
from antlab.trouble import our_mistake

SCRIPT = Path(__file__).with_name("guess.js").read_text(encoding="utf-8")
PLACES = 11  # on a drawn curve, from one end of the axes to the other
WORDS = {
    "letters": "Your guess",
    "none": "Click or touch a letter. You may change it until the end of the lesson.",
    "chosen": "Your guess is {letter}: {words}.",
    "kept": "It is kept: you may change it until the end of the lesson.",
    "here": "It is kept as long as this notebook runs.",
    "not kept": "It could not be kept: {why}.",
    "draw": "Draw with mouse or finger, or with the arrow keys (press Tab first).",
    "clear": "Clear the curve",
    "dot": "dot {at} of {count}",
    "height": "{height} of 100",
    "empty": "nothing yet",
    "gone": "The kernel was restarted: run this cell again (Shift+Enter) to change your guess.",
    "you said": "You said {letter}: {words}.",
    "you did not": "You have entered no guess.",
    "again": "Click a letter at the beginning of the lesson and run this cell again.",
    "right": "Right is {letter}: {words}.",
    "yours": "yours",
    "true": "as it is",
}
_here = {}  # lesson -> Guessed, where there is no work folder


def guess(lesson):
    """Show where the guess of a lesson is entered; what was entered before is there again.

    lesson: its number, "00" to "10". It is kept in the work folder that `antlab` laid out, in the student's
    progress file once homework was begun; elsewhere for as long as the kernel runs. Returns an Entry, which a
    notebook shows; its `beside_answer()` belongs to the end of the lesson. Raises Slip for another lesson.

    >>> import antlab as al
    >>> al.guess("03")
    The guess of lesson 03 (run this cell in JupyterLab to enter it)
    """
    return Entry(read_guess(lesson))


class Entry:
    """Buttons for a Guess's options, and empty axes where it asks for a curve."""

    said = "The guess of lesson {} (run this cell in JupyterLab to enter it)"

    def __init__(self, guess):
        self.guess = guess

    def beside_answer(self):
        """What was entered, beside the answer and the true curve. Returns an Answered, to be shown."""
        return Answered(self.guess)

    def widget(self):
        """The widget that a notebook shows: it keeps what is entered."""
        return Buttons(self.guess)

    def __repr__(self):
        return self.said.format(self.guess.lesson)

    def _repr_mimebundle_(self, **how):
        bundle = self.widget()._repr_mimebundle_(**how)
        data = bundle[0] if isinstance(bundle, tuple) else bundle
        data["text/plain"] = repr(self)  # what a saved lesson shows until its cell is run again
        return bundle


class Answered(Entry):
    """A student's own guess beside the answer of a Guess."""

    said = "Your guess of lesson {} beside the answer (run this cell in JupyterLab to see it)"

    def widget(self):
        """The widget that a notebook shows, as of now."""
        return Beside(self.guess)


class _Shown(anywidget.AnyWidget):
    """The browser's side of both."""

    _esm = SCRIPT
    about = traitlets.Dict().tag(sync=True)
    letter = traitlets.Unicode().tag(sync=True)
    drawn = traitlets.List(traitlets.Int(min=0, max=100, allow_none=True)).tag(sync=True)
    says = traitlets.List(traitlets.Unicode()).tag(sync=True)

    def __init__(self, guess):
        self.guess = guess
        options = {letter: plain(words) for letter, words in guess.options.items()}
        entered = kept(guess)
        super().__init__(letter=entered.letter, drawn=list(entered.drawn))
        self.about = {
            "options": options, "curve": guess.curve and asdict(guess.curve), "places": PLACES,
            "words": WORDS, "look": look(), "answer": None,
        }  # fmt: skip


class Buttons(_Shown):
    """Where a guess is entered. Each change is kept at once."""

    def __init__(self, guess):
        super().__init__(guess)
        self.says = self._said(WORDS["kept"] if self.letter else "")
        self.observe(self._entered, ["letter", "drawn"])

    def _entered(self, change):
        self.says = self._said(keep(self.guess, Guessed(self.letter, tuple(self.drawn))))

    def _said(self, about):
        if self.letter not in self.guess.options:
            return [WORDS["none"], about] if self.drawn and about else [WORDS["none"]]
        words = plain(self.guess.options[self.letter]).rstrip(".")
        return [WORDS["chosen"].format(letter=self.letter, words=words), about]


class Beside(_Shown):
    """What was entered, beside what is right: letters with their sentences, both curves."""

    def __init__(self, guess):
        super().__init__(guess)
        first, *then = answered(guess, self.letter)
        self.says = [first, *([] if self.letter in guess.options else [WORDS["again"]]), *then]
        curve = true_curve(guess)
        told = {"curve": curve and [*zip(*(one.round(4).tolist() for one in curve), strict=True)]}
        self.about = self.about | {"answer": told | {"alt": compared(guess, self.drawn)}}


def kept(guess):
    """What was entered for a Guess, a Guessed; nothing of it where the file can't be read."""
    folder = work_folder()
    try:
        found = guesses_in(folder) if folder else _here
    except OSError:
        found = {}
    return found.get(guess.lesson, Guessed())


def keep(guess, guessed):
    """Keep a Guessed of a Guess; return what is to be said about that."""
    folder = work_folder()
    try:
        if not folder:
            _here[guess.lesson] = guessed
            return WORDS["here"]
        store_of_guesses(folder).guess(guess.lesson, guessed)
        return WORDS["kept"]
    except OSError as error:
        return WORDS["not kept"].format(why=error.strerror)
    except Exception as error:  # ipywidgets keeps an observer's errors to itself
        return our_mistake(error)


def answered(guess, letter):
    """The sentences about a letter that was guessed: what was said, what is right, and why."""
    right = WORDS["right"].format(letter=guess.right, words=plain(guess.options[guess.right]).rstrip("."))
    if letter not in guess.options:
        return [WORDS["you did not"], right, plain(guess.sentences[guess.right])]
    said = WORDS["you said"].format(letter=letter, words=plain(guess.options[letter]).rstrip("."))
    return [said, plain(guess.sentences[letter])] + ([] if letter == guess.right else [right])


def true_curve(guess):
    """Places and heights of a Guess's curve as it is, 0 to 1; None where no curve is asked for."""
    return TRUE[guess.lesson]() if guess.curve else None


def compared(guess, drawn):
    """In words, for who can't see them: the drawn curve and the true one at the marks of the axes."""
    if not guess.curve:
        return ""
    places, heights = true_curve(guess)
    there = [(i / (PLACES - 1), at) for i, at in enumerate(drawn) if at is not None]
    lines = []
    for place, word in guess.curve.x:
        height = {"true": 100 * np.interp(place, places, heights)}
        if there:
            height = {"yours": np.interp(place, *zip(*there, strict=True))} | height
        said = ", ".join(
            f"{WORDS[whose]} {WORDS['height'].format(height=round(at))}" for whose, at in height.items()
        )
        lines.append(f"{plain(word)}: {said}")
    return f"{plain(guess.curve.task)} {'; '.join(lines)}."
