"""XML from strangers as a plain tree: no document types, no entities, bounded depth and size."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import NoReturn
from xml.parsers import expat

from softmend.errors import InputError, LimitError

MOST_BYTES, MOST_NODES, DEEPEST = 20_000_000, 400_000, 64


@dataclass(slots=True)
class Node:
    """One element: its name without the namespace, its attributes, its own text, its children."""

    name: str
    namespace: str = ""
    attributes: dict[str, str] = field(default_factory=dict)
    text: str = ""
    children: list[Node] = field(default_factory=list)

    def walk(self) -> Iterator[Node]:
        """Yield this element and all below it, in the order of the file."""
        yield self
        for child in self.children:
            yield from child.walk()

    def first(self, *names: str) -> Node | None:
        """Return the first element below of one of these names."""
        return next((one for one in self.walk() if one is not self and one.name in names), None)

    def words(self, *names: str) -> str:
        """Return the text of the first element below of one of these names, or nothing."""
        found = self.first(*names)
        return found.text.strip() if found else ""


def read_xml(data: bytes) -> Node:
    """Return the root of an XML text; a document type, an entity or too much of it is refused."""
    if len(data) > MOST_BYTES:
        raise LimitError("The XML file is too large", value=f"{len(data) / 1e6:.0f} MB",
                         allowed="20 MB")  # fmt: skip
    builder = _Builder()
    parser = expat.ParserCreate(namespace_separator=" ")
    parser.buffer_text = True
    parser.StartElementHandler = builder.start
    parser.EndElementHandler = builder.end
    parser.CharacterDataHandler = builder.characters
    parser.StartDoctypeDeclHandler = _refuse_doctype
    parser.EntityDeclHandler = _refuse_doctype
    parser.ExternalEntityRefHandler = _refuse_doctype
    parser.SetParamEntityParsing(expat.XML_PARAM_ENTITY_PARSING_NEVER)
    try:
        parser.Parse(data, True)
    except (expat.ExpatError, ValueError) as fault:
        raise InputError(
            "The XML file is damaged", value=str(fault)[:80], remedy="Export it again"
        ) from fault
    if builder.root is None:
        raise InputError("The XML file is empty")
    return builder.root


class _Builder:
    def __init__(self) -> None:
        self.root: Node | None = None
        self._open: list[Node] = []
        self._count = 0

    def start(self, name: str, attributes: dict[str, str]) -> None:
        """Open one element."""
        self._count += 1
        if self._count > MOST_NODES or len(self._open) >= DEEPEST:
            raise LimitError(
                "The XML file is too deep or has too many elements",
                allowed=f"{MOST_NODES} elements, {DEEPEST} deep",
            )
        namespace, _, local = name.rpartition(" ")
        node = Node(local, namespace, {key.rpartition(" ")[2]: v for key, v in attributes.items()})
        if self._open:
            self._open[-1].children.append(node)
        else:
            self.root = node
        self._open.append(node)

    def end(self, _name: str) -> None:
        """Close the element that is open."""
        self._open.pop()

    def characters(self, text: str) -> None:
        """Keep the text of the element that is open."""
        if self._open:
            self._open[-1].text += text


def _refuse_doctype(*_args: object) -> NoReturn:
    raise InputError(
        "The XML file brings its own document type or entities",
        allowed="plain XML",
        remedy="Export it again from the measuring program; never open this file elsewhere either",
    )
