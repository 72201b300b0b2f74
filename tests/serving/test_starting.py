"""Starting and ending the program as a person does: address, code to scan, taken port, strange names, Ctrl-C."""

from __future__ import annotations

import io
import os
import re
import signal
import socket
import subprocess
import sys
import threading
import time

import pytest
import segno
from live import PATIENCE_S, get, needs, running
from ports import free_port

import webcalc.__main__ as starting
from webcalc.calc.schedule.zone import zone_rules_version
from webcalc.serving import listening, network, terminal
from webcalc.serving.listening import Reach, listen_on
from webcalc.serving.network import Address, phone_addresses, read_ip


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
    urls = re.findall(r"^  (?:\d+  )?(http://\S+)", out, re.MULTILINE)
    addresses = phone_addresses(ipv6=True)
    expected = [f"http://{address.in_url}:{started.port}" for address in addresses]
    assert urls == (expected or [f"http://localhost:{started.port}"])
    if addresses:
        assert "same network or hotspot" in out
        assert all(f"({address.interface})" in out for address in addresses)
        drawn = io.StringIO()
        segno.make(urls[0], micro=False).terminal(drawn, compact=True)
        assert drawn.getvalue() in out
    else:
        assert "switch on a hotspot" in out


def test_listens_for_the_network_unless_told_otherwise() -> None:
    assert starting.read_arguments([]).host in listening.EVERY_ADDRESS
    assert starting.read_arguments([]).port == 8080
    assert starting.read_arguments(["--host", "[::1]"]).host == "::1"


@pytest.mark.parametrize("host", ["", "0", "0.0.0.0", "::"])  # noqa: S104 - what is tested
def test_every_address_is_every_address(host: str) -> None:
    needs("::1" if host == "::" else "127.0.0.1")
    with listen_on(host, 0) as bound:
        reach = Reach.of(bound)
    assert reach.everywhere
    assert reach.own_url == f"http://localhost:{reach.port}"
    both = host != "0.0.0.0"  # noqa: S104
    assert reach.phones() == phone_addresses(ipv6=both and socket.has_ipv6)


@pytest.mark.parametrize(
    ("host", "url"),
    [("127.0.0.1", "localhost"), ("localhost", "localhost"), ("127.0.0.2", "127.0.0.2"), ("::1", "[::1]")],
)
def test_loopback_is_said_to_be_for_this_computer_alone(
    host: str, url: str, capsys: pytest.CaptureFixture[str]
) -> None:
    needs("127.0.0.1" if host == "localhost" else host)
    with listen_on(host, 0) as bound:
        reach = Reach.of(bound)
    terminal.introduce(reach, reach.phones())
    said = capsys.readouterr().out
    assert "for this computer alone" in said
    assert f"  http://{url}:{reach.port}\n" in said
    assert "hotspot" not in said


@pytest.mark.parametrize("host", ["127.0.0.2", "::1"])
def test_the_address_that_is_told_is_answered(host: str) -> None:
    needs(host)
    with running("--host", host, at=host) as started:
        assert get(started.port, at=host)[0] == 200
        _code, out, err = started.end()
    assert err == ""
    assert (f"http://{host}:" in out) or (f"http://[{host}]:" in out)


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
    with listen_on("127.0.0.1", 0) as taken:
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
    trusted = ("--trust", "Studio.Example", "--trust", "other.example.")
    with running(*trusted, env={"WEBCALC_TRUST": "third.example"}) as it:
        own = ["127.0.0.1", "localhost", "LocalHost", "studio.example", "other.example", "third.example"]
        own += network.machine_names()
        # The whole name with its dot, and literal addresses of any private network (see web/http/hosts.py).
        own += [f"{name}." for name in network.machine_names()] + ["192.168.43.7", "169.254.9.9", "[fe80::1]"]
        for name in own:
            assert get(it.port, host=f"{name}:{it.port}")[0] == 200, name
        for name in ("evil.example", "studio.example.evil.example", "127.0.0.1.evil.example", "203.0.113.9"):
            status, page = get(it.port, host=name)
            assert status == 400, name
            assert "doesn't answer for" in page.replace("&#39;", "'")
            assert "<h1>" in page
            assert name not in page
        _code, _out, err = it.end()
    assert err == ""


