"""Three browsers driven alike, by mouse, finger and keys.

Firefox is driven by WebDriver BiDi, Chromium and a WebKit by WebDriver, open standards in which a hand is
written in the same way. `started(name)` yields a Browser.
"""

import base64
import contextlib
import glob
import itertools
import json
import os
import re
import shutil
import socket
import subprocess
import tempfile
import time
import urllib.error
import urllib.request
from pathlib import Path

import websocket

NAMES = ("chromium", "firefox", "webkit")
MINI_BROWSER = "/usr/lib/*/webkit*gtk-*/MiniBrowser"  # the WebKit that Debian's webkit2gtk-driver brings
LACKING = {  # what a browser is driven with -> the package of Debian that has it
    "chromium": {"chromium": "chromium", "chromedriver": "chromium-driver"},
    "firefox": {"firefox-esr": "firefox-esr"},
    "webkit": {"WebKitWebDriver": "webkit2gtk-driver", "Xvfb": "xvfb"},
}
KEYS = {  # the standard's own names, and the letters that WebDriver sends for them
    "Enter": "\ue007", "Shift": "\ue008", "Escape": "\ue00c", "PageUp": "\ue00e", "End": "\ue010",
    "Home": "\ue011", "ArrowLeft": "\ue012", "ArrowUp": "\ue013",
    "ArrowRight": "\ue014", "ArrowDown": "\ue015",
}  # fmt: skip
FIND = """(css, words) => [...document.querySelectorAll(css)].filter(one => one.checkVisibility())
    .find(one => !words || (one.ariaLabel ?? one.textContent).includes(words))"""


def lacking(name):
    """Debian's packages that are missing for a browser, in words; none if all is there."""
    missing = [package for program, package in LACKING[name].items() if not shutil.which(program)]
    return " ".join(missing)


class Browser:
    """What all three can do; a subclass says how it is sent."""

    hands = ("mouse", "touch")

    def run(self, js, *args):
        """What a function in JavaScript gives for these arguments, as plain data."""
        given = ", ".join(json.dumps(one) for one in args)
        found = self.evaluated(f"(async () => JSON.stringify(await ({js})({given})) ?? 'null')()")
        return json.loads(found)

    def until(self, js, *args, seconds=15):
        """Return what the function gives once that is true; fail when it never is."""
        end = time.monotonic() + seconds
        while not (found := self.run(js, *args)):
            assert time.monotonic() < end, f"{self.name} waited in vain for {js} {args}"
            time.sleep(0.05)
        return found

    def text(self, css):
        """The words of the first element."""
        return self.run("css => document.querySelector(css).innerText", css)

    def box(self, css, words=""):
        """Where the first element with these words lies, scrolled into sight: left, top, width, height."""
        self.until(f"(css, words) => Boolean(({FIND})(css, words))", css, words)
        return self.run(
            f"""(css, words) => {{
                const one = ({FIND})(css, words), seen = () => one.getBoundingClientRect();
                const out = seen().top < 0 || seen().bottom > innerHeight;
                if (out) one.scrollIntoView({{ block: "center", behavior: "instant" }});
                return [seen().left, seen().top, seen().width, seen().height];
            }}""",
            css, words,
        )  # fmt: skip

    def press(self, *keys):
        """Press keys one after the other; "Shift+Enter" holds the first."""
        strokes = []
        for key in keys:
            held = [KEYS.get(one, one) for one in (key.split("+") if len(key) > 1 else [key])]
            strokes += [{"type": "keyDown", "value": one} for one in held]
            strokes += [{"type": "keyUp", "value": one} for one in reversed(held)]
        self.act({"type": "key", "id": "keys", "actions": strokes})

    def type(self, words):
        """Type words where the focus is."""
        self.press(*words)

    def focus(self, css):
        """Set the focus where Tab would set it."""
        self.run("css => document.querySelector(css).focus()", css)

    def drag(self, *points, hand="mouse"):
        """Go down at the first point of the window, along the others, and up; one is a click or a tap."""
        there, *path = [{"type": "pointerMove", "x": round(x), "y": round(y)} for x, y in points]
        path = [step | {"duration": 60} for step in path]
        moves = [there | {"duration": 0}, {"type": "pointerDown", "button": 0}, *path]
        moves.append({"type": "pointerUp", "button": 0})
        pointer = {"type": "pointer", "id": hand, "parameters": {"pointerType": hand}}
        self.act(pointer | {"actions": moves})

    def click(self, css, words="", *, hand="mouse", at=(0.5, 0.5)):
        """Click or tap the first visible element with these words, at a share of its width and height."""
        left, top, width, height = self.box(css, words)
        self.drag((left + at[0] * width, top + at[1] * height), hand=hand)


