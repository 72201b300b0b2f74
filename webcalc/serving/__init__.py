"""Serving the app to the phones nearby: this computer's addresses, the socket, the server, the terminal."""

from __future__ import annotations

#: The most that is taken in: the file of a crew sheet with 2,000 emoji of notes has 130 kB.
MOST_BYTES = 163_840
#: The most that is taken of a card's listing: 100,000 lines of a terminal have 8 MB.
MOST_LISTING_BYTES = 16_777_216
