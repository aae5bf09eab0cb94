"""From settings, rule book and wall to the basis: what overrides what, and where each number comes from."""

from __future__ import annotations

from dataclasses import replace

import pytest

from perpend.errors import InputError
from perpend.model import (
    Box,
    EndCondition,
    HeightBasis,
    Opening,
    Place,
    PlaceKind,
    Profile,
    Treatment,
    Wall,
)
from perpend.rulebook import WallBasis, load_rulebook
from perpend.settings import parse_settings, resolve_wall, unmatched_tags

BOOK = load_rulebook("us-cmu")
R, U = Treatment.REINFORCED, Treatment.UNREINFORCED


def hole(
    tag: str, x0: float, width: float, *, layer: str = "L", treatment: Treatment | None = None
) -> Opening:
    return Opening(tag, "", Box(x0, 0.0, x0 + width, 88.0), layer=layer, treatment=treatment)


def wall(
    *openings: Opening, tag: str = "W1", left: EndCondition | None = None, right: EndCondition | None = None
) -> Wall:
    level = Profile.level
    return Wall(
        tag,
        "",
        960.0,
        level(200.0, 0, 960),
        level(0.0, 0, 960),
        openings=openings,
        left_end=left,
        right_end=right,
    )


def basis(text: str, *openings: Opening, **more: object) -> WallBasis:
    return resolve_wall(parse_settings(text), BOOK, wall(*openings, **more))  # type: ignore[arg-type]


def treatments(text: str, *openings: Opening) -> list[Treatment]:
    return [rule.treatment for rule in basis(text, *openings).openings]


def test_the_numbers_of_a_plain_wall_come_from_the_rule_book() -> None:
    found = basis("")
    limits = found.limits(0.0, 960.0)
    assert (limits.max_spacing_in, limits.corner_distance_in) == (300.0, 150.0)
    assert (found.module_in, found.course_in, found.bond_origin_in) == (8.0, 8.0, 0.0)
    assert (found.bar_offset_in, found.height_change_over) == (4.0, 0.0)
    assert (found.corner_reinforcement_past_in, found.corner_reinforcement_beds) == (24.0, 2)
    assert found.reinforcement.required_in2_per_ft == 0.025
    assert (found.left_end, found.right_end) == (EndCondition.CORNER, EndCondition.CORNER)
    assert (found.joint_type, found.transfers_shear, found.joint_type_named) == ("formed-paper", True, False)


def test_a_wall_overrides_the_defaults_by_its_tag_and_a_later_entry_wins() -> None:
    text = (
        "[defaults]\nmethod = 'engineered'\nccc = 0.001\n"
        "[[walls]]\ntag = 'w*'\nccc = 0.0015\nheight_basis = 'storey'\n[[walls]]\ntag = 'W1'\nccc = 0.00125\n"
    )
    found = basis(text)
    assert found.spacing.method == "engineered"
    assert found.spacing.ratio == pytest.approx(2.25)
    assert found.height_basis is HeightBasis.STOREY
    assert basis(text, tag="W2").spacing.ratio == 2.0
    assert basis(text, tag="X1").spacing.ratio == 2.5


def test_a_coefficient_in_the_defaults_does_not_disturb_an_empirical_wall() -> None:
    text = "[defaults]\nmethod = 'engineered'\nccc = 0.0012\n[[walls]]\ntag = 'W1'\nmethod = 'empirical'\n"
    assert basis(text).spacing.cap_in == 300.0


@pytest.mark.parametrize(
    ("text", "drawn", "expected"),
    [
        ("", None, EndCondition.CORNER),
        ("[defaults]\nleft_end = 'free'\n", None, EndCondition.FREE),
        ("[defaults]\nleft_end = 'free'\n", EndCondition.JOINT, EndCondition.JOINT),
        ("[[walls]]\ntag = 'W1'\nleft_end = 'continues'\n", EndCondition.JOINT, EndCondition.CONTINUES),
        ("[[walls]]\ntag = 'W9'\nleft_end = 'continues'\n", EndCondition.JOINT, EndCondition.JOINT),
    ],
)
def test_an_adjoining_wall_beats_the_default_but_not_the_wall_s_own_setting(
    text: str, drawn: EndCondition | None, expected: EndCondition
) -> None:
    assert basis(text, left=drawn).left_end is expected
    mirrored = basis(text.replace("left_end", "right_end"), right=drawn)
    assert (mirrored.right_end, mirrored.left_end) == (expected, EndCondition.CORNER)


