"""What a cell of the course is, by the tags in its metadata: code goes by these, never by words or places."""

TITLE = "title"  # of a lesson or a sheet
GUESS, BACK_TO_GUESS = "guess", "back-to-guess"  # what is guessed first, and where the answer is
BY_HAND, FAIL, LIVE, PUBLISHED, LIMITS = "by-hand", "fail", "live", "published", "limits"  # a lesson's steps
SUMMARY, NEXT = "summary", "next"  # the end, and what leads on
CAUTION = "caution"  # what can hurt; its paragraphs have a frame on paper
SET_UP = "set-up"  # fetches tools, or tells to: not for an audience
SLIDES = "slides"  # has slides of its own: its metadata say which; see paper/slides
INSTRUCTOR = "instructor"  # what no student gets
ANSWER, SOLUTION = "answer", "solution"  # of an answer notebook: see exercises
GUESS_ENTERED = "guess-entered"  # code: the buttons of the guess, and at the end what was guessed
CHANGE_ME = "change-me"  # code for the student to change and run again; the words say what should then happen
CURIOUS = "curious"  # for who wants more: nothing later needs it
EVENING, PLAN, AT_THE_GUESS = "evening", "plan", "at-the-guess"  # of the guide: where one begins, two parts
# Of every lesson, in this order: the toy comes first.
STEPS = (TITLE, GUESS, LIVE, BY_HAND, FAIL, PUBLISHED, LIMITS, BACK_TO_GUESS, SUMMARY)


def tags(cell):
    """The tags of a cell of nbformat."""
    return tuple(cell.metadata.get("tags", ()))
