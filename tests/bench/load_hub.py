"""A class on one JupyterHub: students log in, run lesson 07 and drag, by the protocols that a browser speaks.

    python tests/bench/load_hub.py --students 12

Needs `pip install -e ".[hub]"` and JupyterHub's proxy, configurable-http-proxy of npm, on the PATH or named
by --proxy. The hub is started here, on 127.0.0.1 alone, with serve/hub_config.py. Students are made up,
their homes in a temporary folder; with --system-users, as root, each is an account of this machine, made by
JupyterHub and removed at the end. Exit status 1 if anybody was lost.
"""

import argparse
import contextlib
import json
import os
import pwd
import re
import secrets
import shutil
import signal
import socket
import statistics
import subprocess
import sys
import tempfile
import time
import uuid
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime
from pathlib import Path

import psutil
import requests
import websocket
from jupyter_server.services.kernels.connection.base import deserialize_msg_from_ws_v1, serialize_msg_to_ws_v1

from antlab.serve import singleuser, work

MOST_STUDENTS, MOST_MINUTES = 60, 30
CONFIG = Path(singleuser.__file__).with_name("hub_config.py")
LESSON, PLANNER = "notebooks/07-height-and-takeoff.ipynb", "notebooks/09-your-antenna.ipynb"
SOILS = ("wet", "rocky", "sea water", "very dry")  # a class clicks about: each student another at each choice
PREFIX = "antlab-load-"
V1 = "v1.kernel.websocket.jupyter.org"  # as JupyterLab speaks to a kernel
PATH = f"{Path(sys.executable).parent}{os.pathsep}{os.environ['PATH']}"
NOTE = "We measured our own mast: 11 m."


