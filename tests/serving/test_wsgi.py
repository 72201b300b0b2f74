"""``webcalc.wsgi:app`` under a server that isn't this program's own, with several processes, and behind a proxy."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
from live import PATIENCE_S, get, wait_for
from ports import free_port

from webcalc.web.http.hosts import WrongSetting, trusted_names, trusted_proxies

pytestmark = pytest.mark.skipif(os.name == "nt", reason="gunicorn needs a POSIX system")
ROOT = Path(__file__).resolve().parents[2]
PUBLIC = "plans.example"
FORWARDED = {"X-Forwarded-Proto": "https", "X-Forwarded-Host": PUBLIC, "X-Forwarded-For": "198.51.100.7"}


@pytest.fixture(scope="module")
def port() -> Iterator[int]:
    """Run gunicorn with two processes; the proxy is at 127.0.0.2, and nothing else is believed."""
    port = free_port()
    process = subprocess.Popen(
        [sys.executable, "-m", "gunicorn", "-w", "2", "--threads", "4", "-b", f"127.0.0.1:{port}", "webcalc.wsgi:app"],
        cwd=ROOT,
        env={**os.environ, "WEBCALC_TRUST": f"{PUBLIC}, www.{PUBLIC}", "WEBCALC_PROXY": "127.0.0.2"},
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        encoding="utf-8",
    )
    wait_for(process, lambda: get(port, "/health"))
    yield port
    process.send_signal(signal.SIGTERM)
    said, _none = process.communicate(timeout=PATIENCE_S)
    assert process.returncode == 0, said
    assert said.count("Booting worker") == 2, said
    assert "Traceback" not in said, said


def test_every_process_answers(port: int) -> None:
    with ThreadPoolExecutor(8) as crew:
        answers = list(crew.map(lambda _n: get(port, "/clip?interval=5min", host=PUBLIC), range(24)))
    assert {status for status, _page in answers} == {200}
    assert len({page for _status, page in answers}) == 1


def test_names_come_from_the_environment(port: int) -> None:
    assert get(port, host=f"www.{PUBLIC}")[0] == 200
    assert get(port, host="evil.example")[0] == 400


def test_health_is_told_to_whoever_asks(port: int) -> None:
    assert get(port, "/health", host="10.1.2.3") == (200, "ok\n")
    assert get(port, "/health", host="evil.example") == (200, "ok\n")


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="only Linux has more than one loopback address")
def test_links_carry_what_the_proxy_was_asked_by(port: int) -> None:
    """A proxy that ends TLS forwards plain http, with scheme and host beside it (RFC 7239 calls them proto, host)."""
    status, page = get(port, "/interval?clip=1min", host="127.0.0.1:9", source="127.0.0.2", headers=FORWARDED)
    assert status == 200
    assert f"https://{PUBLIC}/interval?v=1" in page
    assert "http://127" not in page
    wrong = {**FORWARDED, "X-Forwarded-Host": "evil.example"}
    assert get(port, host=PUBLIC, source="127.0.0.2", headers=wrong)[0] == 400


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="only Linux has more than one loopback address")
def test_nobody_else_is_believed(port: int) -> None:
    wrong = {**FORWARDED, "X-Forwarded-Host": "evil.example"}
    status, page = get(port, "/interval?clip=1min", host=PUBLIC, source="127.0.0.3", headers=wrong)
    assert status == 200
    assert f"://{PUBLIC}/interval?v=1" in page
    assert "evil.example" not in page


def test_the_programs_own_server_believes_the_same_proxy() -> None:
    from house import HOST, make_app
    from live import serving

    from webcalc.web.http.hosts import TrustedProxy

    forwarded = {"X-Forwarded-Proto": "https", "X-Forwarded-Host": HOST}
    with serving(TrustedProxy(make_app(), ["127.0.0.1"]), proxies=["127.0.0.1"]) as server:
        _status, page = get(server.effective_port, "/interval?clip=1min", headers=forwarded)
    assert f"https://{HOST}/interval?v=1" in page
    with serving(TrustedProxy(make_app(), [])) as server:
        _status, page = get(server.effective_port, "/interval?clip=1min", headers=forwarded)
    assert "https://" not in page


def test_settings(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("WEBCALC_TRUST", raising=False)
    monkeypatch.delenv("WEBCALC_PROXY", raising=False)
    assert trusted_names() == trusted_proxies() == []
    monkeypatch.setenv("WEBCALC_TRUST", " Plans.Example., b.example ,c")
    monkeypatch.setenv("WEBCALC_PROXY", "127.0.0.1,unix ::1")
    assert trusted_names() == ["plans.example", "b.example", "c"]
    assert trusted_proxies() == ["127.0.0.1", "unix", "::1"]


@pytest.mark.parametrize("text", ["https://plans.example", "plans.example:80", "*", "a_b"])
def test_a_wrong_setting_is_a_sentence(monkeypatch: pytest.MonkeyPatch, text: str) -> None:
    monkeypatch.setenv("WEBCALC_TRUST", text)
    monkeypatch.setenv("WEBCALC_PROXY", text)
    with pytest.raises(WrongSetting, match="must be a host name"):
        trusted_names()
    with pytest.raises(WrongSetting, match="must be an address"):
        trusted_proxies()