class Classic(Browser):
    """By WebDriver, a request for each step."""

    def __init__(self, name, port, wanted):
        self.name, self.at = name, f"http://127.0.0.1:{port}/session"
        end = time.monotonic() + 20
        while True:
            try:
                made = self.send("POST", "", {"capabilities": {"alwaysMatch": wanted}})
                break
            except urllib.error.URLError as error:  # not up yet
                if time.monotonic() > end or isinstance(error, urllib.error.HTTPError):
                    raise
                time.sleep(0.05)
        self.at += f"/{made['sessionId']}"

    def send(self, method, path, body=None):
        data, kind = None if body is None else json.dumps(body).encode(), {"Content-Type": "application/json"}
        request = urllib.request.Request(self.at + path, data, kind, method=method)
        with urllib.request.urlopen(request, timeout=60) as answer:
            return json.load(answer)["value"]

    def open(self, url):
        self.send("POST", "/url", {"url": url})

    def evaluated(self, expression):
        return self.send("POST", "/execute/sync", {"script": f"return {expression}", "args": []})

    def act(self, *sources):
        self.send("POST", "/actions", {"actions": sources})

    def picture(self):
        return base64.b64decode(self.send("GET", "/screenshot"))

    def quit(self):
        self.send("DELETE", "")


class Chromium(Classic):
    """Headless, without network."""

    def __init__(self, port):
        flags = ["--headless", "--no-sandbox", "--disable-gpu", "--disable-background-networking"]
        flags += ["--no-first-run", "--disable-component-update", "--disable-sync", "--touch-events=enabled"]
        options, told = {"args": flags, "binary": shutil.which("chromium")}, {"browser": "SEVERE"}
        super().__init__("chromium", port, {"goog:chromeOptions": options, "goog:loggingPrefs": told})

    def size(self, wide, high):
        given = {"width": wide, "height": high, "deviceScaleFactor": 1, "mobile": False}
        command = {"cmd": "Emulation.setDeviceMetricsOverride", "params": given}
        self.send("POST", "/goog/cdp/execute", command)

    def errors(self):
        return [one["message"] for one in self.send("POST", "/se/log", {"type": "browser"})]


class WebKit(Classic):
    """MiniBrowser on a screen of its own. Its driver knows no finger, and tells no errors."""

    hands = ("mouse",)

    def __init__(self, port):
        options = {"binary": glob.glob(MINI_BROWSER)[0], "args": ["--automation"]}
        super().__init__("webkit", port, {"webkitgtk:browserOptions": options})
        # A window without a bar of tools is as narrow as a phone; such a one opens at a click alone.
        first = self.send("GET", "/window")
        bare = "toolbar=no,location=no,menubar=no"
        self.run(f"() => {{ document.onclick = () => open('about:blank', '', '{bare}'); }}")
        self.drag((50, 50))
        while not (others := {*self.send("GET", "/window/handles")} - {first}):
            time.sleep(0.05)
        self.send("POST", "/window", {"handle": others.pop()})

    def size(self, wide, high):
        self.send("POST", "/window/rect", {"x": 0, "y": 0, "width": wide, "height": high})
        self.until("(wide, high) => innerWidth === wide && innerHeight === high", wide, high)

    def errors(self):
        return []


