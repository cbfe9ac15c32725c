"""A picture is what its name says, small enough, and only a drawing: anything that could do more is a fault."""

from __future__ import annotations

import random
import struct
import time

import pytest

from generator.faults import Fault
from generator.inputs.pictures import PICTURE_LIMIT, check_pictures
from generator.site import disk
from generator.site.build import build, check_texts
from tests.support import demo
from tests.support.harness import names_of

NS = 'xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink"'
PNG = b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR\0\0\0\1\0\0\0\1\x08\x06\0\0\0"


def drawing(body: str, more: str = "") -> bytes:
    return f"<svg {NS} {more}>\n{body}\n</svg>\n".encode()


def faults_of(data: bytes, name: str = "marks.svg") -> list[Fault]:
    return check_pictures({name: data})


def told(body: str, more: str = "") -> list[str]:
    return names_of(faults_of(drawing(body, more)))


def test_a_step_that_shows_a_picture_of_an_odd_name_is_told_and_no_worksheet_is_written() -> None:
    pictures = disk.read_pictures(demo.ROOT, "procedures")
    name = next(name for name in pictures if any(name.encode() in text for text in demo.texts().values()))
    odd = "as found (1).svg"
    texts = {path: text.replace(name.encode(), odd.encode()) for path, text in demo.texts().items()}
    checked = check_texts(texts, {**pictures, odd: pictures[name]})
    assert names_of(checked.faults) == ["PictureName"] and checked.sheets == ()


def test_the_pictures_of_the_demo_are_sound() -> None:
    pictures = disk.read_pictures(demo.ROOT, "procedures")
    assert len(pictures) >= 2 and check_pictures(pictures) == []


def png(width: int, height: int) -> bytes:
    return PNG[:16] + struct.pack(">II", width, height) + PNG[24:]


def jpeg(width: int, height: int) -> bytes:
    """An APP0 and a quantisation table come before the frame header, as in a camera's file."""
    app0 = b"\xff\xe0\0\x10JFIF\0\1\1\0\0\1\0\1\0\0"
    table = b"\xff\xdb\0\x43\0" + bytes(range(1, 65))
    frame = b"\xff\xc0\0\x11\x08" + struct.pack(">HH", height, width) + b"\3\1\x22\0\2\x11\1\3\x11\1"
    return b"\xff\xd8" + app0 + table + frame + b"\xff\xd9"


def webp(kind: bytes, body: bytes) -> bytes:
    return b"RIFF" + struct.pack("<I", 12 + len(body)) + b"WEBP" + kind + struct.pack("<I", len(body)) + body


def webp_lossy(width: int, height: int) -> bytes:
    return webp(b"VP8 ", b"\x10\0\0\x9d\x01\x2a" + struct.pack("<HH", width, height) + bytes(10))


def webp_lossless(width: int, height: int) -> bytes:
    return webp(b"VP8L", b"\x2f" + struct.pack("<I", (width - 1) | (height - 1) << 14) + bytes(10))


def webp_extended(width: int, height: int) -> bytes:
    return webp(b"VP8X", bytes(4) + struct.pack("<I", width - 1)[:3] + struct.pack("<I", height - 1)[:3])


MADE = {"a.png": png, "a.jpg": jpeg, "b.webp": webp_lossy, "c.webp": webp_lossless, "d.webp": webp_extended}


@pytest.mark.parametrize("name", MADE)
def test_a_picture_is_at_most_eight_thousand_pixels_on_either_side(name: str) -> None:
    made = MADE[name]
    assert faults_of(made(8000, 8000), name) == []
    for width, height in ((8001, 1), (1, 8001), (12_000, 9000)):
        [fault] = faults_of(made(width, height), name)
        assert (type(fault).__name__, fault.width, fault.height) == ("PictureTooWide", width, height)


@pytest.mark.parametrize(
    ("name", "data"),
    [
        ("a.png", png(5, 5)[:20]),
        ("a.png", png(0, 5)),
        ("a.jpg", jpeg(5, 5)[:30]),
        ("a.jpg", b"\xff\xd8\xff\xd9"),
        ("a.jpg", jpeg(5, 0)),
        ("b.webp", webp_lossy(5, 5)[:24]),
        ("c.webp", webp(b"ABCD", bytes(12))),
    ],
)
def test_a_picture_whose_size_nobody_can_tell_is_a_fault(name: str, data: bytes) -> None:
    assert names_of(faults_of(data, name)) == ["PictureWithoutSize"]


