"""Words put together for a sentence."""

from __future__ import annotations

import pytest

from perpend.wording import begun, handles_named, listed


@pytest.mark.parametrize(
    ("words", "most", "said"),
    [
        ("", None, ""),
        ("A", None, "A"),
        ("AB", None, "A and B"),
        ("ABCD", None, "A, B, C and D"),
        ("ABC", 2, "A, B and C"),
        ("ABCDE", 2, "A, B and 3 more"),
        ("AB", 8, "A and B"),
    ],
)
def test_a_list_reads_as_in_a_sentence_and_long_ones_are_cut(words: str, most: int | None, said: str) -> None:
    assert listed(iter(words), most) == said


def test_handles_are_named_once_in_their_order() -> None:
    assert handles_named(["1A", "F", "1A", "2"]) == "handles 2, F and 1A"
    assert handles_named(["1A"]) == "handle 1A"
    assert handles_named(f"{n:X}" for n in range(1, 16)).endswith("7, 8 and 7 more")


def test_a_beginning_leaves_the_rest_as_it_is_written() -> None:
    assert begun("opening W9 on A-Glaz") == "Opening W9 on A-Glaz"