def test_the_treatment_of_an_opening_from_strongest_to_weakest() -> None:
    by_tag = "[[openings]]\ntag = 'D1'\ntreatment = 'unreinforced'\n"
    by_layer = "[[openings]]\nlayer = 'L*'\ntreatment = 'reinforced'\n"
    by_width = "[[openings]]\nwidth_to = \"6'-0\\\"\"\ntreatment = 'unreinforced'\n"
    by_wall = "[[walls]]\ntag = 'W1'\nopenings = 'reinforced'\n"
    d1, drawn = hole("D1", 80.0, 40.0), hole("D2", 80.0, 40.0, layer="X", treatment=U)
    assert treatments("", d1) == [R]
    assert treatments("[defaults]\nopenings = 'unreinforced'\n", d1) == [U]
    assert treatments(by_width, d1) == [U]
    assert treatments(by_width + by_wall, d1) == [R]
    assert treatments(by_wall, drawn) == [U]
    assert treatments(by_layer, hole("D2", 80.0, 40.0, treatment=U)) == [R]
    assert treatments(by_layer + by_tag, d1) == treatments(by_tag + by_layer, d1) == [U]


def test_the_treatment_by_width_has_closed_ends() -> None:
    text = "[[openings]]\nwidth_from = 40\nwidth_to = 72\ntreatment = 'unreinforced'\n"
    holes = (hole("A", 0, 39), hole("B", 100, 40), hole("C", 200, 72), hole("D", 300, 73))
    assert treatments(text, *holes) == [R, U, U, R]


def test_an_entry_for_one_wall_only() -> None:
    text = "[[openings]]\ntag = 'D*'\nwall = 'W2'\ntreatment = 'unreinforced'\n"
    assert basis(text, hole("D1", 80, 40)).openings[0].treatment is R
    assert basis(text, hole("D1", 80, 40), tag="W2").openings[0].treatment is U


def test_options_of_one_opening_override_those_of_its_wall() -> None:
    text = (
        "[defaults]\nopenings = 'unreinforced'\nlintel_bearing = 6\n"
        "[[walls]]\ntag = 'W1'\nlintel_depth = 16\n"
        "[[openings]]\ntag = 'D2'\nlintel_bearing = 'by-span'\nwide_opening_from = 40\n"
    )
    first, second = basis(text, hole("D1", 80, 40), hole("D2", 300, 120)).openings
    assert (first.step_in, first.jambs_required) == (6.0, 1)
    assert (second.step_in, second.jambs_required) == (10.0, 2)
    assert first.lintel is not None
    assert first.lintel.box.height == 16.0


def test_settings_that_are_looser_than_the_rule_book_are_refused_for_the_wall() -> None:
    with pytest.raises(InputError, match=r"looser than the limit of 1\.5"):
        basis("[defaults]\nspacing_ratio = 1.6\n")
    with pytest.raises(InputError, match="looser than the least bearing"):
        basis("[defaults]\nlintel_bearing = 2\n", hole("D1", 80, 40))


def test_a_type_left_open_is_none_and_an_unknown_one_is_refused() -> None:
    found = basis("[defaults]\njoint_type = 'none'\n")
    assert (found.joint_type, found.joint_type_name, found.transfers_shear) == (None, "", None)
    named = basis("[[walls]]\ntag = 'W1'\njoint_type = 'raked'\n")
    assert (named.joint_type, named.transfers_shear, named.joint_type_named) == ("raked", False, True)
    with pytest.raises(InputError, match="'formed-paper'"):
        basis("[defaults]\njoint_type = 'form-paper'\n")


@pytest.mark.parametrize(
    ("typed", "key", "name"),
    [
        ("none", None, ""),
        ("none: by the architect", None, "by the architect"),
        ("nonesuch filler", "nonesuch filler", "nonesuch filler"),
    ],
)
def test_a_book_without_types_prints_the_settings_words(typed: str, key: str | None, name: str) -> None:
    settings = parse_settings(f"rulebook = 'au-ncc'\n[defaults]\njoint_type = '{typed}'\n")
    found = resolve_wall(settings, load_rulebook("au-ncc"), basis("").wall)
    assert (found.joint_type, found.joint_type_name) == (key, name)


def test_opening_corner_reinforcement_can_be_switched_off() -> None:
    found = basis("[defaults]\nopening_corner_reinforcement = false\n")
    assert found.corner_reinforcement_past_in == 0.0


def test_half_high_units_have_half_the_course_and_the_same_module() -> None:
    found = basis("[defaults]\nunits = 'half-high'\nhorizontal_reinforcement = 'W1.7'\n")
    assert (found.module_in, found.course_in, found.spacing.cap_in) == (8.0, 4.0, 240.0)
    assert found.reinforcement.chosen == "2 wires W1.7 (9 gauge)"
    assert found.reinforcement.choices[0].max_spacing_in == 12.0


