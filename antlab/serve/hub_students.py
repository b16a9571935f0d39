"""For a JupyterHub that is there already: makes each student's server one with the lessons.

Copied into the jupyterhub_config.d of The Littlest JupyterHub, or read by load_subconfig elsewhere: copied,
so that the hub, which is root, reads nothing that others may write. Who may come in, memory and the culling
of idle servers stay with the hub. It imports nothing of antlab: the hub has a Python environment of its own.
"""

c = get_config()  # noqa: F821  (JupyterHub's)

c.Spawner.cmd = ["antlab-singleuser"]  # on the PATH of the students' environment, as jupyterhub-singleuser is
c.Spawner.args = [
    "--MappingKernelManager.cull_idle_timeout=7200",  # an evening of two hours loses no kernel to a long talk
    "--MappingKernelManager.cull_connected=True",  # a page left open overnight does not keep its kernel
    "--MappingKernelManager.cull_interval=300",
]
c.Spawner.disable_user_config = True  # JupyterHub's "Security Overview": nothing from their homes is loaded
c.Spawner.start_timeout = c.Spawner.http_timeout = 300  # a whole class logs in at once, on few cores