@pytest.mark.parametrize(
    "body",
    [
        '<circle r="4" fill="url(#shade)"/><linearGradient id="shade"><stop offset="1"/></linearGradient>',
        '<defs><g id="bolt"><path d="M0 0h9"/></g></defs><use href="#bolt"/><use xlink:href="#bolt"/>',
        "<style>.a { fill: red; stroke: url( '#line' ) } /* a note */</style><text class='a'>Mark &amp; pin</text>",
        '<title>Marks</title><desc>On &#60;both&#62; cams</desc><rect style="fill:#fff;mask:url(#m)"/>',
        '<metadata><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#" rdf:about=""/></metadata>',
        '<n:namedview xmlns:n="http://sodipodi.sourceforge.net/DTD/sodipodi-0.dtd" n:onload="1" id="base"/>',
        "<!-- <script>alert(1)</script> onload=alert(1) --><g/>",
    ],
)
def test_what_is_only_drawn_passes(body: str) -> None:
    assert told(body) == []


@pytest.mark.parametrize(
    ("body", "fault"),
    [
        ("<script/>", "SvgElement"),
        ('<script xmlns="http://www.w3.org/1999/xhtml">alert(1)</script>', "SvgElement"),
        ('<x:script xmlns:x="http://www.w3.org/1999/xhtml">alert(1)</x:script>', "SvgElement"),
        ('<x:SCRIPT xmlns:x="http://www.w3.org/2000/svg"/>', "SvgElement"),
        ('<g xmlns=""/>', "SvgElement"),
        (
            '<metadata><iframe xmlns="http://www.w3.org/1999/xhtml" src="https://example.invalid"/></metadata>',
            "SvgElement",
        ),
        ('<foreignObject width="9"/>', "SvgElement"),
        ('<animate attributeName="href" to="javascript:alert(1)"/>', "SvgElement"),
        ('<handler type="x"/>', "SvgElement"),
        ('<feImage href="#a"/>', "SvgElement"),
        ('<image href="data:image/svg+xml;base64,PHN2Zz4="/>', "SvgElement"),
        ('<g onfocus="alert(1)" tabindex="1"/>', "SvgHandler"),
        ('<g\n  ONBEGIN="alert(1)"/>', "SvgHandler"),
        ('<g xlink:onload="alert(1)"/>', "SvgHandler"),
        ('<use href=" javascript:alert(1)"/>', "SvgReference"),
        ('<use xlink:href="java&#x09;script:alert(1)"/>', "SvgReference"),
        ('<use href="data:image/svg+xml,x#a"/>', "SvgReference"),
        ('<use href=""/>', "SvgReference"),
        ('<g xml:base="https://example.invalid/"><use href="#a"/></g>', "SvgReference"),
        ('<path mask="url(&quot;x.svg#m&quot;)"/>', "SvgReference"),
        ('<path cursor="URL(x.cur), auto"/>', "SvgReference"),
        ('<path style="fill:url(\t//example.invalid/p)"/>', "SvgReference"),
        ("<style><![CDATA[.a{fill:url(x.svg#a)}]]></style>", "SvgReference"),
        ("<style>.a{fill:url(&#x2f;/example.invalid/p)}</style>", "SvgReference"),
        ("<style>@import 'x.css';</style>", "SvgStyle"),
        ("<style>@IMPORT<!-- --> 'x.css';</style>", "SvgStyle"),
        ("<style><![CDATA[@im]]><![CDATA[port 'x.css']]></style>", "SvgStyle"),
        ("<style>.a{background:image-set('x.png' 1x)}</style>", "SvgStyle"),
        ("<style>@font-face{src:url(x.woff)}</style>", "SvgStyle"),
        ('<path style="fill:\\75rl(x)"/>', "SvgStyle"),
        ('<path fill="u\\72l(x)"/>', "SvgStyle"),
    ],
)
def test_what_could_do_more_is_a_fault(body: str, fault: str) -> None:
    assert told(body) == [fault]


