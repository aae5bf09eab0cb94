"""Values and the sentences they become: the one place where the words of cures are tested."""

from __future__ import annotations

import pytest

from perpend.cures.words import sentence_of
from perpend.model import (
    Advice,
    BeamChange,
    Blocked,
    Changes,
    Cure,
    JointChange,
    Treat,
    Treatment,
    UseMethod,
)


def line(*points: tuple[float, float]) -> tuple[tuple[float, float], ...]:
    return points


OLD = line((240, 0), (240, 200))
AT_JAMB = line((200, 0), (200, 84), (192, 84), (192, 200))
MOVE = JointChange("move", line((264, 0), (264, 200)), 2, "2A", OLD)
STEP = JointChange("step", AT_JAMB, 2, "2A", OLD, "D1")
ADD = JointChange("add", line((120, 0), (120, 200)))
ADD_AT_JAMB = JointChange("add", AT_JAMB, opening="D1")
TREAT = Treat("D1", "3B", Treatment.UNREINFORCED)

SENTENCES: list[tuple[Changes, str]] = [
    (
        (Advice("one-lintel", "D1 and D2", 304.0),),
        "Span D1 and D2 and the pier between with one lintel, 25'-4\" long with its bearings "
        "(one_lintel_over in the settings; the engineer designs it): joints at the outer jambs only.",
    ),
    ((MOVE,), "Move the CJ at 20'-0\" to 22'-0\"."),
    ((STEP,), "Move the CJ at 20'-0\" to 16'-8\", stepped under the lintel of D1."),
    (
        (JointChange("step", AT_JAMB, 2, "2A", line((200, 0), (200, 200)), "D1"),),
        "Step the CJ at 16'-8\" level at the head, to the end of the lintel of D1, and up there.",
    ),
    (
        (JointChange("extend", OLD, 2, "2A", line((240, 16), (240, 200))),),
        "Run the CJ at 20'-0\" from the bottom of the wall to its top.",
    ),
    ((JointChange("straighten", OLD, 2, "2A", line((240, 0), (243, 200))),), "Draw the CJ at 20'-0\" plumb."),
    (
        (JointChange("straighten", OLD, 2, "2A", line((243, 0), (239, 200))),),
        "Draw the CJ at 20'-3\" plumb at 20'-0\".",
    ),
    (
        (JointChange("trim", OLD, 2, "2A", OLD),),
        "End the line of the CJ at 20'-0\" at the wall's bottom and top.",
    ),
    ((JointChange("remove", OLD, 2, "2A", OLD),), "Remove the CJ at 20'-0\"."),
    ((ADD,), "Add a CJ at 10'-0\"."),
    ((ADD_AT_JAMB,), "Add a CJ at 16'-8\", stepped under the lintel of D1."),
    ((ADD, ADD_AT_JAMB), "Add 2 CJs, at 10'-0\" and 16'-8\" (stepped under the lintel of D1)."),
    ((ADD, MOVE), "Add a CJ at 10'-0\"; move the CJ at 20'-0\" to 22'-0\"."),
    ((TREAT, MOVE), "Treat D1 as unreinforced in the settings; move the CJ at 20'-0\" to 22'-0\"."),
    ((UseMethod("engineered", "full-height"),), "Use the engineered method with full-height units."),
    ((BeamChange("stop", 240, 100, "4C"),), "Stop the bond beam and its steel on both sides of 20'-0\"."),
    (
        (BeamChange("debond", 240, 100, "4C"),),
        "Debond the bar on one side of 20'-0\" and say so on the drawing.",
    ),
    (
        (BeamChange("add", 240, 64, "", 96, 0, 96),),
        "Add a bond beam between 5'-4\" and 8'-0\" above the bottom, or use larger bars.",
    ),
    (
        (BeamChange("add", 240, 104, "", 88, 0, 48),),
        "Add bond beams not more than 4'-0\" apart, or use larger bars.",
    ),
    ((Advice("confirm", "D1"),), "Have the engineer of record confirm it."),
    ((Advice("cut-units"),), "No module line near it is free: show the cut units beside it."),
    (
        (Advice("lintel-support", "D1"),),
        "Leave more masonry beside the opening, or have the lintel's support designed.",
    ),
    ((Advice("move-jamb", "D1", 240.0),), "Move the jamb to 20'-0\", or show the cut units."),
    ((Advice("move-opening", "D1"),), "Move or narrow D1, or compare other methods (perpend compare)."),
    ((Advice("move-opening-from-end", "D1", 24.0),), "Move D1 2'-0\" or more away from the end."),
    (
        (Advice("name-joint-type"),),
        "Name the joint type in the settings (joint_type) and on the drawing.",
    ),
    (
        (Advice("other-methods"),),
        "Compare other methods (perpend compare), or ask the engineer of record.",
    ),
    (
        (Advice("show-support"),),
        "Show what carries the masonry and the joint below it (layer of shelf angles, or shelf_angles in the "
        "settings), or have the engineer confirm that none is needed.",
    ),
    ((Advice("shear-transfer", "D1"),), "Name a joint type that transfers out-of-plane shear."),
    (
        (Advice("waiver-correct", "0123456789abcdef"),),
        "Take the entry 0123456789abcdef out, or correct its fingerprint.",
    ),
    ((Advice("waiver-renew", "panel-too-long"),), "Cure panel-too-long, or agree on a later date."),
    ((Advice("wall-length", "", 480.0),), "Make it 40'-0\" long, or show the cut unit."),
    (
        (Advice("wall-steel"),),
        "Use larger bars, count joint reinforcement with them, or place joints by another method.",
    ),
]


