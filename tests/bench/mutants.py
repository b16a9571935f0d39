"""Do the tests of a room notice when its code is changed? Each small change is a mutant; survivors are told.

Run by hand, with .[test,mutants]:  python tests/bench/mutants.py physics|engine|antenna|FILE [--sample 200]

cosmic-ray makes the mutants (mutants.toml says which) and records them in build/mutants/. For each a process
is forked from one that has NumPy, pytest and the like in memory; it runs the tests of the room's own folder
that reach the changed line, those that kill often first, and stops at the first that fails.
equivalent_mutants.csv lists the changes that change nothing, with the reason.
"""

import argparse
import contextlib
import csv
import functools
import gc
import hashlib
import importlib
import importlib.util
import json
import os
import random
import signal
import sys
import tomllib
import traceback
from collections import Counter, defaultdict
from importlib.machinery import SourceFileLoader
from itertools import count
from pathlib import Path
from time import monotonic, process_time

os.environ["OPENBLAS_NUM_THREADS"] = "1"  # before NumPy: threads do not survive a fork
os.environ["PYTEST_DISABLE_PLUGIN_AUTOLOAD"] = "1"

import parso
import pytest
from cosmic_ray import plugins
from cosmic_ray.ast import ast_nodes, get_ast
from cosmic_ray.ast.ast_query import ASTQuery
from cosmic_ray.mutating import mutate_code
from cosmic_ray.operators.operator import Operator
from cosmic_ray.work_db import WorkDB, use_db
from cosmic_ray.work_item import MutationSpec, TestOutcome, WorkerOutcome, WorkItem, WorkResult

ROOT = Path(__file__).resolve().parents[2]
HERE = ROOT / "tests/bench"
KEPT = ROOT / "build/mutants"
CONFIG = tomllib.loads((HERE / "mutants.toml").read_text(encoding="utf-8"))
PYTEST = ["-q", "-x", "--tb=no", "--assert=plain", "-p", "_hypothesis_pytestplugin", "-p", "no:cacheprovider"]
PYTEST += [f"--rootdir={ROOT}"]
COLUMNS = ["file", "line", "becomes", "reason"]


class CallRemover(Operator):
    """Leaves out a call that stands alone."""

    def mutation_positions(self, node):
        if node.type == "simple_stmt" and node.children[0].type in ("atom_expr", "power"):
            if node.children[0].children[-1].type == "trailer":
                yield node.start_pos, node.children[0].end_pos

    def mutate(self, node, index):
        node.children[0] = parso.parse(node.children[0].get_first_leaf().prefix + "pass").children[0]
        return node

    @classmethod
    def examples(cls):
        return ()


plugins.OPERATOR_PROVIDERS["antlab"] = {"CallRemover": CallRemover}


def is_words(node):
    """Whether a node is no code that acts: a sentence, what an error says, an annotation, a lone star.

    Nor can cosmic-ray take an error by a dotted name, as json.JSONDecodeError, for another.
    """
    if node.type == "except_clause" and "." in node.get_code():
        return True
    if node.type == "operator" and node.parent.type in ("parameters", "param"):
        return True
    while node.parent is not None:
        above = node.parent
        if above.type in ("fstring", "raise_stmt", "tfpdef", "annassign") and not (
            above.type == "annassign" and node is above.children[-1] and "=" in above.children
        ):
            return True
        node = above
    return False


def places(path):
    """Where a file can be mutated: specifications, each with the node of the syntax tree."""
    nodes = tuple(ast_nodes(get_ast(path.read_text(encoding="utf-8"))))
    for name in CONFIG["mutants"]["operators"]:
        operator = plugins.get_operator(name)()
        found = ((node, where) for node in nodes for where in operator.mutation_positions(node))
        for occurrence, (node, (start, end)) in enumerate(found):
            if not is_words(node):
                yield MutationSpec(path, name, occurrence, start, end), node


def mutant(spec, node):
    """A mutant: what it is known by, its specification, mutated text, first and last line to reach.

    Known by file, line as it was, as it becomes, and the function: it is the same when other lines move.
    """
    text = spec.module_path.read_text(encoding="utf-8")
    mutated = mutate_code(text, plugins.get_operator(spec.operator_name)(), spec.occurrence)
    was, becomes = changed(text.splitlines(), mutated.splitlines())
    file = spec.module_path.relative_to(ROOT).as_posix()
    inside = ASTQuery(node).get_definition_name() or ""
    return "\n".join((file, was, becomes, f"{inside}:{spec.start_pos[1]}")), spec, mutated, statement(node)


def changed(before, after):
    """What stood in the lines that differ, and what they become."""
    least = min(len(before), len(after))
    same = next((i for i in range(least) if before[i] != after[i]), least)
    tail = next((i for i in range(least - same) if before[-1 - i] != after[-1 - i]), least - same)
    return tuple(" ".join(line.strip() for line in text[same : len(text) - tail]) for text in (before, after))


