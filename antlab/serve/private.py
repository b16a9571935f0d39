"""JupyterLab's server, started so that its token is seen by nobody but the student."""

import secrets
from pathlib import Path

from jupyter_server.serverapp import ServerApp
from traitlets import default

from antlab import files
from antlab.classroom.course import OURS

REDIRECT = "open-*.html"


class PrivateServer(ServerApp):
    """Tells the browser its address in a file: whatever stands on a command line, every account can read.

    The file lies in the work folder, where a browser packed in a sandbox can read it too, and is for its
    owner alone; it goes when the server ends.
    """

    @default("browser_open_file")
    def _in_the_work_folder(self):
        return str(Path(self.root_dir) / OURS / REDIRECT.replace("*", secrets.token_hex(16)))

    def write_browser_open_file(self):
        """Write the page that leads to the lessons, into a file that is closed to others beforehand."""
        for left in Path(self.root_dir).glob(f"{OURS}/{REDIRECT}"):
            left.unlink(missing_ok=True)  # of a server that was killed: its token is worth nothing any more
        if self.open_browser:
            files.write(self.browser_open_file, b"", private=True)
            super().write_browser_open_file()
