"""Files that were made to harm or came broken: each is refused with a sentence, quickly, and nothing is fetched."""

import time

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from projects.geometry.landxml import safe_xml
from projects.geometry.landxml.document import Document
from projects.geometry.landxml.importing import Answers, import_alignment
from projects.geometry.landxml.safe_xml import LandXmlError, read_tree
from tests.geometry.landxml_files import winding, written

GOOD = written(winding())
BOMB = (
    '<?xml version="1.0"?><!DOCTYPE LandXML [<!ENTITY a "aaaaaaaaaa">'
    + "".join(f'<!ENTITY {chr(98 + n)} "{f"&{chr(97 + n)};" * 10}">' for n in range(9))
    + "]><LandXML><Units>&j;</Units></LandXML>"
)
HOSTILE = {
    "entity bomb": (BOMB, "document type"),
    "one large entity": (
        '<!DOCTYPE LandXML [<!ENTITY a "' + "a" * 100_000 + '">]><LandXML>' + "&a;" * 1000 + "</LandXML>",
        "document type",
    ),
    "external entity": (
        '<!DOCTYPE LandXML [<!ENTITY x SYSTEM "file:///etc/hostname">]><LandXML><Units>&x;</Units></LandXML>',
        "document type",
    ),
    "external document type": ('<!DOCTYPE LandXML SYSTEM "http://127.0.0.1:9/x.dtd"><LandXML/>', "document type"),
    "parameter entity": ('<!DOCTYPE LandXML [<!ENTITY % p SYSTEM "x:">%p;]><LandXML/>', "document type"),
    "entity without a declaration": ("<LandXML><Units>&nbsp;</Units></LandXML>", "an entity that is not declared"),
    "nested deeply": ("<LandXML>" + "<Alignments>" * 200_000, "nested more than 30 levels"),
    "nested deeply where nothing is read": ("<LandXML><Surfaces>" + "<S>" * 200_000, "nested more than 30 levels"),
    "another root": ("<gpx><trk/></gpx>", "its root element is “gpx”"),
    "a web page": ("<html><head></head></html>", "root element is “html”"),
    "not XML": ("Station;Easting;Northing\n1;2;3\n", "no XML .line 1"),
    "JSON": ('{"kind": "baseline"}', "XML"),
    "empty": ("", "The file is empty"),
    "blank": ("  \n ", "The file is empty"),
    "a drawing": (b"AC1032\x00\x00\x00\x00", "XML"),
    "an archive": (b"PK\x03\x04\x14\x00\x00\x00", "ZIP archive"),
    "no alignment": ("<LandXML version='1.2'><Surfaces/></LandXML>", "holds no alignment"),
    "zero bytes": (b"\x00" * 100, "The file is empty"),
    "control character": (GOOD.replace("CL", "C\x01L"), "a character that XML does not allow"),
    "cut short": (GOOD[: len(GOOD) // 2], "cut short"),
    "cut in a tag": (GOOD[: GOOD.index("rot=") + 3], "cut short"),
    "wrong closing": (GOOD.replace("</CoordGeom>", "</CoordGeo>"), "closes an element that is not open"),
    "two roots": (GOOD + GOOD[GOOD.index("<LandXML") :], "not well-formed"),
    "attribute twice": (GOOD.replace('version="1.2"', 'version="1.2" version="1.2"'), "not well-formed"),
    "unknown encoding": (GOOD.replace("UTF-8", "KLINGON-8").encode(), "encoding"),
    "says UTF-8 and is not": (GOOD.replace("CL", "Trasse für").encode("latin-1"), "another encoding"),
    "says UTF-16 and is not": (GOOD.replace("UTF-8", "UTF-16").encode(), "encoding"),
    "not a number": (GOOD.replace('length="120.000000"', 'length="NaN0"'), "is not a number"),
    "a number without end": (GOOD.replace('length="120.000000"', f'length="{"9" * 5000}"'), "is not a number"),
    "beyond every map": (GOOD.replace('length="120.000000"', 'length="1e300"'), "too large"),
    "coordinates that are infinite": (GOOD.replace("<Start>", "<Start>INF ", 1), "not a (number|point)"),
    "a point of four": (GOOD.replace("<Start>", "<Start>1 2 ", 1), "is not a point"),
    "no start": (GOOD.replace("<Start>", "<Begin>").replace("</Start>", "</Begin>"), "has no Start point"),
    "no geometry": (GOOD.replace("CoordGeom", "AlignPIs"), "entered as a PI table"),
    "an empty geometry": (GOOD[: GOOD.index("<CoordGeom>")] + "<CoordGeom/></Alignment></Alignments></LandXML>",
                          "has no elements"),
}  # fmt: skip


@pytest.mark.parametrize(("source", "sentence"), HOSTILE.values(), ids=HOSTILE)
def test_it_is_refused_with_a_sentence(source, sentence):
    began = time.perf_counter()
    with pytest.raises(LandXmlError, match=sentence) as refused:
        import_alignment(Document.read(source), Answers())
    assert time.perf_counter() - began < 2.0
    assert str(refused.value).endswith((".", "?"))
    assert len(str(refused.value)) < 400


def test_limits_of_size_and_count(monkeypatch):
    with pytest.raises(LandXmlError, match=r"at most 20 MB are read"):
        read_tree(b"<LandXML>" + b" " * safe_xml.LARGEST_BYTES)
    monkeypatch.setattr(safe_xml, "MOST_ELEMENTS", 100)
    with pytest.raises(LandXmlError, match="more than 100 elements"):
        read_tree("<LandXML><Surfaces>" + "<P/>" * 200 + "</Surfaces></LandXML>")
    monkeypatch.setattr(safe_xml, "MOST_KEPT", 50)
    with pytest.raises(LandXmlError, match="more than 50 parts"):
        read_tree("<LandXML><CgPoints>" + "<CgPoint/>" * 60 + "</CgPoints></LandXML>")
    with pytest.raises(LandXmlError, match="characters of text"):
        read_tree("<LandXML><Units>" + "a" * (safe_xml.LONGEST_TEXT + 1) + "</Units></LandXML>")


def test_a_large_surface_beside_a_small_alignment_is_passed_over():
    surface = "<Surfaces><Surface><Pnts>" + '<P id="1">1.0 2.0 3.0</P>' * 150_000 + "</Pnts></Surface></Surfaces>"
    text = GOOD.replace("<Alignments", surface + "<Alignments", 1)
    assert len(text) > 3_000_000
    began = time.perf_counter()
    assert len(Document.read(text).reduced()) < 10_000
    assert time.perf_counter() - began < 5.0


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "iso-8859-1", "windows-1252"])
def test_the_encoding_that_the_file_declares_is_read(encoding):
    text = GOOD.replace("UTF-8", {"utf-8-sig": "UTF-8", "utf-16": "UTF-16"}.get(encoding, encoding)).replace(
        "CL", "Straße"
    )
    assert list(Document.read(text.encode(encoding)).alignments) == ["Straße"]


def test_text_that_was_decoded_already_is_read_whatever_it_declares():
    assert list(Document.read(GOOD.replace("UTF-8", "ISO-8859-1").replace("CL", "Straße")).alignments) == ["Straße"]


@settings(max_examples=150, deadline=None)
@given(st.integers(0, len(GOOD) - 1), st.integers(0, 40), st.text(max_size=8))
def test_any_damage_is_refused_by_name_or_read(at, length, instead):
    damaged = GOOD[:at] + instead + GOOD[at + length :]
    try:
        import_alignment(Document.read(damaged), Answers())
    except LandXmlError as error:
        assert str(error).endswith((".", "?"))  # noqa: PT017 - the sentence is what people get


@settings(max_examples=100, deadline=None)
@given(st.binary(max_size=300))
def test_any_bytes_are_refused_by_name(content):
    with pytest.raises(LandXmlError):
        Document.read(content)
