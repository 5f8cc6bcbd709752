"""The command that serves the page: its address, its code for phones, its shortcut."""

from __future__ import annotations

import importlib.util
import os
import re
import signal
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from render.web.server import qr_lines
from render.web.shortcut import command_file, desktop_entry
from tests.cli.test_start import loaded_by
from tests.helpers.command import run

pytestmark = pytest.mark.slow


@contextmanager
def started(tmp_path: Path, *words: str) -> Iterator[tuple[subprocess.Popen[str], str]]:
    """The command in a process of its own, and what it has said by the time it serves."""
    command = [sys.executable, "-m", "pipelegend", "web", "--no-browser"]
    process = subprocess.Popen(
        [*command, "--folder", str(tmp_path / "kept"), *words],
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        env={**os.environ, "PYTHONUNBUFFERED": "1"},
    )
    said = ""
    assert process.stdout is not None
    while "Ctrl+C" not in said and process.poll() is None:
        said += process.stdout.readline()
    try:
        yield process, said
    finally:
        process.kill()
        process.wait()
        process.stdout.close()


def asked(address: str) -> str:
    until = time.monotonic() + 15
    while True:
        try:
            with urllib.request.urlopen(address, timeout=5) as answer:
                text: bytes = answer.read()
                return text.decode()
        except ConnectionError:
            assert time.monotonic() < until
            time.sleep(0.05)


def test_the_address_that_it_says_is_the_page(tmp_path: Path) -> None:
    with started(tmp_path) as (process, said):
        (address,) = re.findall(r"http://127\.0\.0\.1:\d+/", said)
        assert "<h1>" in asked(address)
        process.send_signal(signal.SIGINT)
        assert process.wait(15) == 0


def test_a_phone_is_let_in_by_the_code(tmp_path: Path) -> None:
    with started(tmp_path, "--lan", "--base-path", "markers") as (_, said):
        own, *phones = re.findall(r"http://[\d.]+:\d+/markers/\?token=[\w-]+", said)
        assert own.startswith("http://127.0.0.1:")
        assert len(set(phones)) == 1
        assert phones[0] != own
        with pytest.raises(urllib.error.HTTPError, match="401"):
            asked(own.partition("?")[0])
        assert "url=/markers/" in asked(own)


def test_a_port_in_use_is_a_sentence(tmp_path: Path) -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = str(taken.getsockname()[1])
        result = run("web", "--no-browser", "--folder", tmp_path, "--port", port)
    assert result.exit_code == 2
    assert f"port {port} cannot be used" in result.stderr


def test_the_code_in_the_terminal_can_be_read() -> None:
    """Read back by ZXing, where it is installed."""
    zxing = pytest.importorskip("zxingcpp")
    np = pytest.importorskip("numpy")
    address = "http://192.0.2.7:8000/?token=abcDEF-123_456"
    halves = {" ": (0, 0), "▀": (255, 0), "▄": (0, 255), "█": (255, 255)}
    rows = []
    for line in qr_lines(address):
        cells = [halves[sign] for sign in line]
        rows += [[cell[half] for cell in cells] for half in (0, 1)]
    width = max(map(len, rows))
    picture = np.array([row + [255] * (width - len(row)) for row in rows], dtype=np.uint8)
    (found,) = zxing.read_barcodes(np.kron(picture, np.ones((8, 8), dtype=np.uint8)))
    assert found.text == address


def test_the_other_commands_load_no_server() -> None:
    loaded = loaded_by("--help")
    assert loaded.isdisjoint({"starlette", "uvicorn", "jinja2", "anyio"})


def test_a_desktop_entry_is_written(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "platform", "linux")
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    result = run("web", "--install-shortcut")
    path = tmp_path / "applications" / "pipelegend.desktop"
    assert str(path) in result.stdout
    assert f'Exec="{sys.executable}" -m pipelegend web\n' in path.read_text("utf-8")


def test_a_command_in_a_desktop_entry_is_quoted() -> None:
    """Desktop Entry Specification 1.5, "The Exec key" and "Values": both rules of escaping."""
    text = desktop_entry('/opt/my "$tools"/100%/python')
    assert r'Exec="/opt/my \\"\\$tools\\"/100%%/python" -m pipelegend web' in text


def test_a_windows_file_keeps_percent_signs() -> None:
    text = command_file(r"C:\100% own\python.exe")
    assert '"C:\\100%% own\\python.exe" -m pipelegend web\r\n' in text


def test_a_missing_extra_is_a_sentence(monkeypatch: pytest.MonkeyPatch) -> None:
    there = importlib.util.find_spec
    monkeypatch.setattr(
        importlib.util, "find_spec", lambda name: None if name == "uvicorn" else there(name)
    )
    result = run("web", "--no-browser")
    assert result.exit_code == 2
    assert "the page needs uvicorn" in result.stderr
    assert "pip install 'pipelegend[web]'" in result.stderr