def statement(node):
    """First and last line of the smallest statement a node is in; for a function's head all of it.

    What decorates a class is its head alone: whoever makes the class reaches it, at import.
    """
    while node.parent is not None and not node.type.endswith("_stmt") and node.type not in (
        "expr_stmt", "simple_stmt", "decorated", "funcdef", "classdef",
    ):  # fmt: skip
        node = node.parent
    if node.type == "decorated" and node.children[-1].type == "classdef":
        return node.start_pos[0], node.children[-1].start_pos[0]
    suite = next((child for child in getattr(node, "children", ()) if child.type == "suite"), None)
    if suite is None or node.type == "funcdef":
        return node.start_pos[0], node.end_pos[0]
    return node.start_pos[0], max(node.start_pos[0], suite.start_pos[0] - 1)


def in_child(work, report):
    """Fork; in the child run work(), write what it returns to the file report, and end. Returns its id."""
    child = os.fork()
    if child:
        return child
    null = os.open(os.devnull, os.O_RDWR)
    for stream in (0, 1, 2):
        os.dup2(null, stream)
    try:
        said = work()
    except BaseException:
        said = {"failed": traceback.format_exc()}
    report.write_text(json.dumps(said), encoding="utf-8")
    os._exit(0)


class Ours:
    """What every run of pytest here shares: Hypothesis looks for a failure, and does not make it pretty."""

    def pytest_sessionstart(self):
        import hypothesis

        look = [hypothesis.Phase.explicit, hypothesis.Phase.generate]
        hypothesis.settings.register_profile(
            "mutants", hypothesis.settings.default, phases=look, database=None
        )
        hypothesis.settings.load_profile("mutants")


class Reach(Ours):
    """Which lines each test reaches, and how long it takes; caches are emptied before each."""

    def __init__(self, coverage):
        self.coverage, self.seconds = coverage, {}

    @pytest.hookimpl(wrapper=True)
    def pytest_make_collect_report(self, collector):
        self.coverage.switch_context(collector.nodeid.partition("::")[0])
        return (yield)

    @pytest.hookimpl(wrapper=True)
    def pytest_fixture_setup(self, fixturedef, request):
        if fixturedef.scope != "function":
            self.coverage.switch_context(request.node.nodeid.partition("::")[0])
        try:
            return (yield)
        finally:
            self.coverage.switch_context(self.now)

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_protocol(self, item):
        for cached in gc.get_objects():
            if isinstance(cached, functools._lru_cache_wrapper) and of_ours(cached.__module__):
                cached.cache_clear()
        self.now = item.nodeid
        self.coverage.switch_context(item.nodeid)
        start = process_time()
        try:
            return (yield)
        finally:
            self.seconds[item.nodeid] = process_time() - start


def of_ours(name):
    module = sys.modules.get(name)
    return str(getattr(module, "__file__", "")).startswith(str(ROOT))


def reach(room):
    """By file and line the tests that reach it, or import; seconds by test; the modules imported.

    Watching makes slow: a test with a bound of time may fail here. Whether it kills is seen without.
    """
    import coverage

    cover = coverage.Coverage(data_file=None, source=[str(ROOT / "antlab")], config_file=False)
    watch = Reach(cover)
    cover.start()
    cover.switch_context("import")
    for path in files_of(room):
        importlib.import_module(module_of(path))
    code = pytest.main([*PYTEST, "--maxfail=0", str(ROOT / "tests" / room)], [watch])
    cover.stop()
    if code not in (pytest.ExitCode.OK, pytest.ExitCode.TESTS_FAILED):
        return {"failed": code}
    data, lines = cover.get_data(), defaultdict(dict)
    for file in data.measured_files():
        for line, contexts in data.contexts_by_lineno(file).items():
            lines[Path(file).relative_to(ROOT).as_posix()][line] = contexts
    modules = [name for name in sys.modules if not of_ours(name)]
    return {"lines": lines, "seconds": watch.seconds, "modules": modules}


def have(modules):
    """All but the package and the tests is in memory before the forks."""
    for module in modules:
        with contextlib.suppress(Exception):
            importlib.import_module(module)


def unchanged(room, found, patience):
    """What every mutant is held against: the same tests pass in the same way where nothing is changed."""
    have(found["modules"])
    path, seconds = files_of(room)[0], found["seconds"]
    wanted = within(patience, sorted(seconds, key=seconds.get), seconds)
    return attempt(path, path.read_text(encoding="utf-8"), wanted, seconds)


