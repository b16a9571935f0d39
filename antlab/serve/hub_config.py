"""A JupyterHub of its own for a class: jupyterhub -f hub_config.py, copied with hub_students.py beside it.

It is open to nobody yet. Say who may come in, and how the world reaches it, in a file of yours that begins
with load_subconfig on this one; JupyterHub's documentation tells how, under "Authentication and User Basics"
and "Security settings".
"""

import sys
from pathlib import Path

c = get_config()  # noqa: F821  (JupyterHub's, as the next)
load_subconfig(str(Path(__file__).resolve().with_name("hub_students.py")))  # noqa: F821

c.JupyterHub.bind_url = "http://127.0.0.1:8000"  # for this machine only, until there is TLS in front
c.Spawner.mem_limit = "1G"  # held by spawners that can (systemd, containers), not by plain local processes

# As the documentation of jupyterhub-idle-culler has it: a service with no more rights than it needs.
c.JupyterHub.services = [
    {"name": "idle-culler", "command": [sys.executable, "-m", "jupyterhub_idle_culler", "--timeout=3600"]}
]
c.JupyterHub.load_roles = [
    {
        "name": "idle-culler",
        "scopes": ["list:users", "read:users:activity", "read:servers", "delete:servers"],
        "services": ["idle-culler"],
    }
]