def test_each_own_address_is_answered_link_local_ones_too() -> None:
    with running() as started:
        assert get(started.port, at="127.0.0.1")[0] == 200
        for own in network.own_addresses():
            scoped = own.ip.version == 6 and own.ip.is_link_local
            at = f"{own.ip}%{own.interface}" if scoped else str(own.ip)
            assert get(started.port, at=at, host=f"{own.in_url}:{started.port}")[0] == 200, at


def test_what_it_refuses_is_data_where_data_was_asked_for() -> None:
    with running("--host", "127.0.0.1") as started:
        for path in ("/interval.json", "/nowhere.json"):
            status, body = get(started.port, path, host="evil.example")
            assert status == 400
            assert body.startswith("{")
        # A link that is too long reaches the server, not the app.
        assert get(started.port, "/interval?name=" + "x" * 70_000)[0] == 431
        assert get(started.port)[0] == 200


def _found(*pairs: tuple[str, str]) -> list[Address]:
    return [Address(ip, name) for text, name in pairs if (ip := read_ip(text))]


@pytest.fixture
def machine(monkeypatch: pytest.MonkeyPatch) -> dict[str, list[Address]]:
    """A computer whose network is made up: ``own`` addresses, and ``routes`` to the outside."""
    state: dict[str, list[Address]] = {"own": _found(("127.0.0.1", "lo"), ("169.254.7.7", "en9")), "routes": []}
    monkeypatch.setattr(network, "own_addresses", lambda: state["own"])
    monkeypatch.setattr(network, "_default_route_addresses", lambda: iter(a.ip for a in state["routes"]))
    monkeypatch.setattr(network, "_has_radio", lambda interface: False)
    return state


EVERYWHERE = Reach("::", 8080)


def test_without_a_network_it_says_so(machine: dict[str, list[Address]], capsys: pytest.CaptureFixture[str]) -> None:
    terminal.introduce(EVERYWHERE, EVERYWHERE.phones())
    said = capsys.readouterr().out
    assert "no phone can reach this computer yet" in said
    assert "http://localhost:8080" in said
    assert "█" not in said


def test_a_new_network_is_told(machine: dict[str, list[Address]], capsys: pytest.CaptureFixture[str]) -> None:
    watch = terminal.Watch(EVERYWHERE)
    assert not watch.look()
    machine["own"] = machine["own"] + _found(("192.168.43.7", "wlan0"))
    assert watch.look()
    said = capsys.readouterr().out
    assert "The network has changed." in said
    assert "http://192.168.43.7:8080  (wlan0)" in said
    assert "█" in said
    assert not watch.look()


def test_each_address_has_a_code_on_demand(
    machine: dict[str, list[Address]], capsys: pytest.CaptureFixture[str]
) -> None:
    machine["own"] = _found(("10.0.0.5", "eth0"), ("192.168.43.7", "wlan0"))
    watch = terminal.Watch(EVERYWHERE, asks=True)
    watch.introduce()
    said = capsys.readouterr().out
    assert "  1  http://192.168.43.7:8080  (wlan0)\n  2  http://10.0.0.5:8080  (eth0)\n" in said
    assert "number of another address" in said
    for typed, url in (("1\n", "http://192.168.43.7:8080"), (" 2\n", "http://10.0.0.5:8080")):
        watch.answer(typed)
        drawn = io.StringIO()
        segno.make(url, micro=False).terminal(drawn, compact=True)
        assert capsys.readouterr().out == f"{url}\n{drawn.getvalue()}"
    for typed in ("3", "0", "x", "²", "9" * 5_000):
        watch.answer(typed)
        assert capsys.readouterr().out == "Type a number from 1 to 2.\n"
    watch.answer("\n")
    assert capsys.readouterr().out == ""


