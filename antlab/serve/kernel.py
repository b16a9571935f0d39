"""The lessons' kernel where others have accounts on the machine: no port of it is open to them.

Jupyter can keep a kernel's sockets as files (KernelManager.transport=ipc), but beside them ipykernel opens
ports on 127.0.0.1, where every account of the machine may connect: one for what forked processes print, and,
once somebody switches the debugger on, one that runs whatever comes in. Here it opens neither.
"""

import os
import sys

from ipykernel.iostream import IOPubThread


class ClosedThread(IOPubThread):
    """What carries a kernel's words to its pages, without the port for those of forked processes."""

    def _setup_pipe_in(self):
        self._pipe_flag = False


def print_plainly():
    """In a forked process, print to the plain streams, which the kernel reads too."""
    sys.stdout, sys.stderr = sys.__stdout__, sys.__stderr__


def main():
    """Be the kernel that shared/kernels names; arguments are those of ipykernel_launcher."""
    sys.modules["debugpy"] = None  # ipykernel does without a debugger where there is none
    from ipykernel import kernelapp

    kernelapp.IOPubThread = ClosedThread
    os.register_at_fork(after_in_child=print_plainly)
    kernelapp.launch_new_instance()


if __name__ == "__main__":
    main()
