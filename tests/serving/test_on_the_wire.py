"""What a page's first load takes on the wire: status lines, headers, packed bodies, and the icon too.

14,600 bytes is the initial window of RFC 6928, section 2, for segments of 1,460 bytes.
"""

from __future__ import annotations

from examples import PAGES, states
from house import make_app
from live import get, say_raw, serving
from markup import Markup
from test_first_load import FIRST_FLIGHT_BYTES

#: The reference of all names is for a desk, and grows with the table.
PATHS = ["/", *(states(page)["filled"] for page in PAGES)]


def wire_bytes(port: int, path: str) -> int:
    """Return the bytes that come back for one request of a browser."""
    request = f"GET {path} HTTP/1.1\r\nHost: 127.0.0.1\r\nAccept-Encoding: gzip\r\nConnection: close\r\n\r\n"
    answer = say_raw(port, request.encode())
    assert answer.startswith(b"HTTP/1.1 200"), (path, answer[:300])
    # What is smaller than packed is sent as it is.
    assert len(answer) < 2_000 or b"\r\nContent-Encoding: gzip\r\n" in answer, path
    return len(answer)


def test_every_first_load_fits_the_first_flight() -> None:
    with serving(make_app()) as server:
        port = server.effective_port
        for path in PATHS:
            elements = Markup(get(port, path)[1]).elements
            files = [attributes["src"] for tag, attributes in elements if tag == "script" and "src" in attributes]
            files += [attributes["href"] for tag, attributes in elements if tag == "link"]
            assert any(".svg" in file for file in files)
            taken = {file: wire_bytes(port, file) for file in (path, *files)}
            assert sum(taken.values()) <= FIRST_FLIGHT_BYTES, taken