def test_where_interfaces_cannot_be_listed_name_and_route_are_asked(monkeypatch: pytest.MonkeyPatch) -> None:
    """As on Windows, and on phones that keep their interfaces to themselves."""

    def refuse() -> list[Address]:
        raise OSError(13, "Permission denied")

    monkeypatch.setattr(network, "_listed_addresses", refuse)
    monkeypatch.setattr(network, "_default_route_addresses", lambda: iter([read_ip("192.168.43.7")]))
    named = [(socket.AF_INET, 1, 6, "", (text, 0)) for text in ("127.0.1.1", "10.0.0.5", "192.168.43.7")]
    monkeypatch.setattr(socket, "getaddrinfo", lambda *_a, **_k: named)
    assert [str(address.ip) for address in phone_addresses()] == ["192.168.43.7", "10.0.0.5"]


def test_interfaces_are_listed_as_the_system_does() -> None:
    """Against the addresses that sockets get: one bound to each must be possible."""
    own = network.own_addresses()
    assert "127.0.0.1" in {str(address.ip) for address in own}
    for address in own:
        if not address.ip.is_link_local:
            family = socket.AF_INET6 if address.ip.version == 6 else socket.AF_INET
            with socket.socket(family, socket.SOCK_STREAM) as probe:
                probe.bind((str(address.ip), 0))
    if sys.platform != "win32":
        assert {address.interface for address in own} <= {name for _number, name in socket.if_nameindex()} | {""}


def test_the_likeliest_address_comes_first(machine: dict[str, list[Address]]) -> None:
    machine["own"] = _found(
        ("8.8.8.8", "eth1"),
        ("172.17.0.1", "docker0"),
        ("10.8.0.2", "tun0"),
        ("192.168.1.20", "eth0"),
        ("192.168.1.21", "eth0"),
        ("192.168.5.5", "wlan0"),
        ("10.42.0.1", "usb0"),
        ("fd00::2", "eth0"),
        ("2a00::2", "eth0"),
        ("fe80::2", "eth0"),
        ("2a00::3", "wwan0"),
    )
    machine["routes"] = _found(("192.168.1.20", ""))
    # A hotspot, wireless, the way out, the rest of the private ones, virtual ones; public ones last.
    private = ["10.42.0.1", "192.168.5.5", "192.168.1.20", "192.168.1.21"]
    assert [str(a.ip) for a in phone_addresses()] == [*private, "172.17.0.1", "10.8.0.2", "8.8.8.8"]
    with_ipv6 = [str(a.ip) for a in phone_addresses(ipv6=True)]
    assert set(with_ipv6) - {str(a.ip) for a in phone_addresses()} == {"fd00::2", "2a00::3"}
    assert with_ipv6[-1] == "2a00::3", "an interface without IPv4 is told by IPv6, public ones last"


def test_a_terminal_without_block_characters_gets_no_code(monkeypatch: pytest.MonkeyPatch) -> None:
    plain = io.TextIOWrapper(io.BytesIO(), encoding="cp1252")
    monkeypatch.setattr(sys, "stdout", plain)
    reach = Reach("10.0.0.5", 8080)
    terminal.introduce(reach, reach.phones())
    plain.seek(0)
    assert "http://10.0.0.5:8080" in plain.read()


