"""The handles of a text, found in stretches: the same as at once, wherever the borders lie."""

from __future__ import annotations

import random

import pytest

from perpend.dxf.insert import handles
from perpend.dxf.insert.handles import Handles


@pytest.mark.parametrize("newline", [b"\n", b"\r\n"])
@pytest.mark.parametrize("stretch", [1, 7, 40, 1 << 20])
def test_every_handle_wherever_a_border_lies(
    stretch: int, newline: bytes, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(handles, "_STRETCH", stretch)
    chance = random.Random(stretch)
    meant = [chance.randrange(0x200, 16 ** chance.choice((3, 4, 16, 20))) for _ in range(60)]
    lines = [b"HEAD", *(line for h in meant for line in (b"  5", b"%X" % h, b"  8", b"0"))]
    text = newline.join([*lines, b""])
    found = Handles.among(text, [(0, len(text))])
    assert set(found.sorted.tolist()) | found.longer == set(meant)
    assert found.highest == max(meant)
    assert all(h in found for h in meant)
    assert not any(h + 1 in found for h in meant if h + 1 not in meant)


def test_none() -> None:
    found = Handles.among(b"  0\nEOF\n", [(0, 8)])
    assert [found.highest, *(handle in found for handle in (5, 0, -1, 16**17))] == [0, *[False] * 4]
