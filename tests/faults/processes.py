"""Commands as processes of their own, at once or killed, started through one process that has them loaded."""

import json
import os
import subprocess
import sys
import time
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parents[2]
PATIENCE = 120.0  # seconds; a machine may be busy


@dataclass(frozen=True)
class Ended:
    """What a process left: no status where it was killed."""

    status: int | None
    out: str
    err: str


@dataclass
class Started:
    """A command under way."""

    pid: int
    files: Path

    def ended(self) -> Ended:
        """Wait until it is over."""
        end = time.monotonic() + PATIENCE
        while Path(f"/proc/{self.pid}").exists() and not self._is_dead():
            assert time.monotonic() < end, f"process {self.pid} does not end: {self._read('err')}"
            time.sleep(0.005)
        status = self._read("status")
        return Ended(int(status) if status else None, self._read("out"), self._read("err"))

    @property
    def calls(self) -> int:
        """How often it called git, where that was to be counted."""
        return int(self._read("calls"))

    def _is_dead(self) -> bool:
        try:
            return ") Z " in Path(f"/proc/{self.pid}/stat").read_text()
        except OSError:
            return True

    def _read(self, kind: str) -> str:
        file = self.files.with_name(f"{self.files.name}.{kind}")
        return file.read_text("utf-8", "replace") if file.exists() else ""


class Processes:
    """Where commands are started from."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._count = 0
        command = [sys.executable, "-m", "tests.faults.zygote"]
        env = {k: v for k, v in os.environ.items() if not k.startswith("GIT_")} | {"PYTHONPATH": str(ROOT)}
        env["OPENBLAS_NUM_THREADS"] = "1"
        self._process = subprocess.Popen(
            command, cwd=ROOT, env=env, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
        )

    def start(self, args: tuple[str, ...], env: Mapping[str, str], root: Path, **fault: Any) -> Started:
        """Start a command in a repository, with something that goes wrong with it."""
        assert self._process.stdin is not None
        assert self._process.stdout is not None
        self._count += 1
        files = self._folder / str(self._count)
        asked = {"args": ["-C", str(root), *args], "env": dict(env), "out": str(files), **fault}
        self._process.stdin.write(json.dumps(asked) + "\n")
        self._process.stdin.flush()
        return Started(int(self._process.stdout.readline()), files)

    def close(self) -> None:
        """End it; those started are over."""
        assert self._process.stdin is not None
        assert self._process.stdout is not None
        self._process.stdin.close()
        self._process.stdout.close()
        self._process.wait()


@contextmanager
def processes(folder: Path) -> Iterator[Processes]:
    """Start commands from here."""
    folder.mkdir(parents=True, exist_ok=True)
    opened = Processes(folder)
    try:
        yield opened
    finally:
        opened.close()
