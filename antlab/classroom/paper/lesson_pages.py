"""Lesson pages: each lesson as one page of HTML to read and to drag, which needs no kernel and no network.

A page shows its notebook as it is stored. A live view is a film (views/film.py) that lies in the page as a
phone shows it. The film for a wide window, and those for what a list offers, lie in files beside the page: a
script tag brings them, so that it works from a disk too. Homework, symbols and sources are pages to read.
"""

import html
import json
import multiprocessing
import os
import re
import signal
from concurrent.futures import ProcessPoolExecutor
from dataclasses import asdict
from functools import partial

import nbformat

from antlab import files
from antlab.classroom import live
from antlab.classroom.course import course
from antlab.classroom.guess import entry
from antlab.classroom.guess.question import plain, read_guess
from antlab.classroom.paper import pages
from antlab.classroom.paper.handouts import TEMPLATES, Exporter, lessons, title_of
from antlab.classroom.paper.stills import STILL
from antlab.classroom.tags import BACK_TO_GUESS, GUESS_ENTERED, SET_UP, TITLE, tags
from antlab.classroom.views.film import squeezed
from antlab.classroom.views.player import PHONE, SCRIPT, called, worded
from antlab.trouble import Slip

FILMS = "films"  # the folder beside the pages
LOOKS = {"phone": PHONE, "wide": pages.WIDE}
AT_ONCE = 2  # lessons, each in a process of its own
FOLDED = "folded"  # a tag that is given here: a section whose words open when asked for
ANSWER = re.compile(r"\*\*(\d+)\.\*\* (.+?)(?=\s*\*\*\d+\.\*\* |\Z)", re.DOTALL)
READ_TOO = {"symbols": "Symbols", "sources": "Sources"}  # pages of reference, name -> words of the link
WORDS = {
    "code": "Code",
    "answer": "Answer to",
    "told": "Show what is right",
    "alone": "This picture on a page of its own",
    "lists": "Of the lists one is changed at a time here; the others then go back to where they began. In "
    "JupyterLab they all go together.",
    "steps": "Here it goes in steps, in this yard alone; watts and units are lists above it. In JupyterLab "
    "it goes anywhere, has the tabs that the tasks name, and takes your own garden, bands and parts.",
    "note": "Nothing has to be run on this page: what a cell says stands below its code, which is folded. To "
    "change the code, open this lesson in JupyterLab.",
    "swipe": "Swipe the picture: more to the right →",
    "sheet": "A sheet to read. Its numbers are those of the example; numbers of your own, and the check of "
    "your answers, are in JupyterLab.",
}
SAID = {
    "try": "Try it first with the picture above. Press once more to see the answer all the same.",
    "back": "went back: one list at a time",
    "lost": f"This table is not here: copy the folder “{FILMS}” too, and lay it beside this page.",
}
KEPT = "It is kept in this browser: you may change it until the end of the lesson."
NOT_KEPT = "This browser keeps nothing for this page: your guess is here until you leave."


def write_course(folder, numbers=None, *, beside=None, with_earlier=False):
    """Write lessons as pages, with all views and a front page; return the paths, the front page first.

    folder: made if need be. numbers: of the lessons, "00" to "10"; all if none are given. beside: more pages
    of ours, name -> HTML; they come last. with_earlier: the front page, and each of these, leads to lessons
    too that lie in the folder already. It takes about a minute. Raises FileExistsError before writing
    anything if a file in the way is not ours.
    """
    numbers = list(lessons()) if numbers is None else list(numbers)
    folder = pages.own(folder, ["index", *page_names(numbers), *pages.views(), *(beside or {})])
    films = folder / FILMS
    if os.path.lexists(films) and (films.is_symlink() or not films.is_dir()):
        raise FileExistsError(f"{films} is not antlab's: choose another folder with --folder")
    linked = sorted({*numbers, *(_there(folder) if with_earlier else ())})
    jobs = sorted(numbers, key=_weight, reverse=True)  # the longest first
    if len(jobs) > 1:
        fresh = multiprocessing.get_context("spawn")
        silent = {"initializer": signal.signal, "initargs": (signal.SIGINT, signal.SIG_DFL)}  # at Ctrl-C
        with ProcessPoolExecutor(min(AT_ONCE, len(jobs)), mp_context=fresh, **silent) as workers:
            made = [*workers.map(partial(write_lesson, folder, linked), jobs)]
    else:
        made = [write_lesson(folder, linked, number) for number in jobs]
    read = [files.write(folder / f"{name}.html", reading(name, linked).encode()) for name in READ_TOO]
    first, *rest = pages.write_pages(folder, beside=beside, front=front(linked))
    return [first, *(path for paths in made for path in paths), *read, *rest]


def _there(folder):
    """The lessons whose pages a folder has, by number."""
    return [number for number, path in lessons().items() if pages.is_ours(folder / f"{path.stem}.html")]