def test_the_module_and_the_bond_origin_can_be_set_and_metric_drawings_have_their_own() -> None:
    found = basis("[defaults]\nmodule = 16\n[[walls]]\ntag = 'W1'\nbond_origin = 4\n")
    assert (found.module_in, found.bond_origin_in) == (16.0, 4.0)
    metric = resolve_wall(parse_settings(""), BOOK, wall(), metric=True)
    assert metric.module_in == pytest.approx(200 / 25.4)


def test_the_other_treatment_and_the_other_methods_are_kept_for_advice() -> None:
    found = basis("[defaults]\nspacing_cap = 228\n", hole("D1", 80, 40))
    assert [rule.treatment for rule in found.other_treatments if rule] == [U]
    assert [(rule.method, rule.cap_in) for rule in found.other_spacings] == [
        ("engineered", 228.0),
        ("no-joints", None),
    ]
    assert basis("[defaults]\nmethod = 'veneer'\n").other_spacings == ()


def test_notes_tell_of_arches_and_lintels_without_room() -> None:
    arch = Opening("A1", "", Box(400.0, 0.0, 440.0, 88.0), arched=True)
    found = basis("[defaults]\nopenings = 'unreinforced'\n", hole("D1", 5, 72), arch)
    assert len(found.notes) == 2
    assert "The lintel of D1" in found.notes[0]
    assert "Common practice" in found.notes[0], "8 in. is a wish of the trade; TMS 402 asks for 4 in."
    assert "A1 is arched" in found.notes[1]


def test_openings_with_one_mark_are_told_apart_in_the_notes_and_named_without_a_stutter() -> None:
    """Piers of 1 ft between 4 ft windows: each lintel is cut by the next one."""
    windows = [replace(hole("A", x, 48), handle=str(x)) for x in (100, 160)]
    told = parse_settings("[defaults]\nganged_up_to = 0\n")
    found = resolve_wall(told, BOOK, wall(*windows, hole("opening 7", 220, 48)))
    first, second, third = (note for note in found.notes if "extends less than required" in note)
    assert "The lintel of A at 8'-4\" extends less than required" in first
    assert "on the right, cut by opening A" in first
    assert "The lintel of A at 13'-4\" extends less than required" in second
    assert "on the right, cut by opening 7" in second
    assert "The lintel of opening 7 extends less than required" in third


ONE_LINTEL = "[defaults]\nopenings = 'unreinforced'\none_lintel_over = {}\n"


@pytest.mark.parametrize("said", ["['D1', 'D2']", "[['D1', 'D2']]"])
def test_one_lintel_over_two_openings_makes_them_one(said: str) -> None:
    found = basis(ONE_LINTEL.format(said), hole("D1", 80, 40), hole("D2", 152, 40))
    (rule,) = found.openings
    assert (rule.opening.box.x0, rule.opening.box.x1, rule.jambs_required) == (80.0, 192.0, 2)
    assert rule.lintel is not None
    assert (rule.lintel.box.x0, rule.lintel.box.x1) == (72.0, 200.0)
    assert sum("One lintel spans D1 and D2" in note for note in found.notes) == 1


@pytest.mark.parametrize(
    ("said", "others", "words"),
    [
        ("[['D1', 'D9']]", (), "W1 has no D9"),
        ("[['D1', 'D2']]", (hole("D3", 130, 10),), "no other between"),
        ("[['D1', 'D2']]", (replace(hole("D2", 152, 40), arched=True),), "none arched"),
        ("[['D1']]", (), "one_lintel_over"),
    ],
)
def test_one_lintel_over_openings_that_none_can_span_is_refused(
    said: str, others: tuple[Opening, ...], words: str
) -> None:
    pair = (hole("D1", 80, 40), *((hole("D2", 152, 40),) if all(o.tag != "D2" for o in others) else ()))
    with pytest.raises(InputError, match=words):
        basis(ONE_LINTEL.format(said), *pair, *others)


@pytest.mark.parametrize(("clear", "noted"), [("16", True), ("23", True), ("24", False), ("30", False)])
def test_joints_nearer_than_the_rule_book_says_are_the_settings_decision(clear: str, noted: bool) -> None:
    why = "joint_clear_reason = 'Cells beside the jambs are grouted.'"
    found = basis(f"[defaults]\njoint_clear_of_opening = {clear}\n{why}\n", hole("D1", 80, 40))
    assert found.openings[0].clear_in == float(clear)
    assert [note for note in found.notes if "2'-0\" of the rule book" in note] == list(found.notes)
    assert len(found.notes) == noted
    assert all(note.endswith("The reason given: Cells beside the jambs are grouted.") for note in found.notes)


@pytest.mark.parametrize("why", ["", "joint_clear_reason = '  '\n"])
def test_joints_nearer_than_the_rule_book_says_are_refused_without_a_reason(why: str) -> None:
    with pytest.raises(
        InputError, match=r"joint_clear_of_opening = 1'-4\" .* 2'-0\" .* D1 in .* joint_clear_reason"
    ):
        basis(f"[defaults]\njoint_clear_of_opening = 16\n{why}", hole("D1", 80, 40))


