"""Runs the built program for the tests that look at it from outside, and counts what they find.

The binary is build/scruple of this checkout, or what SCRUPLE names.
"""
import json
import os
import resource
import signal
import subprocess
import sys
import tempfile
import time

ROOT = os.path.dirname(os.path.dirname(os.path.abspath(__file__)))
BINARY = os.path.abspath(os.environ.get("SCRUPLE") or os.path.join(ROOT, "build", "scruple"))


def need_binary():
    if not os.access(BINARY, os.X_OK):
        sys.exit(f"{BINARY} is not there: build it first, or name another with SCRUPLE")


class Result:
    """How a run ended. `code` is negative for a signal, None when it was stopped for taking too long."""

    def __init__(self, code, out, err, seconds, rss):
        self.code = code
        self.out = out
        self.err = err
        self.seconds = seconds
        self.rss = rss  # bytes at the peak

    def diagnostics(self):
        """The findings of `check --diagnostics json`."""
        return json.loads(self.out.decode("utf-8"))["diagnostics"]

    def codes(self):
        return [d["code"] for d in self.diagnostics()]

    def ending(self):
        if self.code is None:
            return "was still running"
        if self.code < 0:
            return f"was ended by {signal.Signals(-self.code).name}"
        return f"exit status {self.code}"


def run(*arguments, cwd=None, timeout=60, memory=None, file_bytes=None, env=None, user=None, out=None, binary=None,
        prefix=(), stdin=None):
    """Runs the program. `memory` bounds its address space, `file_bytes` the size of any file that it writes."""

    def bounds():
        if memory:
            resource.setrlimit(resource.RLIMIT_AS, (memory, memory))
        resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
        if file_bytes is not None:
            signal.signal(signal.SIGXFSZ, signal.SIG_IGN)  # so that the write fails, as on a full disk
            resource.setrlimit(resource.RLIMIT_FSIZE, (file_bytes, file_bytes))

    identity = {"user": user, "group": user, "extra_groups": []} if user is not None else {}
    command = [*prefix, binary or BINARY, *arguments]
    with tempfile.TemporaryFile() as out_file, tempfile.TemporaryFile() as err_file:
        started = time.monotonic()
        child = subprocess.Popen(command, cwd=cwd, env=env, stdin=stdin if stdin is not None else subprocess.DEVNULL,
                                 stdout=out if out is not None else out_file, stderr=err_file, preexec_fn=bounds,
                                 restore_signals=True, **identity)
        status, usage = _wait(child, started + timeout)
        seconds = time.monotonic() - started
        out_file.seek(0)
        err_file.seek(0)
        return Result(status, out_file.read(), err_file.read(), seconds, usage.ru_maxrss * 1024 if usage else 0)


def _wait(child, until):
    pause = 0.0005
    while True:
        pid, status, usage = os.wait4(child.pid, os.WNOHANG)
        if pid:
            code = -os.WTERMSIG(status) if os.WIFSIGNALED(status) else os.WEXITSTATUS(status)
            child.returncode = code
            return code, usage
        if time.monotonic() > until:
            child.kill()
            _, _, usage = os.wait4(child.pid, 0)
            child.returncode = -signal.SIGKILL
            return None, usage
        time.sleep(pause)
        pause = min(pause * 1.3, 0.02)


class Tally:
    """Counts checks, prints those that fail, and the closing line."""

    def __init__(self, most_shown=60):
        self.passed = 0
        self.failed = 0
        self.most_shown = most_shown

    def check(self, good, what, detail=""):
        if good:
            self.passed += 1
            return True
        self.failed += 1
        if self.failed <= self.most_shown:
            print(f"FAILED: {what}")
            for line in str(detail).splitlines()[:40]:
                print(f"    {line}")
            sys.stdout.flush()
        return False

    def close(self):
        if self.failed > self.most_shown:
            print(f"and {self.failed - self.most_shown} more failures")
        print(f"{self.passed} passed, {self.failed} failed")
        return 0 if self.failed == 0 and self.passed > 0 else 1
