"""What is chosen among, in homework and guesses: an option is found by thinking, and not by its length."""

import pytest

from antlab.classroom.guess.question import plain, read_guess
from antlab.classroom.homework.naming import LESSONS
from antlab.classroom.homework.problems import Choice, lesson


@pytest.fixture(scope="module")
def asked():
    """(where, letter -> words, right letter) of all decisions and guesses."""
    found = []
    for number in LESSONS:
        (one,) = (one for one in lesson(number).problems.values() if isinstance(one, Choice))
        words = {letter: option.words for letter, option in one.options.items()}
        found.append((number, words, one.right))
    for guess in map(read_guess, ("00", *LESSONS)):
        words = {letter: plain(option) for letter, option in guess.options.items()}
        found.append((f"guess {guess.lesson}", words, guess.right))
    return found


def test_lengths_are_near_each_other(asked):
    """In one question the shortest option has seven tenths of the letters of the longest; or ten fewer."""
    for where, options, _ in asked:
        lengths = sorted(map(len, options.values()))
        assert lengths[0] >= min(0.7 * lengths[-1], lengths[-1] - 10), (where, options)


@pytest.mark.parametrize("which", [max, min])
@pytest.mark.parametrize("what", ["homework", "guess"])
def test_the_right_one_is_the_longest_in_its_share(asked, what, which):
    """One in four by chance: the longest, or the shortest, is right no more often than that allows."""
    found = [one for one in asked if one[0].startswith("guess") == (what == "guess")]
    hits = 0
    for _, options, right in found:
        ends = [a for a, words in options.items() if len(words) == which(map(len, options.values()))]
        hits += (right in ends) / len(ends)
    assert hits <= 0.36 * len(found), (hits, len(found))


def test_the_longest_is_right_at_times(asked):
    """Nor is it always wrong, which would tell as much."""
    longest = [len(options[right]) == max(map(len, options.values())) for _, options, right in asked]
    assert sum(longest) >= 4