def test_the_reason_for_a_nearer_joint_may_be_given_for_one_opening() -> None:
    said = (
        "[[openings]]\ntag = 'D1'\njoint_clear_of_opening = 16\njoint_clear_reason = 'pilaster beside it'\n"
    )
    found = basis(said, hole("D1", 80, 40), hole("D2", 200, 40))
    assert [rule.clear_in for rule in found.openings] == [16.0, 24.0]
    assert [rule.clear_why for rule in found.openings] == ["pilaster beside it", ""]


def test_joints_through_the_lintels_end_are_refused() -> None:
    with pytest.raises(InputError, match=r"joint_clear_of_opening = 1'-3\" .* D1 in .* use 1'-4\" or more"):
        basis("[defaults]\njoint_clear_of_opening = 15\n", hole("D1", 80, 40))


def test_the_coefficient_used_is_told() -> None:
    engineered = "[defaults]\nmethod = 'engineered'\n"
    for given, used, said in (
        ("ccc = 0.0012\n", 0.0012, "interpolated between 0.0010 and 0.0015"),
        ("ccc = 0.001\n", 0.0010, "coefficient is 0.0010"),
        ("", 0.0015, "most severe one of the rule book, 0.0015"),
    ):
        found = basis(engineered + given)
        assert found.limits(0.0, 100.0).ccc == pytest.approx(used)
        assert said in found.notes[0]


def test_tags_that_fit_nothing_are_reported_once() -> None:
    settings = parse_settings(
        "[[walls]]\ntag = 'W1'\n[[walls]]\ntag = 'W7'\n[[walls]]\ntag = 'W7'\n"
        "[[openings]]\ntag = 'd*'\n[[openings]]\ntag = 'X1'\nwall = 'W8'\n[[openings]]\nlayer = 'NONE'\n"
    )
    assert unmatched_tags(settings, [wall(hole("D1", 80, 40))]) == ["W7", "X1", "W8"]


def test_what_is_bound_to_the_module_is_metric_in_a_metric_drawing() -> None:
    """200 mm for 8 in.: bearing, depth, lintel's end and spacings; what is published stays a limit."""
    mm = 25.4
    text = "[[openings]]\ntag = 'D2'\ntreatment = 'unreinforced'\n"
    settings = parse_settings(text)
    found = resolve_wall(settings, BOOK, wall(hole("D1", 80, 40), hole("D2", 400, 40)), metric=True)
    one, two = found.openings
    assert one.lintel is not None
    assert two.lintel is not None
    assert one.lintel.bearing_left_in * mm == pytest.approx(400)
    assert two.lintel.bearing_left_in * mm == pytest.approx(200)
    assert two.step_in * mm == pytest.approx(200)
    assert two.lintel.box.height * mm == pytest.approx(200)
    assert found.bar_offset_in * mm == pytest.approx(100)
    assert two.bearing_least_in == 4.0
    assert one.clear_in == 24.0
    spacings = [choice.max_spacing_in * mm for choice in found.reinforcement.choices]
    assert spacings == pytest.approx([400, 600, 1200, 2400, 3600])


def meeting(entry: str) -> tuple[WallBasis, WallBasis]:
    """Two walls, W1 left of W2, that share an edge, under the entries of a settings file."""
    places = (
        Place(960.0, PlaceKind.ADJOINING_WALL, "B", wall="W2"),
        Place(0.0, PlaceKind.ADJOINING_WALL, "A", wall="W1"),
    )
    left = replace(wall(tag="W1", right=EndCondition.JOINT), places=places[:1])
    right = replace(wall(tag="W2", left=EndCondition.JOINT), places=places[1:])
    settings = parse_settings(entry)
    return resolve_wall(settings, BOOK, left), resolve_wall(settings, BOOK, right)


@pytest.mark.parametrize("end", ["continues", "free", "corner"])
def test_one_of_two_adjoining_walls_cannot_take_their_joint_away(end: str) -> None:
    of_the_left = f"[[walls]]\ntag = 'W1'\nright_end = '{end}'\n"
    of_the_right = f"[[walls]]\ntag = 'W2'\nleft_end = '{end}'\n"
    for alone in (of_the_left, of_the_right):
        left, right = meeting(alone)
        assert (left.right_end, right.left_end) == (EndCondition.JOINT, EndCondition.JOINT)
    left, right = meeting(of_the_left + of_the_right)
    assert (left.right_end, right.left_end) == (EndCondition(end), EndCondition(end))
    left, right = meeting(of_the_left.replace("right_end", "left_end"))
    assert (left.left_end, left.right_end) == (EndCondition(end), EndCondition.JOINT)