class Hub:
    """A JupyterHub in a temporary folder; what it started ends with it, whatever happened."""

    def __init__(self, names, *, proxy, system_users, cull):
        self.names, self.system_users = names, system_users
        self.folder = Path(tempfile.mkdtemp(prefix="antlab-hub-"))
        self.folder.chmod(0o755)  # a system user has to get through
        self.passwords = {name: secrets.token_hex(8) if system_users else "load" for name in names}
        port, hub_port, proxy_port = free_ports(3)
        self.site = f"http://127.0.0.1:{port}"
        self.homes = Path("/home") if system_users else self.folder / "h"  # sockets lie there: a short path
        settings = f"""
c.Spawner.default_url = "/lab"  # as distributions have it; ours has to win
load_subconfig({str(CONFIG)!r})
c.JupyterHub.bind_url = {self.site!r}
c.JupyterHub.hub_port = {hub_port}
c.ConfigurableHTTPProxy.api_url = "http://127.0.0.1:{proxy_port}"
c.ConfigurableHTTPProxy.command = [{proxy!r}]
c.JupyterHub.log_level = "WARN"
c.Authenticator.allowed_users = {set(names)!r}
"""
        if system_users:
            settings += """
c.JupyterHub.authenticator_class = "pam"
c.LocalAuthenticator.create_system_users = True
"""
        else:
            settings += f"""
c.JupyterHub.authenticator_class = "dummy"
c.JupyterHub.spawner_class = "simple"
c.SimpleLocalProcessSpawner.home_dir_template = {str(self.homes / "{username}")!r}
c.Spawner.args += {["--allow-root"] if os.geteuid() == 0 else []}
"""
        if cull:  # seconds for hours
            settings += """
c.JupyterHub.last_activity_interval = 5
c.JupyterHub.services[0]["command"][3:] = ["--timeout=20", "--cull-every=3"]
c.Spawner.args = [word.replace("=7200", "=8").replace("=300", "=2") for word in c.Spawner.args]
c.Spawner.environment = {"JUPYTERHUB_ACTIVITY_INTERVAL": "3"}
"""
        (self.folder / "config.py").write_text(settings)

    def __enter__(self):
        try:
            self._start()
        except BaseException:
            self.stop()
            raise
        return self

    def __exit__(self, *_):
        self.stop()

    def _start(self):
        log = open(self.folder / "log", "wb")  # noqa: SIM115
        clean = {name: value for name, value in os.environ.items() if not name.startswith("JUPYTER")}
        command = [sys.executable, "-m", "jupyterhub", "-f", "config.py"]
        with log:
            self.process = psutil.Popen(
                command, cwd=self.folder, env=clean | {"PATH": PATH}, stdout=log, stderr=log,
                start_new_session=True,
            )  # fmt: skip
        end = time.monotonic() + 60 + 3 * len(self.names)
        while self.process.poll() is None and time.monotonic() < end:
            with contextlib.suppress(requests.RequestException):
                if requests.get(f"{self.site}/hub/login", timeout=5).ok:
                    break
            time.sleep(0.3)
        else:
            sys.exit(f"The hub did not start:\n{self.log()}")
        if self.system_users:
            lines = "".join(f"{name}:{word}\n" for name, word in self.passwords.items())
            subprocess.run(["chpasswd"], input=lines, text=True, check=True)

    def log(self):
        """Return the end of what the hub said, without the proxy's chatter."""
        lines = (self.folder / "log").read_text(errors="replace").splitlines()
        return "\n".join([line for line in lines if "ConfigProxy" not in line][-60:])

    def processes(self):
        """List what runs: the hub, what it started, and what is a student's or stands in our folder."""
        found, students = set(), {pwd.getpwnam(name).pw_uid for name in self.accounts()}
        with contextlib.suppress(psutil.NoSuchProcess):
            found |= {self.process, *self.process.children(recursive=True)}
        for one in psutil.process_iter():
            with contextlib.suppress(psutil.Error):
                if one.uids().real in students or Path(one.cwd()).is_relative_to(self.folder):
                    found.add(one)
        return list(found)

    def accounts(self):
        """List the students' accounts that there are."""
        return [name for name in self.names if self.system_users and exists(name)]

    def stop(self):
        """End all processes, remove accounts and files."""
        for one in (signal.SIGINT, signal.SIGTERM, signal.SIGHUP, signal.SIGALRM):
            signal.signal(one, signal.SIG_IGN)
        if hasattr(self, "process"):
            everything = self.processes()
            with contextlib.suppress(psutil.NoSuchProcess):
                self.process.terminate()  # the hub stops its students' servers, these their kernels
            _, alive = psutil.wait_procs(everything, timeout=20)
            alive = {*alive, *self.processes()}
            for one in alive:
                with contextlib.suppress(psutil.NoSuchProcess):
                    one.kill()
            psutil.wait_procs(alive, timeout=5)
        for name in self.accounts():
            subprocess.run(["userdel", "--remove", name], stderr=subprocess.DEVNULL)
        shutil.rmtree(self.folder, ignore_errors=True)


def exists(name):
    """Tell whether there is such an account."""
    try:
        return bool(pwd.getpwnam(name))
    except KeyError:
        return False


def free_ports(count):
    """Find free ports of 127.0.0.1."""
    with contextlib.ExitStack() as stack:
        sockets = [stack.enter_context(socket.create_server(("127.0.0.1", 0))) for _ in range(count)]
        return [one.getsockname()[1] for one in sockets]


