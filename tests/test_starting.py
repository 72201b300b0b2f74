"""Starting and ending the program as a person does: address, code to scan, taken port, strange names, Ctrl-C."""

from __future__ import annotations

import http.client
import io
import os
import re
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager

import pytest
import segno

import webcalc.__main__ as starting
from webcalc import serving
from webcalc.calc.schedule.zone import zone_rules_version

PATIENCE_S = 20


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


def get(port: int, path: str = "/interval", host: str | None = None) -> tuple[int, str]:
    """Fetch a path from this computer, under any Host header."""
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=5)
    try:
        connection.request("GET", path, headers={"Host": host} if host else {})
        reply = connection.getresponse()
        return reply.status, reply.read().decode()
    finally:
        connection.close()


class Started:
    """The program in a process of its own, once it answers."""

    def __init__(self, *arguments: str) -> None:
        self.port = free_port()
        self.process = subprocess.Popen(
            [sys.executable, "-m", "webcalc", "--port", str(self.port), *arguments],
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            encoding="utf-8",
            env={**os.environ, "PYTHONIOENCODING": "utf-8"},
        )
        until = time.monotonic() + PATIENCE_S
        while time.monotonic() < until and self.process.poll() is None:
            try:
                get(self.port)
                return
            except OSError:
                time.sleep(0.05)
        self.process.kill()
        pytest.fail(f"it didn't start: {self.process.communicate()}")

    def end(self, how: signal.Signals = signal.SIGINT) -> tuple[int, str, str]:
        """End it and return exit code and what it printed."""
        self.process.send_signal(how)
        out, err = self.process.communicate(timeout=PATIENCE_S)
        return self.process.returncode, out, err


@contextmanager
def running(*arguments: str) -> Iterator[Started]:
    """Run the program and see that it ends whatever happens."""
    started = Started(*arguments)
    try:
        yield started
    finally:
        if started.process.poll() is None:
            started.process.kill()
            started.process.communicate()


@pytest.mark.parametrize("how", [signal.SIGINT, signal.SIGTERM])
def test_ends_cleanly(how: signal.Signals) -> None:
    with running("--host", "127.0.0.1") as started:
        code, out, err = started.end(how)
    assert (code, err) == (0, "")
    assert out.endswith("webcalc has ended.\n")


def test_says_what_to_open_and_which_rules() -> None:
    with running() as started:
        _code, out, err = started.end()
    assert err == ""
    assert f"Time-zone rules: {zone_rules_version().version}, from" in out
    urls = re.findall(r"^  (http://\S+)$", out, re.MULTILINE)
    addresses = serving.phone_addresses()
    assert urls == [f"http://{address}:{started.port}" for address in addresses or ["localhost"]]
    if addresses:
        assert "same network or hotspot" in out
        drawn = io.StringIO()
        segno.make(urls[0], micro=False).terminal(drawn, compact=True)
        assert drawn.getvalue() in out
    else:
        assert "switch on a hotspot" in out


def test_listens_for_the_network_unless_told_otherwise() -> None:
    assert starting.read_arguments([]).host == "0.0.0.0"  # noqa: S104 - the default that is tested
    assert starting.read_arguments([]).port == 8080


def test_taken_port_is_a_sentence_that_names_a_free_one() -> None:
    with running("--host", "127.0.0.1") as started:
        second = subprocess.run(
            [sys.executable, "-m", "webcalc", "--host", "127.0.0.1", "--port", str(started.port)],
            stdin=subprocess.DEVNULL,
            capture_output=True,
            encoding="utf-8",
            timeout=PATIENCE_S,
            check=False,
        )
        assert get(started.port)[0] == 200, "the first one must go on"
    assert (second.returncode, second.stdout) == (2, "")
    said = re.fullmatch(rf"Port {started.port} is taken\. Port (\d+) is free: start with --port (\d+)\n", second.stderr)
    assert said and said[1] == said[2]
    assert int(said[1]) > started.port
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", int(said[1])))


@pytest.mark.parametrize(("reply", "starts"), [("", True), ("y", True), ("n", False), (EOFError, False)])
def test_on_a_terminal_it_asks(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], reply: str | type, starts: bool
) -> None:
    asked = []

    def answer(question: str) -> str:
        asked.append(question)
        if reply is EOFError:
            raise EOFError
        return str(reply)

    monkeypatch.setattr("builtins.input", answer)
    monkeypatch.setattr(sys.stdin, "isatty", lambda: True)
    monkeypatch.setattr(sys.stdout, "isatty", lambda: True)
    with serving.listen_on("127.0.0.1", 0) as taken:
        port = taken.getsockname()[1]
        if starts:
            with starting.open_port("127.0.0.1", port) as listening:
                assert listening.getsockname()[1] > port
        else:
            with pytest.raises(SystemExit) as end:
                starting.open_port("127.0.0.1", port)
            assert end.value.code == 2
            assert capsys.readouterr().err == f"Not started: port {port} is taken.\n"
    assert re.fullmatch(rf"Port {port} is taken\. Use \d+ instead\? \[Y/n\] ", asked[0])


