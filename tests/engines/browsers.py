"""Phones with another engine than Chromium: each a browser of its own, with a profile that outlives it."""

import json
import os
import shutil
import subprocess
import time
from pathlib import Path

from tests.browser.serving import free_port
from tests.browser.test_field_log import kill

from .webdriver import Driver, FirefoxDriver, WebKitDriver

STARTED_WITHIN_S = 60  # on a busy machine
WINDOW = Path(__file__).with_name("webkit_window.py")
SYSTEM_PYTHON = "/usr/bin/python3"  # the one for which Debian has WebKitGTK's bindings

# As narrow as a phone; nothing that would ask the world outside or the person before it.
FIREFOX_SETTINGS = {
    "toolkit.legacyUserProfileCustomizations.stylesheets": True,
    "app.normandy.enabled": False,
    "browser.aboutConfig.showWarning": False,
    "datareporting.policy.dataSubmissionEnabled": False,
    "network.captive-portal-service.enabled": False,
    "network.connectivity-service.enabled": False,
}
FIREFOX_STYLE = ":root { min-width: 0 !important } #navigator-toolbox { display: none }"


class Phone:
    """A browser on ``profile``. It is started in a session of its own, by which all of its processes are known."""

    def __init__(self, profile: Path, display: str):
        self.profile = profile
        self.profile.mkdir()
        self.environment = {**os.environ, "DISPLAY": display, "GDK_BACKEND": "x11"}
        self.process: subprocess.Popen | None = None
        self.driver: Driver | None = None

    def start(self) -> Driver:
        raise NotImplementedError

    def kill(self) -> None:
        """As a phone ends an application: at once, with all of its processes."""
        if self.driver:
            self.driver.close()
            self.driver = None
        if self.process:
            kill(processes_of_session(self.process.pid))
            self.process.wait()
            self.process = None

    def _run(self, *command: str | Path) -> None:
        with (self.profile / "said").open("ab") as said:
            self.process = subprocess.Popen(
                command, env=self.environment, start_new_session=True, stdout=said, stderr=subprocess.STDOUT
            )

    def _await(self, connect) -> Driver:
        for _ in range(STARTED_WITHIN_S * 10):
            try:
                self.driver = connect()
                return self.driver
            except OSError:
                assert self.process.poll() is None, (self.profile / "said").read_text()
                time.sleep(0.1)
        raise AssertionError(f"{self.process.args} does not answer: {(self.profile / 'said').read_text()}")


class WebKit(Phone):
    camera = False

    def start(self) -> Driver:
        port = free_port()
        arguments = [str(WINDOW), str(self.profile), *(["camera"] if self.camera else [])]
        self._run("WebKitWebDriver", f"--port={port}")
        return self._await(lambda: WebKitDriver(port, SYSTEM_PYTHON, arguments))


class Firefox(Phone):
    def start(self) -> Driver:
        port = free_port()
        settings = FIREFOX_SETTINGS | {"marionette.port": port}
        lines = (f"user_pref({json.dumps(name)}, {json.dumps(value)});\n" for name, value in settings.items())
        (self.profile / "user.js").write_text("".join(lines))
        (self.profile / "chrome").mkdir(exist_ok=True)
        (self.profile / "chrome" / "userChrome.css").write_text(FIREFOX_STYLE)
        program = shutil.which("firefox-esr") or "firefox"
        size = ("--width", "390", "--height", "844")
        self._run(program, "--headless", "--marionette", "--no-remote", *size, "--profile", self.profile)
        return self._await(lambda: FirefoxDriver(port))


def processes_of_session(leader: int) -> list[int]:
    """The processes of the session that ``leader`` began (proc(5): field 6 of ``stat``)."""
    found = []
    for process in Path("/proc").glob("[0-9]*"):
        try:
            session = (process / "stat").read_text().rpartition(")")[2].split()[3]
        except OSError:
            continue
        if int(session) == leader:
            found.append(int(process.name))
    return found