class Student:
    """One student's browser, as far as the server can tell. took: what was waited for -> each time, in s."""

    def __init__(self, hub, name, number, end):
        self.hub, self.name, self.number, self.end = hub, name, number, end
        self.base, self.lost, self.took, self.comms = f"{hub.site}/user/{name}", "", {}, {}
        self.home = hub.homes / name

    def timed(self, what, since):
        self.took.setdefault(what, []).append(time.monotonic() - since)

    def patience(self):
        """Return the seconds to wait for one answer; raise TimeoutError when the time of the run is over."""
        left = self.end - time.monotonic()
        if left <= 0:
            raise TimeoutError("the time given by --minutes was over")
        return min(left, 120)

    def ask(self, method, url, *, good=(200, 201, 202, 204), **more):
        """Send one request as a page of that address does; return the answer, the last after redirections."""
        below = "/hub/" if "/hub/" in url else f"/user/{self.name}/"
        tokens = {cookie.path: cookie.value for cookie in self.web.cookies if cookie.name == "_xsrf"}
        headers = {"X-XSRFToken": tokens.get(below, ""), "Referer": f"{self.hub.site}/hub/home"}
        answer = self.web.request(method, url, headers=headers, timeout=self.patience(), **more)
        if answer.status_code not in good:
            raise RuntimeError(f"{method} {answer.url}: {answer.status_code} {answer.reason}")
        return answer

    def log_in(self):
        """By the hub's own form; then the server is asked for and waited for, and its first page loaded."""
        self.web, began = requests.Session(), time.monotonic()
        form = self.ask("GET", f"{self.hub.site}/hub/login")
        token = re.search(r'name="_xsrf"\s+value="([^"]*)"', form.text)[1]
        words = {"username": self.name, "password": self.hub.passwords[self.name], "_xsrf": token}
        page = self.ask("POST", f"{self.hub.site}/hub/login?next=/hub/home", data=words)
        assert "/hub/home" in page.url, f"was not let in, but sent to {page.url}"
        self.timed("logged in", began)
        self.ask("GET", f"{self.hub.site}/hub/spawn")
        while True:
            page = self.ask("GET", f"{self.hub.site}/hub/spawn-pending/{self.name}", good=(200, 500))
            if page.status_code == 500:
                raise RuntimeError("the server did not start")
            if "/lab/tree/" in page.url:
                break
            time.sleep(0.5)
        self.timed("server up", began)
        assert page.url.split("?")[0].endswith("/lab/tree/notebooks/00-start-here.ipynb"), page.url
        for script in re.findall(r'<script[^>]* src="([^"]+)"', page.text):
            self.ask("GET", self.hub.site + script)
        self.timed("page loaded", began)
        self.began = began

    def open(self, path):
        """Open a lesson: its file, a kernel for it, and the line to that."""
        self.book = self.ask("GET", f"{self.base}/api/contents/{path}").json()["content"]
        wanted = {"path": path, "name": Path(path).name, "type": "notebook", "kernel": {"name": "python3"}}
        self.kernel = self.ask("POST", f"{self.base}/api/sessions", json=wanted).json()["kernel"]["id"]
        self.session, address = uuid.uuid4().hex, self.base.replace("http:", "ws:")
        cookies = requests.cookies.get_cookie_header(
            self.web.cookies, requests.Request("GET", f"{self.base}/").prepare()
        )
        self.socket = websocket.create_connection(
            f"{address}/api/kernels/{self.kernel}/channels?session_id={self.session}",
            subprotocols=[V1], cookie=cookies, timeout=self.patience(),
        )  # fmt: skip

    def send(self, kind, content):
        """Send a message to the kernel; return what came back for it until the kernel was idle again."""
        header = {
            "msg_id": uuid.uuid4().hex, "msg_type": kind, "session": self.session, "username": self.name,
            "version": "5.3", "date": datetime.now(UTC).isoformat(),
        }  # fmt: skip
        message = {"header": header, "parent_header": {}, "metadata": {}, "content": content}
        packed = serialize_msg_to_ws_v1(message, "shell", lambda part: json.dumps(part).encode())
        self.socket.send_binary(packed)
        got, idle, replied = [], False, kind != "execute_request"
        while not (idle and replied):
            self.socket.settimeout(self.patience())
            _, parts = deserialize_msg_from_ws_v1(self.socket.recv())
            head, parent, _, body = (json.loads(bytes(part)) for part in parts[:4])
            self.keep(head["msg_type"], body, parts[4:])
            if parent.get("msg_id") == header["msg_id"]:
                got.append((head["msg_type"], body))
                idle |= head["msg_type"] == "status" and body["execution_state"] == "idle"
                replied |= head["msg_type"] == "execute_reply"
        return got

    def keep(self, kind, body, buffers):
        """Remember the widgets as a page does."""
        data = body.get("data", {})
        if kind == "comm_open":
            self.comms[body["comm_id"]] = {}
        elif kind != "comm_msg" or data.get("method") != "update" or body["comm_id"] not in self.comms:
            return
        state = data["state"]
        for path, buffer in zip(data.get("buffer_paths", []), buffers, strict=True):
            inner = state
            for step in path[:-1]:
                inner = inner[step]
            inner[path[-1]] = bytes(buffer)
        self.comms[body["comm_id"]] |= state

    def update(self, comm, **state):
        """Set what a widget holds, as the page does."""
        data = {"method": "update", "state": state, "buffer_paths": []}
        return self.send("comm_msg", {"comm_id": comm, "data": data})

    def widget(self, **wanted):
        """Find a widget by something that it holds, or by the name of it."""
        for comm, state in self.comms.items():
            if all(name in state and value in (..., state[name]) for name, value in wanted.items()):
                return comm, state
        raise RuntimeError(f"found no widget with {wanted}")

    def run(self, code):
        """Run code in the kernel; return what it printed and the sentence of its error, if any."""
        quiet = {"silent": False, "store_history": True, "user_expressions": {}, "allow_stdin": False}
        got = self.send("execute_request", {"code": code, "stop_on_error": False, **quiet})
        printed = "".join(body["text"] for kind, body in got if kind == "stream")
        return printed, "".join(f"{body['ename']}: {body['evalue']}" for kind, body in got if kind == "error")

    def run_cells(self):
        """Run the lesson's cells in order and compare what they print with what is stored in the file."""
        for cell in self.book["cells"]:
            tags = cell["metadata"].get("tags", [])
            if cell["cell_type"] != "code" or "nbval-skip" in tags:
                continue
            got = self.run(cell["source"])
            if "nbval-ignore-output" in tags:
                assert not got[1], got[1]
                if "guess-entered" not in tags:
                    self.look()
                continue
            printed = "".join(out.get("text", "") for out in cell["outputs"])
            error = "".join(f"{out['ename']}: {out['evalue']}" for out in cell["outputs"] if "ename" in out)
            assert got == (printed, error), f"printed {got} in place of {printed}{error}"

    def look(self):
        """See that the live view has a whole picture."""
        _, view = self.widget(frames=..., still=...)
        moving = view["frames"]
        assert view["still"]["png"].startswith(b"\x89PNG")
        assert len(moving["table"]) == 2 * (moving["fixed"] + moving["rows"] * moving["columns"])
        assert len(moving["says"]) == moving["rows"]
        if "first picture" not in self.took:
            self.timed("first picture", self.began)
        return moving["says"]

    def drag(self):
        """Let the slider go at a few places; the kernel must know the last."""
        comm, view = self.widget(frames=..., still=...)
        for place in (40, 200, 120 + self.number):
            began = time.monotonic()
            self.update(comm, at=[place])
            self.timed("slider let go", began)
        view.pop("at")
        self.send("comm_msg", {"comm_id": comm, "data": {"method": "request_state"}})
        assert view["at"] == [120 + self.number], view["at"]

    def choose(self):
        """Choose other soils, each of which needs a new film."""
        comm, choice = self.widget(description="soil", _options_labels=...)
        for turn in range(3):
            before, began = self.look(), time.monotonic()
            soil = SOILS[(self.number + turn) % len(SOILS)]
            self.update(comm, index=choice["_options_labels"].index(soil))
            assert self.look() != before, f"the picture did not change with {soil}"
            self.timed("new film", began)

    def learn(self):
        """Lesson 07 from the login on."""
        self.log_in()
        self.open(LESSON)
        self.run_cells()
        self.drag()
        self.choose()
        self.timed("lesson done", self.began)

    def keep_out(self):
        """Try the next student's things: nobody is let in."""
        other = self.hub.names[self.number % len(self.hub.names)]
        if other == self.name:
            return
        self.ask("GET", f"{self.hub.site}/user/{other}/api/contents/{LESSON}", good=(403, 404))
        if self.hub.system_users:
            path = self.hub.homes / other / "antlab-lessons" / LESSON
            for what in ("read_bytes()", "write_bytes(b'')", "parent.iterdir().__next__()"):
                printed, error = self.run(f"import pathlib\nprint(pathlib.Path({str(path)!r}).{what})")
                assert error.startswith("PermissionError"), f"{what} of {other}: {printed or error}"

    def plan(self, seconds):
        """Lesson 09: drag the planner, which asks the kernel for each position, as its player does."""
        self.comms.clear()
        self.socket.close()
        self.open(PLANNER)
        self.run_cells()
        comm, view = self.widget(frames=..., still=...)
        end, step = time.monotonic() + seconds, 0
        counts = [len(one["texts"]) for one in view["still"]["sliders"]]
        while time.monotonic() < end:
            step += 1
            before, began = view["frames"]["says"], time.monotonic()
            place = step % (2 * counts[0] - 2)
            self.update(comm, at=[min(place, 2 * counts[0] - 2 - place), *view["at"][1:]])
            self.timed("planner", began)
            assert view["frames"]["says"] != before or view["frames"]["message"], "the planner stood still"

    def come_again(self):
        """Change the lesson and save it, leave, and come again when there is a newer course."""
        self.book = self.ask("GET", f"{self.base}/api/contents/{LESSON}").json()["content"]
        self.book["cells"].append({"cell_type": "markdown", "id": "own-note", "metadata": {}, "source": NOTE})
        model = {"type": "notebook", "format": "json", "content": self.book}
        self.ask("PUT", f"{self.base}/api/contents/{LESSON}", json=model)
        self.socket.close()
        self.ask("DELETE", f"{self.hub.site}/hub/api/users/{self.name}/server")
        while self.runs():
            time.sleep(0.3)
        manifest = self.home / "antlab-lessons" / work.MANIFEST
        laid = json.loads(manifest.read_text())
        laid[LESSON] = "of an older course"
        manifest.write_text(json.dumps(laid))
        first, self.took = self.took, {}
        self.log_in()
        self.took = first | {"second visit": self.took["page loaded"]}
        kept = self.ask("GET", f"{self.base}/api/contents/{LESSON}").json()["content"]
        assert kept["cells"][-1]["source"] == NOTE, "what the student wrote is lost"
        newer = self.ask("GET", f"{self.base}/api/contents/{LESSON.replace('.ipynb', '.new.ipynb')}").json()
        assert len(newer["content"]["cells"]) == len(kept["cells"]) - 1, "the newer lesson is not beside it"

    def runs(self):
        """Tell whether the hub has a server for this student."""
        return bool(self.ask("GET", f"{self.hub.site}/hub/api/users/{self.name}").json()["servers"])

    def idle(self):
        """Leave a lesson open: its kernel ends. Then go: the server ends."""
        self.open(LESSON)
        began = time.monotonic()
        while self.ask("GET", f"{self.base}/api/kernels?no_track_activity=1").json():
            time.sleep(1)
        self.timed("kernel culled", began)
        self.socket.close()
        while self.runs():
            time.sleep(1)
        self.timed("server culled", began)