def page_names(numbers):
    """The pages of these lessons, of their homework and of reference, by name."""
    sheets = [f"homework-{number}" for number in numbers if sheet_of(number)]
    return [*(lessons()[number].stem for number in numbers), *sheets, *READ_TOO]


def sheet_of(number):
    """The homework sheet of a lesson, a path; None where there is none."""
    return next((course() / "notebooks" / "homework").glob(f"{number}-*.ipynb"), None)


def _weight(number):
    """About how many films a lesson has."""
    shown = [pages.live_call(cell) for cell in _cells(number)]
    return sum(1 + sum(map(len, live.VIEWS[name].choices.values())) for name, _ in filter(None, shown))


def write_lesson(folder, numbers, number):
    """Write a lesson's page, its films and its homework; return their paths."""
    text, films = lesson_page(number, numbers)
    made = [files.write(folder / f"{lessons()[number].stem}.html", text.encode())]
    if sheet_of(number):
        sheet = sheet_page(number, numbers)
        made.append(files.write(folder / f"homework-{number}.html", sheet.encode()))
    for film in films():
        made.append(files.write(folder / film[0], script_of(film).encode()))
    return made


def script_of(film):
    """A film of lesson_page as the file that a script tag brings."""
    return f"// {pages.OURS}\nantlabFilm(...{json.dumps(film)});\n"


def lesson_page(number, numbers=None):
    """One lesson as a page. Returns its HTML, and a function that yields its films.

    A film is the name of its file, its content, and in place of that a sentence where the setting makes no
    sense. numbers: of the lessons to which it may lead; all if none are given.
    """
    notebook, films = nbformat.read(lessons()[number], as_version=4), []
    answered, asked = told_in(notebook), [cell.source for cell in at_views(notebook)]
    told = {int(one): words for one, words in ANSWER.findall(answered)}
    for cell in notebook.cells:
        shown = pages.live_call(cell)
        if shown:
            cell.outputs = [*cell.outputs, _output(_view(*shown, f"{FILMS}/{number}-{len(films)}", films))]
        elif GUESS_ENTERED in tags(cell):
            cell.outputs = [_output({"guess": _guess(number, "beside_answer" in cell.source)})]
        if BACK_TO_GUESS in tags(cell) or cell.source == answered:
            cell.metadata["tags"] = [*tags(cell), FOLDED]
    notebook.cells = [cell for cell in notebook.cells if SET_UP not in tags(cell)]

    def answers(piece):
        if not any(piece.text in source for source in asked):
            return []
        found = [int(one) for one in re.findall(r"(?:^|\s)(\d+)\. ", piece.text)]
        return [(one, told[one]) for one in found if one in told]

    text = _exported(notebook, number, numbers, WORDS["note"], _scripts(), answers)
    return text, lambda: (film for films_of in films for film in films_of())


def sheet_page(number, numbers=None):
    """The homework of a lesson as a page to read, HTML."""
    return _exported(nbformat.read(sheet_of(number), as_version=4), number, numbers, WORDS["sheet"])


def reading(name, numbers=None):
    """A page of reference, HTML. name: of READ_TOO."""
    return _exported(reference(name), None, numbers)


def reference(name):
    """A page of reference as a notebook. name: of READ_TOO."""
    text = (course() / "notebooks" / f"{name}.md").read_text(encoding="utf-8")
    return nbformat.v4.new_notebook(cells=[nbformat.v4.new_markdown_cell(text)])


def front(numbers):
    """The course for the front page, HTML: each lesson with its question and its homework."""
    said = []
    for number in numbers:
        path, (about,) = lessons()[number], (one for one in _cells(number) if TITLE in tags(one))
        title, question = pages.title_and_question(about.source)
        homework = f' <a href="homework-{number}.html">Homework {number}</a>' if sheet_of(number) else ""
        link = f'<a href="{path.stem}.html">{html.escape(title)}</a>'
        said.append(f"<li>{link}<br>{html.escape(question)}{homework}</li>")
    links = " · ".join(f'<a href="{name}.html">{words}</a>' for name, words in READ_TOO.items())
    return (
        "<p>A course on HF wire antennas. Read, guess, drag each picture by touch, mouse or arrow keys. "
        "Nothing here needs a network.</p>\n"
        f"<ul>\n{chr(10).join(said)}\n</ul>\n<p>{links}</p>\n<h2>Pictures to drag</h2>\n"
    )


def _cells(number):
    return nbformat.read(lessons()[number], as_version=4).cells


def at_views(notebook):
    """Yield the cells of words between a live view and the next heading or code: they ask what it shows."""
    shown = None
    for cell in notebook.cells:
        if cell.cell_type == "code" or cell.source.startswith("#"):
            shown = pages.live_call(cell)
        elif shown:
            yield cell


