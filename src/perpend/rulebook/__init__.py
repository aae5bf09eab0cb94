"""Rule books as data, and which limits govern a wall."""

from perpend.rulebook.arching import Arching, ArchingCondition, arching
from perpend.rulebook.joint_spacing import limits, spacing_rule
from perpend.rulebook.movement import JointChoices, JointWidth, joint_width
from perpend.rulebook.no_joint_steel import NoJointSteel, StripSteel, no_joint_steel
from perpend.rulebook.opening_rules import (
    OpeningChoices,
    is_large,
    keeps_joints_clear,
    opening_rules,
    refuse_joints_over_lintels,
)
from perpend.rulebook.requirements import (
    Bond,
    JointType,
    bond,
    height_change_over,
    joint_type,
    joint_types,
    metric_share,
    place_sources,
    reinforcement,
    row_sources,
)
from perpend.rulebook.rule_book import (
    DEFAULT_BOOK,
    RuleBook,
    book_keys,
    load_rulebook,
    parse_rulebook,
    read_rulebook,
)
from perpend.rulebook.wall_basis import SpacingRule, WallBasis
from perpend.rulebook.wall_section import (
    Section,
    SteelChoices,
    bar_area_in2,
    bar_weight_lb,
    max_bar_spacing_in,
    section_of,
    steel_weight_lb,
    thickness_in,
    wire_area_in2,
)
