"""The plain things perpend thinks in: walls, openings, joints, panels. No file, no rule."""

from perpend.model.corner import MeasuredCorner
from perpend.model.cure import (
    Advice,
    AdviceKey,
    BeamChange,
    Blocked,
    Change,
    Changes,
    Cure,
    JointChange,
    JointChangeKind,
    Treat,
    UseMethod,
)
from perpend.model.elevation import (
    BondBeam,
    DrawnJoint,
    Elevation,
    EndCondition,
    HeightBasis,
    Opening,
    Place,
    PlaceKind,
    Support,
    Treatment,
    Wall,
    Zone,
    ZoneKind,
)
from perpend.model.geometry import Box, Frame, Path, Point, Profile, lowest_height
from perpend.model.plan import (
    Bar,
    Cost,
    HorizontalReinforcement,
    Joint,
    JointKind,
    Limits,
    Lintel,
    OpeningRule,
    Panel,
    ReinforcementChoice,
    SearchCounts,
    Side,
    SlipPlane,
    TreatmentOf,
    WallPlan,
)
from perpend.model.sizes import HorizontalJoints, JointSizes
from perpend.model.sources import Source, Standing