@pytest.mark.parametrize("how", ["exec {python} {rest} <&- >&- 2>&-", "{python} {rest} | head -1"])
@pytest.mark.skipif(os.name == "nt", reason="a POSIX shell's redirections")
def test_a_closed_terminal_ends_nothing(how: str) -> None:
    port = free_port()
    command = how.format(python=sys.executable, rest=f"-m webcalc --host 127.0.0.1 --port {port}")
    process = subprocess.Popen(
        ["sh", "-c", command], stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, start_new_session=True
    )
    try:
        until = time.monotonic() + PATIENCE_S
        while time.monotonic() < until:
            try:
                get(port, "/health")
                break
            except OSError:
                time.sleep(0.05)
        time.sleep(0.2)
        assert get(port)[0] == 200
    finally:
        os.killpg(process.pid, signal.SIGTERM)
        process.wait(PATIENCE_S)
    with pytest.raises(OSError, match=r"."):
        get(port)


@pytest.mark.skipif(os.name == "nt", reason="a POSIX terminal")
def test_on_a_terminal_it_takes_numbers_and_ctrl_c() -> None:
    keyboard, screen = os.openpty()
    port = free_port()
    process = subprocess.Popen(
        [sys.executable, "-m", "webcalc", "--host", "127.0.0.1", "--port", str(port)],
        stdin=screen,
        stdout=screen,
        stderr=screen,
        start_new_session=True,
    )
    os.close(screen)
    said, until = "", time.monotonic() + PATIENCE_S
    try:
        while "Ctrl-C ends it." not in said and time.monotonic() < until:
            said += os.read(keyboard, 4_096).decode()
        os.write(keyboard, b"1\n")
        while "There is no address yet." not in said and time.monotonic() < until:
            said += os.read(keyboard, 4_096).decode()
        assert get(port)[0] == 200
        process.send_signal(signal.SIGINT)
        assert process.wait(PATIENCE_S) == 0
    finally:
        process.kill()
        process.wait()
        os.close(keyboard)
    assert "There is no address yet." in said


def test_ctrl_c_ends_it_during_a_heavy_question() -> None:
    from test_rationing import heavy_query

    with running("--host", "127.0.0.1") as started:
        asking = threading.Thread(target=_ask_and_be_left, args=(started.port, f"/visits?{heavy_query()}"), daemon=True)
        asking.start()
        time.sleep(0.4)
        begin = time.monotonic()
        code, out, err = started.end()
        assert time.monotonic() - begin < 1.5
    assert (code, err) == (0, "")
    assert out.endswith("webcalc has ended.\n")


def _ask_and_be_left(port: int, path: str) -> None:
    try:
        get(port, path)
    except OSError:
        return


def test_after_a_hard_end_it_starts_again_on_the_same_port() -> None:
    with running("--host", "127.0.0.1") as started:
        port = started.port
        # A connection that is open as it ends leaves the port waiting for a minute (TIME-WAIT, RFC 9293).
        with socket.create_connection(("127.0.0.1", port)):
            started.end(signal.SIGKILL if hasattr(signal, "SIGKILL") else signal.SIGTERM)
    with running("--host", "127.0.0.1", port=port) as again:
        assert get(again.port)[0] == 200


@pytest.mark.parametrize("text", ["0", "65536", "-1", "８０８０", "80.5", "1e3", "", "x"])
def test_port_is_a_number_in_range(text: str, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as end:
        starting.read_arguments(["--port", text])
    assert end.value.code == 2
    assert "must be a number from 1 to 65535" in capsys.readouterr().err


@pytest.mark.parametrize(
    "text", ["http://studio.local", "studio.local:80", "a b", "", ".", "é.example", "a_b.example", "x" * 64]
)
def test_trusted_name_is_a_name(text: str, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as end:
        starting.read_arguments(["--trust", text])
    assert end.value.code == 2
    assert "must be a host name" in capsys.readouterr().err


def test_names_of_this_computer(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(socket, "gethostname", lambda: "Crew-Laptop.Studio.Example.")
    assert network.machine_names() == ["crew-laptop.studio.example", "crew-laptop", "crew-laptop.local"]
    monkeypatch.setattr(socket, "gethostname", lambda: "crew's laptop")
    assert network.machine_names() == []
