"""What is typed into homework cells: read where it is clear what is meant, else answered with a sentence.

The lessons' kernels load this as an extension of IPython; elsewhere `homework.sheet` puts it in place. Code
is changed only before Python reads it, by signs and names; nothing in quotation marks is ever worked out.
"""


def load_ipython_extension(shell):
    """Read homework cells of an IPython shell as they are meant. shell: an InteractiveShell."""
    from antlab.classroom.typed.shell import attach

    attach(shell)
