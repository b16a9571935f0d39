"""The command line: python3 -m antlab [command]."""

import sys

if sys.version_info < (3, 11):  # noqa: UP036  (a checkout is run before any installer has looked at this)
    sys.stderr.write(
        "antlab: Python {}.{} is too old: install Python 3.11 or newer and run this again with it, "
        "such as python3.12 -m antlab.\n".format(*sys.version_info)
    )
    sys.exit(2)

from antlab.cli.main import main

if __name__ == "__main__":
    sys.exit(main())