class Firefox(Browser):
    """Headless, by WebDriver BiDi: one socket, on which errors come too."""

    name = "firefox"

    def __init__(self, address):
        self.socket = websocket.create_connection(f"{address}/session", suppress_origin=True, timeout=60)
        self.numbers, self.heard = itertools.count(1), []
        self.send("session.new", capabilities={})
        self.send("session.subscribe", events=["log.entryAdded"])
        self.tab = self.send("browsingContext.create", type="tab")["context"]  # the first has no focus

    def send(self, method, **given):
        number = next(self.numbers)
        self.socket.send(json.dumps({"id": number, "method": method, "params": given}))
        while True:
            told = json.loads(self.socket.recv())
            if told.get("id") == number:
                assert told["type"] == "success", told
                return told["result"]
            if told.get("method") == "log.entryAdded" and told["params"]["level"] == "error":
                self.heard.append(told["params"]["text"] or "")

    def open(self, url):
        self.send("browsingContext.navigate", context=self.tab, url=url, wait="complete")

    def size(self, wide, high):
        self.send("browsingContext.setViewport", context=self.tab, viewport={"width": wide, "height": high})

    def evaluated(self, expression):
        where = {"context": self.tab}
        told = self.send("script.evaluate", expression=expression, target=where, awaitPromise=True)
        assert told["type"] == "success", told["exceptionDetails"]["text"]
        return told["result"]["value"]

    def act(self, *sources):
        self.send("input.performActions", context=self.tab, actions=sources)

    def picture(self):
        return base64.b64decode(self.send("browsingContext.captureScreenshot", context=self.tab)["data"])

    def errors(self):
        heard, self.heard = self.heard, []
        return [one for one in heard if "/favicon.ico" not in one]  # which this one asks for by itself

    def quit(self):
        self.send("session.end")
        self.socket.close()


QUIET = {  # nothing is asked of the world, nothing is opened beside our page
    "browser.startup.homepage": "about:blank", "browser.startup.page": 0, "browser.newtabpage.enabled": False,
    "app.normandy.enabled": False, "datareporting.policy.dataSubmissionEnabled": False,
    "services.settings.server": "data:,", "network.captive-portal-service.enabled": False,
    "network.connectivity-service.enabled": False, "extensions.systemAddon.update.enabled": False,
}  # fmt: skip


@contextlib.contextmanager
def started(name):
    """A browser, ended afterwards with all that it started."""
    with contextlib.ExitStack() as stack:
        home = Path(stack.enter_context(tempfile.TemporaryDirectory(ignore_cleanup_errors=True)))
        browser = {"chromium": _chromium, "firefox": _firefox, "webkit": _webkit}[name](stack, home)
        stack.callback(browser.quit)
        yield browser


def _program(stack, *command, **how):
    """A program that is ended with the stack."""
    process = stack.enter_context(subprocess.Popen(command, **how))
    stack.callback(process.terminate)
    return process


def _free_port():
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        return str(free.getsockname()[1])


def _chromium(stack, home):
    port = _free_port()
    lies = os.environ | {"TMPDIR": str(home)}
    _program(stack, "chromedriver", f"--port={port}", env=lies, stdout=subprocess.DEVNULL)
    return Chromium(port)


def _webkit(stack, home):
    tells, told = os.pipe()
    _program(stack, "Xvfb", "-displayfd", str(told), "-screen", "0", "1600x1200x24", "-nolisten", "tcp",
             pass_fds=[told], stderr=subprocess.DEVNULL)  # fmt: skip
    os.close(told)
    with os.fdopen(tells) as display:
        here = {"DISPLAY": f":{display.readline().strip()}", "HOME": str(home), "XDG_RUNTIME_DIR": str(home)}
    port = _free_port()
    _program(stack, "WebKitWebDriver", f"--port={port}", env=os.environ | here, stderr=subprocess.DEVNULL)
    return WebKit(port)


def _firefox(stack, home):
    lines = [f"user_pref({json.dumps(name)}, {json.dumps(value)});\n" for name, value in QUIET.items()]
    (home / "user.js").write_text("".join(lines), encoding="utf-8")
    process = _program(stack, "firefox-esr", "--headless", "--no-remote", "--profile", str(home),
                       "--remote-debugging-port", "0", stdout=subprocess.DEVNULL, stderr=subprocess.PIPE,
                       encoding="utf-8")  # fmt: skip
    for line in process.stderr:
        if found := re.search(r"WebDriver BiDi listening on (ws://\S+)", line):
            return Firefox(found[1])
    raise AssertionError("firefox-esr ended before it listened")