def measured(room, patience):
    """reach(room) from a process of its own, kept until a file of the package or of the tests changes."""
    state = hashlib.sha256()
    for path in sorted([*(ROOT / "antlab").rglob("*.py"), *(ROOT / "tests" / room).rglob("*.py")]):
        state.update(path.read_bytes())
    report = KEPT / f"{room}-{state.hexdigest()[:16]}.json"
    if fresh := not report.exists():
        print(f"measuring which tests of tests/{room} reach which line …", flush=True)
        os.waitpid(in_child(lambda: reach(room), report), 0)
    found = json.loads(report.read_text(encoding="utf-8"))
    if fresh and "failed" not in found:
        check = KEPT / "unchanged"
        os.waitpid(in_child(lambda: unchanged(room, found, patience), check), 0)
        passed, killer = json.loads(check.read_text(encoding="utf-8")) if check.exists() else (False, "time")
        found |= {} if passed else {"failed": killer}
    if "failed" in found:
        report.unlink()
        raise SystemExit(f"tests/{room} fails where nothing is changed: {found['failed']}")
    return found


class Only(Ours):
    """Runs the wanted tests alone, in their order, each within a bound of processor time."""

    def __init__(self, wanted, seconds):
        self.wanted, self.seconds, self.killer = wanted, seconds, None

    def pytest_collection_modifyitems(self, items):
        place = {test: i for i, test in enumerate(self.wanted)}
        items[:] = sorted((one for one in items if one.nodeid in place), key=lambda one: place[one.nodeid])

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_protocol(self, item):
        signal.setitimer(signal.ITIMER_PROF, 5 + 3 * self.seconds[item.nodeid])  # its signal ends the process
        return (yield)

    def pytest_runtest_logreport(self, report):
        if report.failed:
            self.killer = report.nodeid


def attempt(path, text, wanted, seconds):
    """Run the wanted tests with a file's text replaced. Returns [whether all pass, the test that fails]."""

    class Mutated(SourceFileLoader):
        def get_code(self, name):
            return compile(text, path, "exec")

    class Finder:
        @staticmethod
        def find_spec(name, path_of_package=None, target=None):
            if name == module_of(path):
                return importlib.util.spec_from_file_location(name, path, loader=Mutated(name, str(path)))

    sys.meta_path.insert(0, Finder)
    signal.setitimer(signal.ITIMER_PROF, 30)
    only = Only(wanted, seconds)
    folders = sorted({test.partition("::")[0] for test in wanted})
    code = pytest.main([*PYTEST, *(str(ROOT / one) for one in folders)], [only])
    if code in (pytest.ExitCode.USAGE_ERROR, pytest.ExitCode.NO_TESTS_COLLECTED):
        raise RuntimeError(f"pytest could not begin: {code}")
    return [code == 0, only.killer or "collection"]


def module_of(path):
    return ".".join(path.relative_to(ROOT).with_suffix("").parts)


def files_of(room):
    paths = [ROOT / one for one in CONFIG["rooms"][room]]
    found = [file for one in paths for file in (sorted(one.rglob("*.py")) if one.is_dir() else [one])]
    return [one for one in found if one.stat().st_size]


def tests_for(spec, lines, found, kills, patience):
    """The tests that can notice a change in some lines, in the order in which they are tried.

    What import alone reaches, such as a constant, any test may notice, since other files take it by its name.
    patience: seconds that all of them may take; a mutant that only the others would kill lives on.
    """
    reached = found["lines"].get(spec.module_path.relative_to(ROOT).as_posix(), {})
    contexts = {one for line in range(lines[0], lines[1] + 1) for one in reached.get(str(line), ())}
    seconds = found["seconds"]
    near = {one for one in seconds if one in contexts or one.partition("::")[0] in contexts}
    if contexts <= {"import", ""}:
        near = set(seconds)
    order = sorted(near, key=lambda test: (seconds[test] + 0.01) / (1 + kills[test]))
    return within(patience, order, seconds)


def within(patience, tests, seconds):
    """Those of the tests, in their order, that together take no longer."""
    wanted, left = [], patience
    for test in tests:
        if seconds[test] <= left:
            wanted.append(test)
            left -= seconds[test]
    return wanted


