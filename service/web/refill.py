"""Fills a form of our own pages with what was typed into it before.

It works on the page as it is sent, so that no form needs to know of it, and each one has it.
"""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from html import escape
from html.parser import HTMLParser
from typing import Final

Attributes = list[tuple[str, str | None]]

# What a browser never fills, and what belongs to the page and not to whoever typed.
_NOT_TYPED: Final = frozenset({"submit", "button", "image", "reset", "file", "password"})
_TICKED: Final = frozenset({"checkbox", "radio"})


class Refill(HTMLParser):
    """Copies a page, the first form that goes to `action` filled with `fields`.

    Attributes:
        found: whether there was such a form.
    """

    def __init__(
        self, action: str, here: str, fields: Iterable[tuple[str, str]], own: frozenset[str]
    ) -> None:
        """Look for the form; one without an address goes to `here`, and the fields in `own` stay the page's."""
        super().__init__(convert_charrefs=False)
        self.found = False
        self._action, self._here, self._own = action, here, own
        self._typed: dict[str, list[str]] = defaultdict(list)
        for name, value in fields:
            self._typed[name].append(value)
        self._out: list[str] = []
        self._inside = False
        # Where the open <details> stand in `_out`: one with something typed in it is shown open.
        self._details: list[int] = []
        self._select: list[str] = []
        self._area: str | None = None

    def page(self, text: str) -> str:
        """Return the page `text`, filled."""
        self.feed(text)
        self.close()
        return "".join(self._out)

    def handle_starttag(self, tag: str, attrs: Attributes) -> None:
        """Copy a tag, changed where it is a field of the form."""
        given = {name: value or "" for name, value in attrs}
        if tag == "form" and not self.found and (given.get("action") or self._here) == self._action:
            self.found = self._inside = True
            self._open_details()
        elif tag == "details":
            self._details.append(len(self._out))
        written = self.get_starttag_text() or ""
        self._out.append(self._filled(tag, given) or written if self._inside else written)

    def handle_startendtag(self, tag: str, attrs: Attributes) -> None:
        """Copy a tag that ends itself: those of drawings do, and none of a form."""
        del tag, attrs
        self._out.append(self.get_starttag_text() or "")

    def handle_endtag(self, tag: str) -> None:
        """Copy the end of a tag."""
        if tag == "form":
            self._inside = False
        elif tag == "details" and self._details:
            self._details.pop()
        elif tag == "textarea":
            self._area = None
        self._out.append(f"</{tag}>")

    def handle_data(self, data: str) -> None:
        """Copy text, but for that of a field which is filled."""
        if self._area is None:
            self._out.append(data)

    def handle_entityref(self, name: str) -> None:
        """Copy a character written by its name."""
        self.handle_data(f"&{name};")

    def handle_charref(self, name: str) -> None:
        """Copy a character written by its number."""
        self.handle_data(f"&#{name};")

    def handle_comment(self, data: str) -> None:
        """Copy a comment."""
        self._out.append(f"<!--{data}-->")

    def handle_decl(self, decl: str) -> None:
        """Copy what kind of page it is."""
        self._out.append(f"<!{decl}>")

    def _filled(self, tag: str, given: dict[str, str]) -> str | None:
        """Return a field of the form as it was left, None for all else."""
        if tag == "option":
            return _tag(tag, given, ("selected", given.get("value") in self._select))
        name = given.get("name", "")
        if tag not in {"input", "select", "textarea"} or name in self._own:
            return None
        return {"input": self._input, "select": self._selected, "textarea": self._text}[tag](given, name)

    def _input(self, given: dict[str, str], name: str) -> str | None:
        kind = given.get("type", "text")
        if kind in _TICKED:
            ticked = given.get("value", "on") in self._typed[name]
            self._show(ticked)
            return _tag("input", given, ("checked", ticked))
        if kind in _NOT_TYPED or name not in self._typed:
            return None
        value = _next(self._typed[name])
        self._show(bool(value) and kind != "hidden")
        return _tag("input", {**given, "value": value})

    def _selected(self, _given: dict[str, str], name: str) -> None:
        self._select = self._typed[name]
        self._show(any(self._select))

    def _text(self, given: dict[str, str], name: str) -> str | None:
        if name not in self._typed:
            return None
        self._area = _next(self._typed[name])
        self._show(bool(self._area))
        # The first line break inside a text field is not part of its text (HTML standard, "textarea").
        return f"{_tag('textarea', given)}\n{escape(self._area)}"

    def _show(self, typed: bool) -> None:  # noqa: FBT001 - the one thing it is told
        if typed:
            self._open_details()

    def _open_details(self) -> None:
        for place in self._details:
            if " open" not in self._out[place]:
                self._out[place] = self._out[place].replace("<details", "<details open", 1)


def _next(values: list[str]) -> str:
    """Return what was typed into the next of several fields with one name."""
    return values.pop(0) if len(values) > 1 else values[0]


def _tag(tag: str, given: dict[str, str], state: tuple[str, bool] | None = None) -> str:
    """Write a start tag; `state` is a word that it bears or does not."""
    words: Sequence[str] = [f'{name}="{escape(value)}"' if value else name for name, value in given.items()]
    if state is not None:
        word, on = state
        words = [*(one for one in words if one != word), *([word] if on else [])]
    return f"<{' '.join((tag, *words))}>"