@pytest.mark.parametrize(("changes", "sentence"), SENTENCES, ids=[s for _, s in SENTENCES])
def test_changes_that_comply_are_said_in_one_sentence(changes: Changes, sentence: str) -> None:
    assert sentence_of(Cure(changes, complies=True)) == sentence


def test_options_are_numbered_and_what_is_in_the_way_comes_first() -> None:
    cure = Cure(
        (TREAT, ADD), True, ((UseMethod("engineered", "half-high"),),), Blocked(96, 336, ("D1", "D2"))
    )
    assert sentence_of(cure) == (
        "No permitted CJ location between 8'-0\" and 28'-0\": D1, D2 in the way. Options that comply: "
        "(1) treat D1 as unreinforced in the settings, then add a CJ at 10'-0\"; "
        "(2) use the engineered method with half-high units."
    )
    at_a_place = Cure((Advice("move-opening", "D1"),), blocked=Blocked(96, 96, ("D1",)))
    assert sentence_of(at_a_place).startswith(
        "No permitted CJ location at 8'-0\": D1 in the way. Move or narrow"
    )


def test_changes_that_do_not_comply_are_called_the_closest() -> None:
    assert sentence_of(Cure((MOVE,))) == (
        "No change of joints alone complies; closest: move the CJ at 20'-0\" to 22'-0\"."
    )


def test_no_cure_is_no_sentence_and_metric_lengths_come_first() -> None:
    assert sentence_of(None) == ""
    assert sentence_of(Cure((ADD,), complies=True), metric=True) == "Add a CJ at 3048 mm (10'-0\")."
    assert sentence_of(Cure((ADD,), complies=True), metric=True, feet=False) == "Add a CJ at 3048 mm."


@pytest.mark.parametrize(("label", "said"), [("MJ", "Add an MJ at 10'-0\"."), ("GJ", "Add a GJ at 10'-0\".")])
def test_a_joint_has_the_label_of_its_rule_book(label: str, said: str) -> None:
    assert sentence_of(Cure((ADD,), complies=True), label=label) == said
    moved = sentence_of(Cure((ADD, ADD_AT_JAMB, MOVE)), label=label)
    assert f"2 {label}s" in moved
    assert f"the {label} at" in moved
    assert "CJ" not in moved