def run(jobs, records, found, workers, patience):
    """Try the mutants; record what becomes of them, and yield name and whether killed as they end."""
    kills, busy, numbers = Counter(), {}, count()
    jobs = iter(jobs)
    while True:
        while len(busy) < workers and (job := next(jobs, None)):
            name, spec, text, lines = job
            wanted = tests_for(spec, lines, found, kills, patience)
            if not wanted:
                result = WorkResult(WorkerOutcome.NO_TEST, "", TestOutcome.SURVIVED, "")
                records[spec.module_path].set_result(name, result)
                yield name, False
                continue
            report = KEPT / f"report-{os.getpid()}-{next(numbers)}"
            work = functools.partial(attempt, spec.module_path, text, wanted, found["seconds"])
            busy[in_child(work, report)] = name, spec.module_path, report
        if not busy:
            return
        child, _ = os.wait()
        name, path, report = busy.pop(child)
        said = json.loads(report.read_text()) if report.exists() else (False, "time")
        report.unlink(missing_ok=True)
        if "failed" in said:
            raise SystemExit(f"the runner itself fails, at\n{name}\n{said['failed']}")
        survived, killer = said
        kills[killer] += not survived
        outcome = TestOutcome.SURVIVED if survived else TestOutcome.KILLED
        records[path].set_result(name, WorkResult(WorkerOutcome.NORMAL, killer or "", outcome, ""))
        yield name, not survived


def equivalents():
    """The listed changes that change nothing: (file, line, becomes)."""
    with (HERE / "equivalent_mutants.csv").open(encoding="utf-8", newline="") as file:
        return {(row["file"], row["line"], row["becomes"]) for row in csv.DictReader(file)}


def margin(share, size, of):
    """Half the width of the 95 % interval of a share that a sample of so many out of so many shows."""
    return 1.96 * (share * (1 - share) / size * (1 - size / of)) ** 0.5 if size else 1.0


def main():
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0], allow_abbrev=False)
    parser.add_argument("target", help="physics, engine, antenna, or a file of theirs")
    parser.add_argument("--sample", type=int, help="try so many, drawn by chance, and say the margin")
    parser.add_argument("--seed", type=int, default=1, help="of the drawing (%(default)s)")
    parser.add_argument("--again", action="store_true", help="try only what was not killed in the run before")
    parser.add_argument("--patience", type=float, default=20, help="seconds of tests a mutant (%(default)g)")
    parser.add_argument("--workers", type=int, default=2, help="processes at once (%(default)s)")
    args = parser.parse_args()
    room = args.target if args.target in CONFIG["rooms"] else None
    paths = files_of(room) if room else [Path(args.target).resolve()]
    room = room or next((one for one in CONFIG["rooms"] if paths[0] in files_of(one)), None)
    if room is None:
        parser.error(f"{args.target} is no room and no file of a room: {', '.join(CONFIG['rooms'])}")
    KEPT.mkdir(parents=True, exist_ok=True)
    sys.path.insert(0, str(ROOT))
    os.chdir(ROOT)
    found = measured(room, args.patience)
    have(found["modules"])
    gc.collect()
    gc.freeze()  # so that a child's collector does not copy what it shares

    every = [one for path in paths for one in places(path)]
    drawn = random.Random(args.seed).sample(every, min(args.sample, len(every))) if args.sample else every
    same, drawn = equivalents(), [mutant(*one) for one in drawn]
    jobs = [one for one in drawn if tuple(one[0].split("\n")[:3]) not in same]
    total, alive = Counter(job[1].module_path for job in jobs), Counter()
    where = {job[0]: job for job in jobs}
    with contextlib.ExitStack() as open_:
        records = {path: open_.enter_context(use_db(record_of(path), WorkDB.Mode.create)) for path in paths}
        for db in records.values() if not args.again else ():
            db.clear()
        before = {name for db in records.values() for name, result in db.results if result.is_killed}
        known = {item.job_id for db in records.values() for item in db.work_items}
        for path, db in records.items():
            new = {name: spec for name, spec, *_ in jobs if spec.module_path == path and name not in known}
            db.add_work_items(WorkItem.single(name, spec) for name, spec in new.items())
        todo, start = [job for job in jobs if job[0] not in before], monotonic()
        for done, (name, killed) in enumerate(run(todo, records, found, args.workers, args.patience), 1):
            _, spec, _, lines = where[name]
            if not killed:
                file, was, becomes, _ = name.split("\n")
                alive[spec.module_path] += 1
                print(f"ALIVE {file}:{lines[0]}\n    - {was}\n    + {becomes}", flush=True)
            if done % 100 == 0:
                print(f"… {done} of {len(todo)} in {monotonic() - start:.0f} s", flush=True)
    for path in paths:
        told(path.relative_to(ROOT), total[path], total[path] - alive[path])
    size = sum(total.values())
    share = told(args.target, size, size - sum(alive.values()))
    if args.sample:
        print(f"a draw: ± {margin(share, size, len(every)):.1%} (95 %)")
    print(f"{len(drawn)} of {len(every)} mutants, {len(drawn) - len(jobs)} of them listed as equivalent")


def told(what, size, dead):
    """Print a score; return its share."""
    share = dead / size if size else 1.0
    print(f"{what}: {dead} of {size} killed, {share:.1%}")
    return share


def record_of(path):
    return str(KEPT / f"{module_of(path)}.sqlite")


if __name__ == "__main__":
    main()
