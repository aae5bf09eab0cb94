"""A drawing that was written by insertion is the original to the byte, plus ours."""

from __future__ import annotations

import re
import subprocess
from pathlib import Path

import ezdxf
import pytest

from perpend.dxf.insert.drawing_writer import write_drawing
from perpend.dxf.insert.take_out import strip_ours
from perpend.dxf.load import load_bytes
from programs import need
from writing.material import (
    DIMENSIONS,
    ENDS,
    JOINTS,
    OURS,
    VERSIONS,
    as_text,
    changed_fields,
    draw_plate,
    faults,
    inventory,
    make_document,
    ours_in,
    write_file,
)

# Three words in the letters of each code page; the last letter of ours (Ж) is not in 1252.
CODEPAGES = {"cp1252": "Brüstung Ø", "cp1251": "Стена кирпич", "gbk": "砌体墙", "cp1253": "Τοίχος"}


def written(folder: Path, data: bytes) -> bytes:
    """Write the plate into a drawing and return the new bytes."""
    report, drawn = write_drawing(write_file(folder, data), folder / "out.dxf", draw_plate)
    assert (report.method, report.reason, report.changes) == ("inserted", None, ())
    assert drawn == JOINTS
    assert report.added_entities == OURS.total()
    return (folder / "out.dxf").read_bytes()


@pytest.mark.parametrize("newline", ENDS.values(), ids=ENDS.keys())
@pytest.mark.parametrize("release", VERSIONS)
def test_original_lines_stay_and_named_fields_change(release: str, newline: str, tmp_path: Path) -> None:
    data = as_text(make_document(release), newline)
    output = written(tmp_path, data)
    tables = ("LTYPE", "LAYER", "STYLE", "DIMSTYLE", "APPID", "BLOCK_RECORD")
    assert changed_fields(data, output) == {"$HANDSEED", *(f"count of {table}" for table in tables)}
    assert b"an office's own note" in output
    assert b"THUMBNAILIMAGE" in output
    assert output.count(newline.encode()) == output.count(b"\n")


@pytest.mark.parametrize("release", VERSIONS)
def test_every_original_entity_and_every_one_of_ours_reads_back(release: str, tmp_path: Path) -> None:
    data = as_text(make_document(release))
    output = written(tmp_path, data)
    before, after = ezdxf.readfile(tmp_path / "elevation.dxf"), ezdxf.readfile(tmp_path / "out.dxf")
    assert inventory(after) == inventory(before)
    assert ours_in(after) == OURS
    assert faults(after) == faults(before) == 0
    seed = int(output.split(b"$HANDSEED\n  5\n")[1].split(b"\n")[0], 16)
    handles = re.findall(rb"\n *(?:5|105)\n([0-9A-F]+)(?=\n)", output.split(b"$HANDSEED\n  5\n")[1])
    assert max(int(handle, 16) for handle in handles) == seed - 1


def test_dimensions_keep_their_blocks_and_ticks(tmp_path: Path) -> None:
    written(tmp_path, as_text(make_document()))
    doc = ezdxf.readfile(tmp_path / "out.dxf")
    doc.audit()
    ours = [entity for entity in doc.modelspace().query("DIMENSION") if entity.has_xdata("PERPEND")]
    assert len(ours) == DIMENSIONS
    for dimension in ours:
        drawn = [entity.dxftype() for entity in dimension.get_geometry_block()]
        assert drawn.count("LINE") >= 3
        assert drawn.count("INSERT") == 2
        assert {"TEXT", "MTEXT"} & set(drawn)
    assert "_Oblique" in doc.blocks


@pytest.mark.parametrize("codepage", CODEPAGES)
@pytest.mark.parametrize("release", ["R2000", "R2004"])
def test_code_pages(release: str, codepage: str, tmp_path: Path) -> None:
    """Letters in the code page are written in it, others as the escapes that DXF has for them."""
    data = as_text(make_document(release, CODEPAGES[codepage]), codepage=codepage)
    output = written(tmp_path, data)
    assert strip_ours(output).data == data
    ours = output[data.index(b"elevation 1") :].decode(codepage)
    expected = "CJ3 Ø Fläche Ж"
    for letter in "ØäЖ":
        try:
            letter.encode(codepage)
        except UnicodeEncodeError:
            expected = expected.replace(letter, f"\\U+{ord(letter):04X}")
    assert f"\n{expected}\n" in ours
    assert CODEPAGES[codepage] in ours


@pytest.mark.parametrize("codepage", [b"ANSI_1361", b"dos850", b""])
def test_unknown_code_pages_get_nothing_but_ascii(codepage: bytes, tmp_path: Path) -> None:
    data = as_text(make_document("R2000", "wall")).replace(b"ANSI_1252", codepage)
    assert codepage in data
    output = written(tmp_path, data)
    assert b"CJ1 \\U+00D8 Fl\\U+00E4che \\U+0416" in output
    assert max(output) < 128


