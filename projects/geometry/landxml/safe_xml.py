"""Read the parts of a LandXML file that alignments need, streaming, and refuse what no drawing needs.

The expat parser of the standard library with handlers that refuse a document type, entities and anything
outside the file, so that no expansion can begin. Surfaces beside an alignment are passed over unread.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field
from hashlib import sha256
from typing import Any
from xml.parsers import expat
from xml.sax.saxutils import escape, quoteattr

LARGEST_BYTES = 20_000_000
DEEPEST = 30
MOST_ELEMENTS = 2_000_000
MOST_KEPT = 60_000
LONGEST_TEXT = 400_000
_CHUNK = 65_536
# What is read of a file, by local name directly below the root; everything else is passed over.
_KEPT = frozenset({"Units", "CoordinateSystem", "Project", "Application", "Alignments", "CgPoints"})
# Below an alignment: what belongs to other trades, or is large and not used.
_PASSED_OVER = frozenset({"CrossSects", "Superelevation", "Cant", "Feature", "ProfSurf", "DocFileRef"})


class LandXmlError(ValueError):
    """The file cannot be used. The sentence says what is wrong, where, and what to do."""


@dataclass
class Node:
    """An element with its local name; namespaces differ between producers and are ignored."""

    name: str
    attributes: dict[str, str]
    children: list["Node"] = field(default_factory=list)
    text: str = ""

    def all(self, name: str) -> Iterator["Node"]:
        """Children with a name."""
        return (child for child in self.children if child.name == name)

    def first(self, name: str) -> "Node | None":
        """The first child with a name."""
        return next(self.all(name), None)

    def get(self, name: str) -> str:
        """An attribute without blanks around it, empty if missing."""
        return self.attributes.get(name, "").strip()


class _Reader:
    def __init__(self) -> None:
        self.root: Node | None = None
        self._open: list[Node | None] = []  # None: passed over
        self._elements = self._kept = 0
        self._text: list[str] = []
        self._text_length = 0

    def start(self, tag: str, attributes: dict[str, str]) -> None:
        self._elements += 1
        if self._elements > MOST_ELEMENTS:
            raise LandXmlError(
                f"The file has more than {MOST_ELEMENTS:,} elements. Export the alignments alone, without surfaces."
            )
        if len(self._open) >= DEEPEST:
            raise LandXmlError(f"The file is nested more than {DEEPEST} levels deep, which no alignment needs.")
        name = _local(tag)
        node = self._node(name, attributes)
        if node is not None:
            self._kept += 1
            if self._kept > MOST_KEPT:
                raise LandXmlError(
                    f"The alignments and points of the file have more than {MOST_KEPT:,} parts. Export fewer at once."
                )
            self._text, self._text_length = [], 0
        self._open.append(node)

    def _node(self, name: str, attributes: dict[str, str]) -> Node | None:
        if self.root is None:
            if name != "LandXML":
                raise LandXmlError(f"The file is XML but not LandXML: its root element is “{name[:40]}”.")
            self.root = Node(name, {_local(key): value for key, value in attributes.items()})
            return self.root
        parent = self._open[-1] if self._open else None
        top = len(self._open) == 1
        if parent is None or (top and name not in _KEPT) or (not top and name in _PASSED_OVER):
            return None
        made = Node(name, {_local(key): value for key, value in attributes.items()})
        parent.children.append(made)
        return made

    def end(self, tag: str) -> None:
        node = self._open.pop()
        if node is not None:
            node.text = node.text or "".join(self._text).strip()
            self._text, self._text_length = [], 0

    def characters(self, text: str) -> None:
        if not self._open or self._open[-1] is None:
            return
        self._text_length += len(text)
        if self._text_length > LONGEST_TEXT:
            raise LandXmlError(f"One element holds more than {LONGEST_TEXT:,} characters of text.")
        self._text.append(text)


def _local(tag: str) -> str:
    return tag.rpartition(":")[2]


def _refuse_document_type(*_: Any) -> None:
    raise LandXmlError("The file declares a document type (DTD). LandXML has none, so the file is not read.")


def _refuse_entity(*_: Any) -> int:
    raise LandXmlError("The file declares or uses entities, which LandXML does not need. It is not read.")


def read_tree(source: str | bytes) -> Node:
    """The root of a LandXML text or file with its units, points and alignments. Raises `LandXmlError`.

    Bytes are decoded as their XML declaration or byte order mark says; text has been decoded by whoever sent it.
    """
    content = source.encode("utf-8", "surrogatepass") if isinstance(source, str) else source
    if len(content) > LARGEST_BYTES:
        raise LandXmlError(
            f"The file has {len(content) / 1e6:.1f} MB; at most {LARGEST_BYTES / 1e6:.0f} MB are read. "
            "Export the alignments alone, without surfaces."
        )
    if not content.strip(b"\x00 \t\r\n"):
        raise LandXmlError("The file is empty.")
    if content[:4] == b"PK\x03\x04":
        raise LandXmlError("The file is a ZIP archive. Unpack it and choose the .xml file in it.")
    reader = _Reader()
    parser = expat.ParserCreate(encoding="utf-8" if isinstance(source, str) else None)
    parser.buffer_text = True
    parser.SetParamEntityParsing(expat.XML_PARAM_ENTITY_PARSING_NEVER)
    parser.StartDoctypeDeclHandler = _refuse_document_type
    parser.EntityDeclHandler = _refuse_entity
    parser.UnparsedEntityDeclHandler = _refuse_entity
    parser.ExternalEntityRefHandler = _refuse_entity
    parser.SkippedEntityHandler = _refuse_entity
    parser.StartElementHandler = reader.start
    parser.EndElementHandler = reader.end
    parser.CharacterDataHandler = reader.characters
    try:
        for begin in range(0, len(content), _CHUNK):
            parser.Parse(content[begin : begin + _CHUNK], False)
        parser.Parse(b"", True)
    except expat.ExpatError as error:
        raise LandXmlError(_sentence(error)) from error
    except (LookupError, ValueError) as error:
        if isinstance(error, LandXmlError):
            raise
        raise LandXmlError("The encoding that the file names is not known or does not fit its bytes.") from error
    assert reader.root is not None
    return reader.root


_BROKEN = {
    "XML_ERROR_NO_ELEMENTS": "ends before its root element is complete: it is cut short or not XML",
    "XML_ERROR_UNCLOSED_TOKEN": "ends in the middle of an element: it is cut short",
    "XML_ERROR_UNKNOWN_ENCODING": "names an encoding that is not known",
    "XML_ERROR_INCORRECT_ENCODING": "names an encoding that does not fit its bytes",
    "XML_ERROR_PARTIAL_CHAR": "ends in the middle of a character: it is cut short",
    "XML_ERROR_TAG_MISMATCH": "closes an element that is not open",
    "XML_ERROR_UNDEFINED_ENTITY": "uses an entity that is not declared",
    "XML_ERROR_INVALID_TOKEN": "holds a character that XML does not allow there, is in another encoding, or is no XML",
}
_CODES = {getattr(expat.errors, name): words for name, words in _BROKEN.items() if hasattr(expat.errors, name)}


def _sentence(error: expat.ExpatError) -> str:
    message = expat.ErrorString(error.code)
    words = _CODES.get(message, "is not well-formed XML")
    return f"The file {words} (line {error.lineno}, column {error.offset + 1}). Export it again and send it whole."


def reduced(root: Node) -> str:
    """What was read, as a small LandXML text that reads the same again."""
    return '<?xml version="1.0" encoding="UTF-8"?>\n' + _written(root)


def _written(node: Node) -> str:
    attributes = "".join(
        f" {name}={quoteattr(value)}" for name, value in node.attributes.items() if name.isidentifier()
    )
    inside = escape(node.text) + "".join(map(_written, node.children))
    return f"<{node.name}{attributes}>{inside}</{node.name}>"


def digest(source: str | bytes) -> str:
    """SHA-256 of the file as sent."""
    return sha256(source.encode("utf-8", "surrogatepass") if isinstance(source, str) else source).hexdigest()
