"""The command `antlab check`: is this machine ready for a lesson, and if not, what mends it.

Standard library only, and nothing is made: it has to run where the first run is still to come.
"""

import platform

from antlab import __version__, files
from antlab.classroom import course
from antlab.cli.check import environment, machine, material, ways
from antlab.cli.check.finding import COMMAND, mend
from antlab.trouble import expanded, print_safely


def run_check(args, rest):
    """Say whether this machine is ready; status 0 if it is, 2 if something is to mend."""
    system = f"{platform.system()} {platform.machine()}".strip()
    print_safely(f"antlab {__version__} on this machine ({system}); this takes some seconds.")
    to_mend = 0
    for finding in carefully(look, expanded(args.folder).absolute(), args.port):
        print_safely(f"{finding.word}  {finding.text}" + (f"\n      {finding.way}" if finding.way else ""))
        to_mend += finding.word == "mend"
    if to_mend:
        print_safely(f"{to_mend} {'thing' if to_mend == 1 else 'things'} to mend.")
        return 2
    print_safely(f"Everything is ready: {COMMAND}")
    return 0


def look(folder, port):
    """Yield a finding for each thing that a lesson stands on, first for what all of Jupyter needs."""
    line = list(carefully(machine.line_to_itself))
    yield from line
    place, source = environment.find(files.ROOT), course.course()
    yield from carefully(environment.python, place)
    yield from carefully(environment.packages, place)
    trial = environment.try_kernel(place) if all(finding.word == "good" for finding in line) else None
    checks = [
        (environment.kernel, trial),
        (material.whole, source),
        (material.work_folder, source, folder),
        (machine.room, folder, place),
        (machine.port, port),
        (machine.proxy,),
        (machine.browser,),
        (material.offline, source, folder, trial),
        (machine.clock,),
        (ways.ways_served, place, trial),
    ]
    for check, *given in checks:
        yield from carefully(check, *given)


def carefully(check, *given):
    """Yield what a check finds; one that fails in a way that nobody foresaw is a line too."""
    try:
        yield from check(*given)
    except Exception as error:
        yield mend(
            f"The check of {check.__name__.replace('_', ' ')} failed: {type(error).__name__}: {error}",
            "Run this again; if it stays, show this line to whoever looks after antlab.",
        )
