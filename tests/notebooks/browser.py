"""A Chromium without a window, steered over its DevTools port on this machine: open, click, ask the page, take a picture."""

import base64
import json
import shutil
import subprocess
import time
import urllib.request
from pathlib import Path

import pytest

OPTIONS = (
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--remote-debugging-port=0",
    "--remote-allow-origins=*",
)


class Browser:
    """One tab; use it as a context manager, which ends the browser. ``requests`` holds every address it asked for."""

    def __init__(self, folder: Path):
        import websocket

        program = (
            shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
        )
        if program is None:
            pytest.skip("the notebooks are looked at in Chromium, and no chromium is on the PATH")
        self._process = subprocess.Popen(
            [program, *OPTIONS, f"--user-data-dir={folder}"],
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        port = waited(lambda: (folder / "DevToolsActivePort").read_text().split()[0], 60)
        request = urllib.request.Request(f"http://127.0.0.1:{port}/json/new?about:blank", method="PUT")
        with urllib.request.urlopen(request) as told:
            address = json.load(told)["webSocketDebuggerUrl"]
        self._socket = websocket.create_connection(address, timeout=120)
        self._number, self.requests = 0, []
        self.call("Page.enable")
        self.call("Network.enable")

    def __enter__(self):
        return self

    def __exit__(self, *exception):
        self._socket.close()
        self._process.terminate()
        self._process.wait(20)

    def call(self, method: str, **parameters) -> dict:
        """Send a command and give its result; meanwhile requests are noted, and a question whether to leave a page is answered yes."""
        number = self._send(method, **parameters)
        while True:
            said = json.loads(self._socket.recv())
            if said.get("method") == "Network.requestWillBeSent":
                self.requests.append(said["params"]["request"]["url"])
            if said.get("method") == "Page.javascriptDialogOpening":
                self._send("Page.handleJavaScriptDialog", accept=True)
            if said.get("id") == number:
                assert "error" not in said, said
                return said["result"]

    def _send(self, method: str, **parameters) -> int:
        self._number += 1
        self._socket.send(json.dumps({"id": self._number, "method": method, "params": parameters}))
        return self._number

    def ask(self, expression: str):
        """The value of an expression in the page, a promise waited for."""
        said = self.call("Runtime.evaluate", expression=expression, awaitPromise=True, returnByValue=True)
        assert "exceptionDetails" not in said, said
        return said["result"].get("value")

    def wait(self, expression: str, seconds: float = 60):
        """Wait until the expression is true, and give its value."""
        return waited(lambda: self.ask(expression), seconds)

    def open(self, address: str, *, width: int, height: int) -> None:
        """Go to a page, seen through a window of that size."""
        self.call(
            "Emulation.setDeviceMetricsOverride",
            width=width,
            height=height,
            deviceScaleFactor=1,
            mobile=False,
        )
        self.call("Page.navigate", url=address)

    def click(self, text: str, within: str) -> None:
        """Press the mouse on the first element of that selector that shows this text."""
        place = self.wait(f"""(function () {{
            var found = Array.from(document.querySelectorAll({json.dumps(within)})).filter(function (one) {{
                return one.innerText.trim() === {json.dumps(text)} && one.getBoundingClientRect().width; }})[0];
            if (!found) {{ return null; }}
            var box = found.getBoundingClientRect();
            return [box.x + box.width / 2, box.y + box.height / 2]; }})()""")
        for kind in ("mouseMoved", "mousePressed", "mouseReleased"):
            self.call(
                "Input.dispatchMouseEvent", type=kind, x=place[0], y=place[1], button="left", clickCount=1
            )

    def picture(self, path: Path) -> None:
        """What the window shows, as a PNG file."""
        path.write_bytes(base64.b64decode(self.call("Page.captureScreenshot", format="png")["data"]))


def waited(look, seconds: float):
    """The first value of ``look`` that is something, asked for until the time is over; an error counts as nothing yet."""
    until, last = time.monotonic() + seconds, None
    while time.monotonic() < until:
        try:
            found = look()
            if found:
                return found
        except (OSError, IndexError, AssertionError) as error:
            last = error
        time.sleep(0.2)
    raise TimeoutError(f"nothing came within {seconds} s; last: {last}")
