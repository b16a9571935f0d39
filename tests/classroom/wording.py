"""The words by which tests know things in the text: for a translated course this table, and no test, changes.

What a cell is its tags say; here stands what has no tag, a row of a table or a word in a sentence.
"""

from antlab.classroom import tags

MINUTES = r"\b(\d\d)(?:–\d\d)? minutes"  # what a lesson takes, in its title's cell
COLOURS = r"red|green|blue|orange|yellow|purple|violet|pink|brown|cyan|magenta|grey|gray|teal|colou?rs?"
UNITS = r"Ω|ohms?|dBi?|%|per ?cent|°|degrees|MHz|kHz|km|miles|pF|µH|W|watts|volts|V|wavelengths?"

# of the volunteer's guide: a row of an evening's plan is known by a part of its words
ROWS = {
    tags.GUESS: "guess", tags.BY_HAND: "by hand", tags.FAIL: "fail", tags.LIVE: "drag",
    tags.PUBLISHED: "published", tags.LIMITS: "limits", tags.CAUTION: "caution",
    tags.BACK_TO_GUESS: "guess comes back", tags.SUMMARY: "summary",
    "picture": "picture", "demonstration": "demonstration",
}  # fmt: skip
ROLES = "hand", "voice", "pen", "doubter"
FROM_FIVE = "Five", "Six", "Seven", "Eight", "Nine", "Ten"  # minutes, of a group
GROUP_MINUTES = rf"({'|'.join(FROM_FIVE)}) minutes, "
TASK, LEFT = "Task", r"^Left for home: \w.+\.$"
SAY, KEEP, LATER = 'Say: "', r"\b[Dd]on't (?:say|show|mention|smile)", r"\bcomes? back\b"  # of the guess
SEEN, WRONG = "*Should be seen:*", "*Can go wrong:*"
NO_HOMEWORK, HOMEWORK = "No homework", r"\[Homework\]\([^)]*\), (\d\d) minutes"
ABOUT = "About {} minutes"  # in the homework's own words
MISTAKES = "Where it goes wrong"  # in the answers
FIELD_RULES = (
    "has the say", "power line", "ladder", "throw-line", "thunder", "rope off", "disconnect", "licensed",
    "local code",
)  # fmt: skip