def everybody(students, does, *given):
    """Let all students who are not lost do the same at the same time; return how many are lost."""

    def one(student):
        try:
            does(student, *given)
        except Exception as error:  # noqa: BLE001
            student.lost = f"{does.__name__}: {type(error).__name__}: {error}"

    pool = ThreadPoolExecutor(len(students))
    try:
        list(pool.map(one, [student for student in students if not student.lost]))
    finally:
        pool.shutdown(wait=False, cancel_futures=True)


def weigh(hub):
    """Weigh what runs: (user or None, part) -> MB, shared pages shared out, and seconds of a processor."""
    found = {}
    for one in hub.processes():
        with contextlib.suppress(psutil.Error):
            line, who, times = " ".join(one.cmdline()), one.environ().get("JUPYTERHUB_USER"), one.cpu_times()
            names = {"serve.kernel": "kernel", "http-proxy": "proxy", "idle_culler": "culler"}
            part = next((names[word] for word in names if word in line), "server" if who else "hub")
            memory, busy = found.get((who, part), (0, 0))
            memory += one.memory_full_info().pss / 1e6
            found[who, part] = memory, busy + times.user + times.system
    return found


def report(students, weights, elapsed):
    """Print the figures."""

    def row(name, numbers, *, digits=1, also=""):
        if numbers:
            middle, worst = statistics.median(numbers), max(numbers)
            print(f"  {name:20}{middle:9.{digits}f}{worst:9.{digits}f}{also:>9}")

    def waits(*names):
        for name in names:
            row(name, [seconds for student in students for seconds in student.took.get(name, [])], digits=2)

    print(f"{'seconds since log-in':22}{'median':>9}{'worst':>9}")
    waits("logged in", "server up", "page loaded", "first picture", "lesson done", "second visit")
    print("seconds for one answer")
    waits("slider let go", "new film", "planner")
    waits("kernel culled", "server culled")
    print(f"{'MB':22}{'median':>9}{'worst':>9}{'all':>9}")
    sums = {part: [memory for (_, which), (memory, _) in weights.items() if which == part]
            for part in ("server", "kernel", "hub", "proxy", "culler")}  # fmt: skip
    for part, each in sums.items():
        row(part, each, digits=0, also=f"{sum(each):.0f}")
    each = [a + b for a, b in zip(sums["server"], sums["kernel"], strict=False)]
    row("a student", each, digits=0)
    print(f"  {'all':38}{sum(map(sum, sums.values())):9.0f}")
    busy = sum(seconds for _, seconds in weights.values())
    print(f"processor: {busy:.0f} s in {elapsed:.0f} s, {busy / len(students):.1f} s a student")