def test_utf8_from_r2007(tmp_path: Path) -> None:
    output = written(tmp_path, as_text(make_document("R2007", "砌体墙 𝄞")))
    assert "CJ0 Ø Fläche Ж\n".encode() in output


def test_byte_order_mark_stays(tmp_path: Path) -> None:
    data = b"\xef\xbb\xbf" + as_text(make_document("R2010"))
    output = written(tmp_path, data)
    assert output.startswith(b"\xef\xbb\xbf")
    assert strip_ours(output).data == data
    assert ours_in(load_bytes(tmp_path / "out.dxf", output).doc) == OURS


def test_mixed_line_ends_stay(tmp_path: Path) -> None:
    data = as_text(make_document(), "\r\n").replace(b"A-ELEV-WALL\r\n", b"A-ELEV-WALL\n")
    assert strip_ours(written(tmp_path, data)).data == data


def test_trailing_bytes_stay(tmp_path: Path) -> None:
    data = as_text(make_document()) + b"\x1a\n\n"
    output = written(tmp_path, data)
    assert output.endswith(b"EOF\n\x1a\n\n")
    assert strip_ours(output).data == data


def test_handseed_too_small_gives_no_handle_twice(tmp_path: Path) -> None:
    """``$HANDSEED`` may lie; new handles start above the largest in the text."""
    data = as_text(make_document())
    seed = data.split(b"$HANDSEED\n")[1].split(b"\n")[1]
    data = data.replace(b"$HANDSEED\n  5\n" + seed, b"$HANDSEED\n  5\n1F")
    output = written(tmp_path, data)
    doc = ezdxf.readfile(tmp_path / "out.dxf")
    ours = {entity.dxf.handle for entity in doc.modelspace() if entity.has_xdata("PERPEND")}
    originals = {handle for found in inventory(doc).values() for _, handle, *_ in found}
    assert len(ours) == OURS.total()
    assert not ours & originals
    assert min(int(handle, 16) for handle in ours) >= int(seed, 16)
    assert strip_ours(output).data == data


def test_records_that_ezdxf_adds_on_loading_stay_out(tmp_path: Path) -> None:
    """On loading, ezdxf gives a document layer ``Defpoints`` and style ``Standard``; the text has none."""
    data = without_record(without_record(as_text(make_document()), "LAYER", "Defpoints"), "STYLE", "Standard")
    output = written(tmp_path, data)
    before, after = names(data, "LAYER"), names(output, "LAYER")
    assert after == [*before, "A-ELEV-JNTC"] or after == [*before, "A-ELEV-JNTC", "Defpoints"]
    assert "Standard" not in names(output, "STYLE")
    assert "Defpoints" in after  # the points of our dimensions stand on it, so it is ours here
    assert strip_ours(output).data == data


def names(data: bytes, table: str) -> list[str]:
    """Return the names in a table, read by pairs of lines."""
    lines = [line.strip().decode("utf-8", "replace") for line in data.splitlines()]
    pairs = list(zip(lines[::2], lines[1::2], strict=False))
    start = next(i for i, pair in enumerate(pairs) if pair == ("2", table) and pairs[i - 1] == ("0", "TABLE"))
    end = next(i for i in range(start, len(pairs)) if pairs[i] == ("0", "ENDTAB"))
    found, wants = [], False
    for code, value in pairs[start + 1 : end]:
        if code == "0":
            wants = True
        elif code == "2" and wants:
            found.append(value)
            wants = False
    return found


def without_record(data: bytes, table: str, name: str) -> bytes:
    """Cut a record out of a table."""
    head = f"  0\n{table}\n".encode()
    at = data.index(f"\n  2\n{name}\n".encode(), data.index(b"  0\nTABLE\n  2\n" + table.encode()))
    start = data.rindex(head, 0, at)
    end = data.index(b"\n  0\n", start) + 1
    return data[:start] + data[end:]


def test_gdal_reads_the_original_and_ours(tmp_path: Path) -> None:
    """GDAL, which shares no code with ezdxf, shows the layers and texts of both."""
    written(tmp_path, as_text(make_document("R2000", "Brüstung"), codepage="cp1252"))
    call = [need("ogrinfo", "gdal-bin"), "-q", "-al", str(tmp_path / "out.dxf")]
    shown = subprocess.run(call, capture_output=True, check=True).stdout.decode("utf-8")
    assert "Brüstung" in shown
    for number in range(JOINTS):
        assert f"CJ{number} Ø Fläche \\U+0416" in shown  # GDAL leaves the escape as it is in a TEXT
    assert shown.count("Layer (String) = A-ELEV-JNTC") >= JOINTS
    assert "Layer (String) = A-ELEV-WALL" in shown
    assert "LINESTRING (80 0,80 144)" in shown
