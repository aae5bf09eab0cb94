"""File level: every release and encoding is read; what is cut, damaged or no DXF is refused whole."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from perpend.dxf.load import count_entity_records
from perpend.errors import InputError
from perpend.reading import load_drawing, read_drawing
from reading import zoo
from reading.test_ways_of_drawing import assert_standard


def refused(path: Path, pattern: str) -> str:
    """Assert that a file is refused with one sentence that names it."""
    with pytest.raises(InputError, match=pattern) as caught:
        read_drawing(path)
    sentence = str(caught.value)
    assert str(path) in sentence
    assert "\n" not in sentence
    assert len(sentence) < 600
    return sentence


@pytest.fixture
def standard(tmp_path: Path) -> Path:
    return zoo.plain(tmp_path / "standard.dxf")


def rewritten(path: Path, data: bytes) -> Path:
    path.write_bytes(data)
    return path


class TestRefused:
    def test_no_file(self, tmp_path: Path) -> None:
        refused(tmp_path / "none.dxf", "no file")

    def test_folder(self, tmp_path: Path) -> None:
        refused(tmp_path, "folder")

    @pytest.mark.parametrize("content", [b"", b" \r\n\r\n", b"\n" * 50])
    def test_empty(self, tmp_path: Path, content: bytes) -> None:
        refused(rewritten(tmp_path / "empty.dxf", content), "is empty")

    @pytest.mark.parametrize("release", [b"AC1015", b"AC1018", b"AC1024", b"AC1032", b"AC1.50", b"AC2.10"])
    def test_dwg_under_a_dxf_name(self, tmp_path: Path, release: bytes) -> None:
        refused(rewritten(tmp_path / "wall.dxf", release + bytes(200)), "DWG file")

    @pytest.mark.parametrize(
        ("content", "name"),
        [
            (b"%PDF-1.7\n...", "a PDF"),
            (b"PK\x03\x04rest", "a ZIP"),
            (b"\x89PNG\r\n", "a picture"),
            (b"<svg>", "SVG"),
        ],
    )
    def test_other_formats_by_name(self, tmp_path: Path, content: bytes, name: str) -> None:
        refused(rewritten(tmp_path / "wall.dxf", content), name)

    @pytest.mark.parametrize(
        "content",
        [b"hello", b"0\n", b"0\nSECTION", b"\x00\x01\x02" * 99, b"0,1,2\n3,4,5\n", b"  0\r\nTABLE\r\n"],
    )
    def test_not_a_dxf(self, tmp_path: Path, content: bytes) -> None:
        refused(rewritten(tmp_path / "wall.dxf", content), "not a DXF|ends in the middle|damaged")

    @pytest.mark.parametrize("share", [0.05, 0.3, 0.5, 0.9, 0.999])
    @pytest.mark.parametrize("version", ["R12", "R2010"])
    def test_cut(self, tmp_path: Path, share: float, version: str) -> None:
        data = zoo.plain(tmp_path / "whole.dxf", version=version).read_bytes()
        refused(rewritten(tmp_path / "cut.dxf", data[: int(share * len(data))]), "ends in the middle")

    @pytest.mark.parametrize("share", [0.01, 0.2, 0.5, 0.9, 0.9999])
    def test_cut_binary(self, tmp_path: Path, share: float) -> None:
        data = zoo.plain(tmp_path / "whole.dxf", "bin").read_bytes()
        refused(rewritten(tmp_path / "cut.dxf", data[: int(share * len(data))]), "was cut|not a DXF")

    def test_cut_inside_the_entities_with_an_end_glued_on(self, standard: Path, tmp_path: Path) -> None:
        """A cut file that ends like a whole one: recovery alone would call it sound."""
        data = standard.read_bytes()
        half = data[: data.index(b"\nENTITIES\n") + 400].rsplit(b"\n", 2)[0]
        sentence = refused(rewritten(tmp_path / "glued.dxf", half + b"\n  0\nEOF\n"), "damaged")
        assert "export it again" in sentence

    @pytest.mark.parametrize("code", [b"\n100\nAcDbPolyline\n", b"\n100\nAcDbEntity\n"])
    def test_damage_that_recovery_cannot_bring_back_whole(
        self, standard: Path, tmp_path: Path, code: bytes
    ) -> None:
        data = standard.read_bytes()
        at = data.index(b"\nLWPOLYLINE\n", data.index(b"\nENTITIES\n"))
        broken = data[:at] + data[at:].replace(code, code.replace(b"100", b"x00"), 1)
        sentence = refused(rewritten(tmp_path / "broken.dxf", broken), "damaged")
        assert "export it again" in sentence

    def test_unreadable(self, standard: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        def denied(self: Path) -> bytes:
            raise PermissionError(13, "Permission denied")

        monkeypatch.setattr(Path, "read_bytes", denied)
        refused(standard, "Permission denied")


class TestRead:
    def test_notes_and_flags_of_a_sound_file(self, standard: Path) -> None:
        loaded = load_drawing(standard)
        assert (loaded.recovered, loaded.binary, loaded.notes) == (False, False, ())
        assert loaded.data == standard.read_bytes()

    @pytest.mark.parametrize(
        "change",
        [
            lambda d: d.replace(b"\n", b"\r\n"),
            lambda d: d.replace(b"\r\n", b"\n").replace(b"\n", b"\r"),
            lambda d: b"\xef\xbb\xbf" + d,
            lambda d: b"\xff\xfe" + d.decode().encode("utf-16-le"),
            lambda d: d + b"\x1a",
            lambda d: d + b"\r\n\r\n",
            lambda d: d + b"\r\nsent from the site office\r\n",
            lambda d: d.rstrip(),
            lambda d: b"999\nMade by hand\n" + d,
            lambda d: d.replace(b"\n  0\n", b"\n0\n").replace(b"\n  8\n", b"\n8\n"),
        ],
        ids=[
            "CRLF",
            "CR",
            "BOM",
            "UTF-16",
            "ctrl-Z",
            "blank tail",
            "text after the end",
            "no last line end",
            "comment",
            "unpadded codes",
        ],
    )
    def test_line_ends_and_marks(self, standard: Path, tmp_path: Path, change: object) -> None:
        data = change(standard.read_bytes())  # type: ignore[operator]
        elevation = read_drawing(rewritten(tmp_path / "changed.dxf", data)).elevation
        assert_standard(elevation.walls[0])

    @pytest.mark.parametrize("page", ["ANSI_1251", "ANSI_932", "ANSI_1250", "dos850", "ISO8859-1", "NOSUCH"])
    def test_code_pages(self, tmp_path: Path, page: str) -> None:
        data = zoo.plain(tmp_path / "plain.dxf", version="R2000").read_bytes()
        data = re.sub(rb"(\$DWGCODEPAGE\s+3\s+)\S+", rb"\g<1>" + page.encode(), data)
        data = data.replace(b"\nD1\n", b"\nD1\n", 1)
        elevation = read_drawing(rewritten(tmp_path / "paged.dxf", data)).elevation
        assert_standard(elevation.walls[0])

    def test_a_tag_outside_ascii(self, tmp_path: Path) -> None:
        pen = zoo.Pen(version="R2000")
        pen.doc.encoding = "cp1251"
        pen.doc.header["$DWGCODEPAGE"] = "ANSI_1251"
        pen.loop(zoo.STANDARD.corners, zoo.WALL)
        pen.text("Стена 1", (200, 70))
        elevation = read_drawing(pen.save(tmp_path / "cyrillic.dxf")).elevation
        assert elevation.walls[0].tag == "Стена 1"

    def test_rescued_with_every_entity(self, standard: Path, tmp_path: Path) -> None:
        """A structure that readfile refuses and recovery brings back: a float in an integer's place."""
        import ezdxf

        data = standard.read_bytes().replace(b"\n 90\n4\n", b"\n 90\n4.0\n")
        path = rewritten(tmp_path / "bent.dxf", data)
        try:
            ezdxf.readfile(path)
        except Exception:
            loaded = load_drawing(path)
            assert loaded.recovered
            assert "rescued" in loaded.notes[0]
        assert_standard(read_drawing(path).elevation.walls[0])

    def test_without_header_and_tables(self, tmp_path: Path) -> None:
        """The least DXF: an ENTITIES section alone."""
        rows = ["0", "SECTION", "2", "ENTITIES"]
        corners = [(0, 0), (480, 0), (480, 144), (0, 144)]
        for a, b in zip(corners, corners[1:] + corners[:1], strict=True):
            rows += [
                "0",
                "LINE",
                "8",
                zoo.WALL,
                "10",
                str(a[0]),
                "20",
                str(a[1]),
                "11",
                str(b[0]),
                "21",
                str(b[1]),
            ]
        rows += ["0", "ENDSEC", "0", "EOF", ""]
        path = tmp_path / "least.dxf"
        path.write_text("\n".join(rows))
        (wall,) = read_drawing(path).elevation.walls
        assert (wall.length_in, wall.height_in) == (480, 144)


def test_entity_records_are_counted_in_the_text(standard: Path) -> None:
    """4 outlines' worth: wall, two openings, three texts, one joint line."""
    assert count_entity_records(standard.read_bytes()) == 7
    assert count_entity_records(standard.read_bytes().replace(b"\n", b"\r\n")) == 7
    assert count_entity_records(b"nothing here") == 0