def told_in(notebook):
    """The words that answer the questions at the views: of the first such cell after the guess's answer."""
    sources = [cell for cell in notebook.cells if cell.cell_type == "markdown"]
    after = [i for i, cell in enumerate(sources) if BACK_TO_GUESS in tags(cell)]
    return next((cell.source for cell in sources[after[0] :] if ANSWER.search(cell.source)), "")


def _output(shown):
    return nbformat.v4.new_output("display_data", data={STILL: shown})


def _view(name, given, place, films):
    """What the template shows of a live view; appends to films a function that yields its files."""
    view = live.VIEWS[name]
    wanted, choices = view.settings(given)
    lists, wide = [], f"{place}-wide.js"
    later = [("wide", choices, wide)]

    def film(look, chosen):
        if view.ask:
            return pages.light(view.film_of_stops(LOOKS[look], wanted, chosen))
        return pages.light(view.film_of_all(LOOKS[look], chosen, view.places(wanted, choices)))

    offered = view.offered_in_stops if view.ask else view.offered
    for i, (choice, options) in enumerate(offered(choices).items()):
        begins, found = options.index(choices[choice]), []
        for k, option in enumerate(options):
            found.append(None if k == begins else {one: f"{place}-{i}-{k}-{one}.js" for one in LOOKS})
            later += [(one, choices | {choice: option}, file) for one, file in (found[-1] or {}).items()]
        lists.append(
            {
                "name": worded(choice),
                "options": [called(one, choice) for one in options],
                "begins": begins,
                "films": found,
            }
        )

    def files_of():
        for look, chosen, file in later:
            try:
                yield file, squeezed(film(look, chosen)), ""
            except Slip as wrong:
                yield file, "", str(wrong)

    films.append(files_of)
    first = film("phone", choices)
    about = {"title": view.title, "at": first["at"], "wide": wide, "lists": lists, "words": SAID}
    return {"name": name, "about": about, "film": squeezed(first), "steps": view.ask}


def _guess(number, is_told):
    """What the page's guess.js gets: the guess, or the guess beside its answer."""
    guess = read_guess(number)
    options = {letter: plain(words) for letter, words in guess.options.items()}
    answer = None
    if is_told:
        curve = entry.true_curve(guess)
        points = curve and [*zip(*(one.round(4).tolist() for one in curve), strict=True)]
        answer = {"curve": points, "alt": entry.compared(guess, [])}
    said = {
        letter: entry.answered(guess, letter) if is_told
        else [entry.WORDS["chosen"].format(letter=letter, words=words.rstrip("."))]
        for letter, words in options.items()
    }  # fmt: skip
    return {
        "key": f"antlab.guess.{number}", "chosen": said, "kept": KEPT, "notKept": NOT_KEPT,
        "none": entry.answered(guess, "") if is_told else [entry.WORDS["none"]],
        "about": {
            "options": options, "curve": guess.curve and asdict(guess.curve), "places": entry.PLACES,
            "words": entry.WORDS, "look": "plain", "answer": answer,
        },
    }  # fmt: skip


def _exported(notebook, number, numbers=None, note="", scripts=(), answers=lambda piece: []):
    """A notebook as the text of a page."""
    numbers = list(lessons()) if numbers is None else numbers
    links = {f"{name}.md": f"{name}.html" for name in READ_TOO}
    for one in numbers:
        path = lessons()[one]
        links[path.name] = f"{path.stem}.html"
        if sheet_of(one):
            links[f"homework/{sheet_of(one).name}"] = f"homework-{one}.html"
    links |= {f"../{url}": page for url, page in links.items()}
    ways = {"index.html": "The course"}
    if number and scripts:
        i = numbers.index(number)
        near = {"Before": numbers[i - 1] if i else None, "Next": (numbers[i + 1 :] or [None])[0]}
        for words, one in near.items():
            if one:
                title = title_of(nbformat.read(lessons()[one], as_version=4))
                ways[f"{lessons()[one].stem}.html"] = f"{words}: {title}"
    elif number:
        ways[f"{lessons()[number].stem}.html"] = f"Lesson {number}"
    about = {
        "mark": pages.OURS, "title": title_of(notebook), "note": note, "words": WORDS,
        "ways": ways, "scripts": scripts,
    }  # fmt: skip
    exporter = Exporter("lesson", links=links, filters={"answers": answers})
    return exporter.from_notebook_node(notebook, about)[0].replace("<th></th>", "<td></td>")


def _scripts():
    """Both modules of a lesson's page: guess.js and live.js, each with what the page does with it."""
    return [
        f"{script}\n{(TEMPLATES / name).read_text(encoding='utf-8')}"
        for script, name in ((entry.SCRIPT, "lesson_guess.js"), (SCRIPT, "lesson_views.js"))
    ]