def arguments():
    """Read the command line; refuse what would run away."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n\n")[0])
    parser.add_argument("--students", type=int, default=12, help=f"how many, at most {MOST_STUDENTS} (12)")
    parser.add_argument("--minutes", type=float, default=10, help=f"end after, at most {MOST_MINUTES} (10)")
    parser.add_argument("--proxy", default="configurable-http-proxy", help="JupyterHub's proxy (%(default)s)")
    parser.add_argument("--system-users", action="store_true", help="a real account for each; needs root")
    parser.add_argument("--planner", type=float, default=0, metavar="SECONDS", help="drag lesson 09 as well")
    parser.add_argument("--again", action="store_true", help="leave, and come again to a newer course")
    parser.add_argument("--cull", action="store_true", help="see that idle kernels and servers end")
    args = parser.parse_args()
    if not 1 <= args.students <= MOST_STUDENTS:
        parser.error(f"--students goes from 1 to {MOST_STUDENTS}")
    if not 0 < args.minutes <= MOST_MINUTES:
        parser.error(f"--minutes goes up to {MOST_MINUTES}")
    args.proxy = shutil.which(args.proxy) or parser.error(
        f"there is no {args.proxy}: npm install configurable-http-proxy, and name it by --proxy"
    )
    if not shutil.which("antlab-singleuser", path=PATH):
        parser.error("antlab-singleuser is not installed here: pip install -e .[hub]")
    if args.system_users and os.geteuid() != 0:
        parser.error("--system-users makes accounts: run it as root, on a machine for such tests")
    args.names = [f"{PREFIX}{number:02}" for number in range(1, args.students + 1)]
    if args.system_users and any(map(exists, args.names)):
        parser.error(f"there are accounts {PREFIX}… already, of such a test perhaps: see, and remove them")
    return args


def main():
    """Run the class and print the figures; return 1 if anybody was lost."""
    args = arguments()
    for one in (signal.SIGINT, signal.SIGTERM, signal.SIGHUP, signal.SIGALRM):
        signal.signal(one, lambda number, _: sys.exit(128 + number))
    signal.alarm(round(60 * args.minutes) + 300)  # should all other limits fail
    began = time.monotonic()
    with Hub(args.names, proxy=args.proxy, system_users=args.system_users, cull=args.cull) as hub:
        end = time.monotonic() + 60 * args.minutes
        students = [Student(hub, name, number, end) for number, name in enumerate(args.names, 1)]
        everybody(students, Student.learn)
        everybody(students, Student.keep_out)
        weights, elapsed = weigh(hub), time.monotonic() - began
        if args.planner > 0:
            everybody(students, Student.plan, min(args.planner, 60))
        if args.again:
            everybody(students, Student.come_again)
        if args.cull:
            everybody(students, Student.idle)
        said, gone = hub.log(), hub.process.poll() is not None
    report(students, weights, elapsed)
    lost = [student for student in students if student.lost]
    for student in lost:
        print(f"{student.name} was lost: {student.lost}")
    if lost or gone:
        print(f"The hub {'ended by itself; ' if gone else ''}said at last:\n{said}")
    print(f"{len(students)} students, {len(lost)} lost, load of the machine {os.getloadavg()[0]:.1f}")
    return 1 if lost or gone else 0


if __name__ == "__main__":
    sys.exit(main())
