"""Reads a page as a strict reader would: tags closed, ids given once, references to something that is there."""

from __future__ import annotations

from html.parser import HTMLParser

VOID = frozenset({"meta", "link", "input", "br", "hr", "img", "wbr"})
#: Elements of a picture that may be closed in place.
CLOSED_IN_PLACE = frozenset({"path", "rect", "circle", "line", "polyline", "polygon", "use", "stop", "ellipse"})
#: Elements whose end tag may be left out, and what they end by beginning.
ENDS = {
    "option": {"option"},
    "li": {"li"},
    "dt": {"dt", "dd"},
    "dd": {"dt", "dd"},
    "td": {"td", "th"},
    "th": {"td", "th"},
    "tr": {"td", "th", "tr"},
}


class Markup(HTMLParser):
    """A page's elements, texts by id, and what is wrong with it (``faults``)."""

    def __init__(self, source: str) -> None:
        super().__init__(convert_charrefs=True)
        self.faults: list[str] = []
        self.elements: list[tuple[str, dict[str, str]]] = []
        self.texts: dict[str, str] = {}
        self._open: list[tuple[str, str]] = []
        self.feed(source)
        self.close()
        # The end of the document closes its root.
        self.faults += [f"<{tag}> isn't closed" for tag, _id in self._open if tag != "html"]
        self._check_references()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        names = [name for name, _value in attrs]
        self.faults += [f"<{tag}> has {name} twice" for name in set(names) if names.count(name) > 1]
        self.faults += [f"<{tag} {name}> is inline" for name in names if name == "style" or name.startswith("on")]
        if tag in ("script", "style") and "src" not in names:
            self.faults.append(f"inline <{tag}>")
        attributes = {name: value or "" for name, value in attrs}
        self.elements.append((tag, attributes))
        while self._open and self._open[-1][0] in ENDS.get(tag, ()):
            self._open.pop()
        if tag not in VOID:
            self._open.append((tag, attributes.get("id", "")))
            self.texts.setdefault(attributes.get("id", ""), "")

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag not in CLOSED_IN_PLACE:
            self.faults.append(f"<{tag}/> is closed in place")
        self.elements.append((tag, {name: value or "" for name, value in attrs}))

    def handle_endtag(self, tag: str) -> None:
        while self._open and self._open[-1][0] in ENDS and self._open[-1][0] != tag:
            self._open.pop()
        if not self._open or self._open[-1][0] != tag:
            self.faults.append(f"</{tag}> closes {self._open[-1][0] if self._open else 'nothing'}")
        else:
            self._open.pop()

    def handle_data(self, data: str) -> None:
        for _tag, name in self._open:
            if name:
                self.texts[name] += data

    def _check_references(self) -> None:
        ids = [attributes["id"] for _tag, attributes in self.elements if "id" in attributes]
        self.faults += [f"id {name!r} is there {ids.count(name)} times" for name in set(ids) if ids.count(name) > 1]
        for tag, attributes in self.elements:
            wanted = [attributes["for"]] if "for" in attributes else []
            wanted += attributes.get("aria-describedby", "").split() + attributes.get("aria-labelledby", "").split()
            if attributes.get("href", "").startswith("#"):
                wanted.append(attributes["href"][1:])
            self.faults += [f"<{tag}> refers to {name!r}, which isn't there" for name in wanted if name not in ids]

    def with_id(self, name: str) -> dict[str, str]:
        """Return the attributes of the element with this id."""
        return next(attributes for _tag, attributes in self.elements if attributes.get("id") == name)

    def named(self, name: str) -> list[dict[str, str]]:
        """Return the attributes of the controls with this name."""
        return [attributes for _tag, attributes in self.elements if attributes.get("name") == name]

    def targets(self) -> list[str]:
        """Return where the page's links, styles and scripts lead."""
        return [
            target
            for _tag, attributes in self.elements
            for target in (attributes.get("href"), attributes.get("src"))
            if target is not None
        ]