@pytest.mark.parametrize("host", ["203.0.113.9", "no such name"])
def test_a_foreign_address_to_listen_on_is_a_sentence(host: str, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit):
        starting.open_port(host, 8080)
    assert capsys.readouterr().err == f"{host} is not an address of this computer.\n"


def test_answers_for_its_own_names_and_no_others() -> None:
    with running("--trust", "Studio.Example", "--trust", "other.example") as started:
        own = ["127.0.0.1", "localhost", "studio.example", "other.example"]
        own += [*serving.phone_addresses(), *serving.machine_names()]
        for name in own:
            assert get(started.port, host=f"{name}:{started.port}")[0] == 200, name
        for name in ("evil.example", "studio.example.evil.example", "127.0.0.1.evil.example", "203.0.113.9"):
            status, page = get(started.port, host=name)
            assert status == 400, name
            assert "doesn't answer for" in page.replace("&#39;", "'")
            assert "<h1>" in page
            assert name not in page
        _code, _out, err = started.end()
    assert err == ""


@pytest.mark.parametrize("path", ["/interval.json", "/nowhere.json"])
def test_a_foreign_host_gets_data_where_it_asked_for_data(path: str) -> None:
    with running("--host", "127.0.0.1") as started:
        status, body = get(started.port, path, host="evil.example")
    assert status == 400
    assert body.startswith("{")


def test_too_long_a_link_is_refused_by_the_server() -> None:
    with running("--host", "127.0.0.1") as started:
        assert get(started.port, "/interval?name=" + "x" * 70_000)[0] == 431
        assert get(started.port)[0] == 200


def test_without_a_network_it_says_so(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    def no_network(*_arguments: object) -> None:
        raise OSError(101, "Network is unreachable")

    monkeypatch.setattr(serving, "_ELSEWHERE", ("255.255.255.255", 9))
    monkeypatch.setattr(serving, "_interface_addresses", lambda: iter(["127.0.0.1", "169.254.7.7"]))
    monkeypatch.setattr(serving.socket.socket, "connect", no_network)
    assert serving.phone_addresses() == []
    starting.introduce(starting.reachable_urls(serving.EVERY_ADDRESS, 8080), 8080)
    said = capsys.readouterr().out
    assert "no phone can reach this computer yet" in said
    assert "http://localhost:8080" in said
    assert "█" not in said


def test_where_interfaces_cannot_be_asked_the_name_is(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(serving, "fcntl", None)
    monkeypatch.setattr(serving, "_default_route_address", lambda: iter(["192.168.43.7"]))
    monkeypatch.setattr(
        socket, "gethostbyname_ex", lambda name: (name, [], ["127.0.1.1", "198.51.100.7", "10.0.0.5", "192.168.43.7"])
    )
    assert serving.phone_addresses()[0] == "192.168.43.7"
    assert set(serving.phone_addresses()) == {"192.168.43.7", "198.51.100.7", "10.0.0.5"}


def test_private_addresses_come_before_public_ones(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(serving, "_default_route_address", lambda: iter(["8.8.8.8"]))
    monkeypatch.setattr(serving, "_interface_addresses", lambda: iter(["127.0.0.1", "8.8.8.8", "10.42.0.1"]))
    assert serving.phone_addresses() == ["10.42.0.1", "8.8.8.8"]


def test_a_hotspot_may_be_switched_on_later(monkeypatch: pytest.MonkeyPatch) -> None:
    trusted = serving.TrustedHosts()
    monkeypatch.setattr(serving, "phone_addresses", lambda: ["192.168.43.7"])
    assert "192.168.43.7" in list(trusted)
    monkeypatch.setattr(serving, "phone_addresses", lambda: [])
    assert "192.168.43.7" not in list(trusted)


def test_a_terminal_without_block_characters_gets_no_code(monkeypatch: pytest.MonkeyPatch) -> None:
    plain = io.TextIOWrapper(io.BytesIO(), encoding="cp1252")
    monkeypatch.setattr(sys, "stdout", plain)
    starting.introduce(["http://10.0.0.5:8080"], 8080)
    plain.seek(0)
    assert "http://10.0.0.5:8080" in plain.read()


@pytest.mark.parametrize("text", ["0", "65536", "-1", "８０８０", "80.5", "1e3", "", "x"])
def test_port_is_a_number_in_range(text: str, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as end:
        starting.read_arguments(["--port", text])
    assert end.value.code == 2
    assert "must be a number from 1 to 65535" in capsys.readouterr().err


@pytest.mark.parametrize("text", ["http://studio.local", "studio.local:80", "a b", "", ".", "é.example", "x" * 64])
def test_trusted_name_is_a_name(text: str, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as end:
        starting.read_arguments(["--trust", text])
    assert end.value.code == 2
    assert "must be a host name" in capsys.readouterr().err


def test_names_of_this_computer(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(socket, "gethostname", lambda: "Crew-Laptop.Studio.Example.")
    assert serving.machine_names() == ["crew-laptop.studio.example", "crew-laptop", "crew-laptop.local"]
    monkeypatch.setattr(socket, "gethostname", lambda: "crew's laptop")
    assert serving.machine_names() == []