@pytest.mark.parametrize(
    ("data", "fault", "place"),
    [
        (b'<!DOCTYPE svg SYSTEM "file:///etc/passwd"><svg/>', "SvgDeclares", (1, 42)),
        (b'<!DOCTYPE svg [<!ENTITY a SYSTEM "file:///etc/passwd">]><svg>&a;</svg>', "SvgDeclares", (1, 15)),
        (drawing("&nothing;"), "SvgUnreadable", (2, 1)),
        (drawing("<g>"), "SvgUnreadable", (3, 3)),
        (drawing("<g/>") + b"<svg/>", "SvgUnreadable", (4, 1)),
        (f"<svg {NS}/>".encode("utf-16"), "PictureNotSo", (1, 1)),
        (b'<?xml version="1.0" encoding="utf-7"?><svg/>', "SvgUnreadable", (1, 1)),
        (b"<html><svg/></html>", "SvgUnreadable", (1, 1)),
        (b"<svg/>", "SvgUnreadable", (1, 1)),
        (drawing("<g>" * 101 + "</g>" * 101), "SvgTooMuch", (2, 301)),
        (drawing("<g/>" * 20_001), "SvgTooMuch", (2, 79_997)),
        (b"", "PictureNotSo", (1, 1)),
    ],
)
def test_a_drawing_that_cannot_be_trusted_is_read_no_further(data: bytes, fault: str, place: tuple[int, int]) -> None:
    assert [(type(f).__name__, (f.place.line, f.place.column)) for f in faults_of(data)] == [(fault, place)]


def test_parts_that_repeat_each_other_are_counted_and_not_unfolded() -> None:
    groups = "".join(f'<g id="a{n}">' + f'<use href="#a{n + 1}"/>' * 10 + "</g>" for n in range(40))
    loop = '<g id="a"><use href="#b"/></g><g id="b"><use href="#a"/></g>'
    began = time.process_time()
    assert told(groups) == ["SvgTooMuch"] and told(loop) == ["SvgTooMuch"]
    assert time.process_time() - began < 1


def test_the_largest_drawing_is_looked_at_in_two_seconds_and_a_byte_more_is_refused() -> None:
    began = time.process_time()
    text = "a" * (PICTURE_LIMIT - len(drawing("<text></text>")))
    assert told(f"<text>{text}</text>") == [] and told(f"<text>{text}a</text>") == ["PictureTooLarge"]
    assert told("<style>" + "/*" * 900_000 + "</style>") == []
    assert told(f'<path style="{"url(" * 400_000}"/>') == ["SvgReference"]
    assert told(f'<path d="{"u" * 1_900_000}"/>') == []
    assert time.process_time() - began < 2


@pytest.mark.parametrize("seed", range(4))
def test_spoiled_pictures_end_in_faults_and_never_raise(seed: int) -> None:
    rng = random.Random(seed)
    sound = [
        drawing('<g id="a" style="fill:red"><use href="#a"/></g><style>.a{}</style>'),
        PNG,
        b"\xff\xd8\xff\xe0\0\4\0\0\xff\xc0\0\x11",
    ]
    sound.append(b"RIFF\x20\0\0\0WEBPVP8X\x0a\0\0\0" + b"\1" * 10)
    for _ in range(400):
        data = bytearray(rng.choice(sound))
        for _ in range(rng.randint(1, 6)):
            at = rng.randrange(len(data) + 1)
            data[at : at + rng.randint(0, 3)] = rng.choice(
                (b"", b"<", b"\xff", b"&", b'"', bytes([rng.randrange(256)]), b"<g>")
            )
        for name in ("a.svg", "a.png", "a.jpg", "a.webp"):
            for fault in faults_of(bytes(data), name):
                assert fault.said and fault.write and fault.place.line >= 1 and fault.place.column >= 1


@pytest.mark.parametrize("name", ["marks.svg", "cam/marks-2.svg", "a_b.svg"])
def test_a_plain_name_passes(name: str) -> None:
    assert faults_of(drawing("<g/>"), name) == []


@pytest.mark.parametrize(
    "name", ["../marks.svg", "a/../marks.svg", "/marks.svg", "%2e%2e/marks.svg", "a b.svg", "-rf.svg", "a\n.svg",
             "a\\b.svg", "c:marks.svg", "<b>.svg", "a&b.svg", "a.php.svg", "é.svg", "a//b.svg"]
)  # fmt: skip
def test_a_name_that_is_no_plain_address_is_a_fault(name: str) -> None:
    assert names_of(faults_of(drawing("<g/>"), name)) == ["PictureName"]


def test_a_bad_picture_stops_the_build() -> None:
    made = build(demo.texts(), {**disk.read_pictures(demo.ROOT, "procedures"), "more.svg": drawing("<script/>")}, {})
    assert names_of(list(made.checked.faults)) == ["SvgElement"] and not made.files
