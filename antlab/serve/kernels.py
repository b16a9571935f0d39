"""How the lessons' server starts a notebook's Python: as everywhere, but it reads homework as it is meant."""

from jupyter_client.kernelspec import NATIVE_KERNEL_NAME, KernelSpecManager

TYPED = "--InteractiveShellApp.extra_extensions=antlab.classroom.typed"


class HomeworkKernels(KernelSpecManager):
    """Jupyter's own, that hands the machine's Python kernel one argument more."""

    def get_kernel_spec(self, kernel_name):
        """The spec of a kernel by its name; raises NoSuchKernel."""
        spec = super().get_kernel_spec(kernel_name)
        if kernel_name == NATIVE_KERNEL_NAME:
            spec.argv = [*spec.argv, TYPED]
        return spec
