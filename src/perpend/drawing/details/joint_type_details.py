"""Details of the joint types in plan, and of the sealant that closes them."""

from __future__ import annotations

from perpend.drawing.details.detail_sketch import FINE, SEAL, Sketch, ring
from perpend.drawing.details.detail_values import DetailValues
from perpend.drawing.details.masonry_shapes import (
    End,
    break_line,
    cut_unit,
    mortar,
    sealant,
    wires,
)
from perpend.model import Box

_FIRE = "FIRE RATING: SEE ARCH."
_SHOWN = 0.62
"""How much of a unit is shown each side of the joint."""


def formed_paper(v: DetailValues) -> Sketch:
    """Building paper on one side of a head joint whose core is grouted."""
    sk, x0, x1 = _two_units(v, "ears", "ears")
    low, high = v["shell"], v["thickness"] - v["shell"]
    core = ring(x0 - v["ear"], low, x1 + v["ear"], high)
    sk.fill("grout", core)
    gap = max(v["joint_width"] * 0.3, sk.p(0.025))
    paper = x0 - v["ear"] + gap
    sk.line((x0, low), (paper, low + gap), (paper, high - gap), (x0, high), layer=SEAL, heavy=True)
    body = _sealed(sk, x0, x1, v)
    sk.note("GROUT CORE SOLID, FULL HEIGHT", ((x1 + v["ear"] * 0.5), v["thickness"] * 0.62))
    sk.note("BLDG. PAPER OR FELT BOND BREAKER, ONE SIDE, FULL HEIGHT", (paper, v["thickness"] * 0.62))
    return _finished(sk, body, "formed-paper", v)


def preformed_gasket(v: DetailValues) -> Sketch:
    """A cross-shaped gasket in the grooves of sash units."""
    sk, x0, x1 = _two_units(v, "sash", "sash")
    middle, arm = v["thickness"] / 2, v["sash_width"] * 0.4
    deep, reach = v["sash_depth"] * 0.9, v["thickness"] * 0.16
    stem0, stem1 = x0 + v["joint_width"] * 0.1, x1 - v["joint_width"] * 0.1
    gasket = (
        (stem0, middle - reach),
        (stem1, middle - reach),
        (stem1, middle - arm),
        (x1 + deep, middle - arm),
        (x1 + deep, middle + arm),
        (stem1, middle + arm),
        (stem1, middle + reach),
        (stem0, middle + reach),
        (stem0, middle + arm),
        (x0 - deep, middle + arm),
        (x0 - deep, middle - arm),
        (stem0, middle - arm),
    )
    sk.fill("solid", gasket)
    sk.line(*gasket, layer=SEAL, closed=True)
    body = _sealed(sk, x0, x1, v)
    sk.note("PREFORMED GASKET, FULL HEIGHT; PROFILE PER MFR.", (x1 + deep * 0.7, middle))
    sk.note("SASH UNIT EA. SIDE", (x0 - v["sash_depth"] - v["web"] * 0.5, v["thickness"] * 0.72))
    return _finished(sk, body, "preformed-gasket", v)


def tongue_and_groove(v: DetailValues) -> Sketch:
    """The tongue of one unit in the groove of the next."""
    sk, x0, x1 = _two_units(v, "tongue", "groove")
    body = _sealed(sk, x0, x1, v)
    middle = v["thickness"] / 2
    sk.note("TONGUE-AND-GROOVE CONTROL JOINT UNITS; PROFILE PER MFR.", (x0 - v["web"] * 0.6, middle))
    sk.note("NO BOND AT TONGUE; KEEP CLEAR OF MORTAR", (x1 + v["sash_depth"] * 0.25, v["thickness"] * 0.77))
    return _finished(sk, body, "tongue-and-groove", v)


def raked(v: DetailValues) -> Sketch:
    """A head joint raked and sealed, and nothing else."""
    sk, x0, x1 = _two_units(v, "flat", "flat")
    body = _sealed(sk, x0, x1, v)
    return _finished(sk, body, "raked", v)


def _two_units(v: DetailValues, left: End, right: End) -> tuple[Sketch, float, float]:
    """Draw the units at the two sides of a joint; return the sketch and the joint's sides."""
    half = v["joint_width"] / 2
    reach = v["unit"] * _SHOWN
    sk = Sketch(v.scale(4, 5), v.metric, Box(-reach, 0.0, reach, v["thickness"]))
    sk.top_room, sk.bottom_room = 0.36, 0.62
    cut_unit(sk, -half, -reach, 0.0, v, left)
    cut_unit(sk, half, reach, 0.0, v, right)
    for x in (-reach, reach):
        break_line(sk, (x, 0.0), (x, v["thickness"]))
    return sk, -half, half


def _sealed(
    sk: Sketch, x0: float, x1: float, v: DetailValues
) -> tuple[tuple[float, float], tuple[float, float]]:
    """Rake both faces, seal the outer one, put mortar between the face shells; return sealant and rod."""
    mortar(sk, x0, v["rake_exterior"], x1, v["shell"])
    mortar(sk, x0, v["thickness"] - v["shell"], x1, v["thickness"] - v["rake_interior"])
    return sealant(sk, x0, x1, 0.0, 1, v)


def _finished(
    sk: Sketch, body: tuple[tuple[float, float], tuple[float, float]], key: str, v: DetailValues
) -> Sketch:
    """Add what every joint type has: reinforcement that ends, notes, dimensions."""
    reach, thick, half = sk.box.x1, v["thickness"], v["joint_width"] / 2
    end = half + v["end_gap"]
    for x0, x1 in ((-reach, -end), (end, reach)):
        wires(sk, x0, x1, 0.0, v)
    sk.note(
        "JOINT REINF.; DISCONTINUE AT {cj}, TYP.".replace("{cj}", v.label),
        (end + v["unit"] * 0.18, thick - v["shell"] / 2),
    )
    sk.note(f"RAKE {v.show('rake_interior')} WHERE EXPOSED", (0.0, thick - v["rake_interior"] * 0.5))
    sk.note(f"SEALANT ON BACKER ROD IN RAKE {v.show('rake_exterior')} DEEP", body[0], side="bottom")
    sk.note(_type_note(key, v), (-reach * 0.45, v["shell"] * 0.5), side="bottom")
    p = sk.p
    sk.measure_h("joint_width", -half, half, 0.0, -p(0.32), v.show("joint_width"))
    sk.measure_v("thickness", 0.0, thick, -reach, -reach - p(0.3), v.show("thickness"))
    sk.measure_v("shell", 0.0, v["shell"], reach, reach + p(0.3), v.show("shell"))
    return sk


def _type_note(key: str, v: DetailValues) -> str:
    """Say what is known of shear transfer and fire rating."""
    kind = v.types.get(key)
    if kind is None:
        return f"SHEAR TRANSFER: SEE STRUCT.; {_FIRE}"
    shear = {
        True: "TRANSFERS OUT-OF-PLANE SHEAR",
        False: "NO SHEAR TRANSFER",
        None: "SHEAR TRANSFER: VERIFY W/ MFR.",
    }[kind.transfers_shear]
    return f"{shear}; {'NOT FIRE RATED' if kind.fire_rating == 'none' else _FIRE}"


_TWICE_SIZE = 0.5


def sealant_geometry(v: DetailValues) -> Sketch:
    """Width, depth and bond of the sealant, larger than life; in brick without mortar behind it."""
    half, depth = v["joint_width"] / 2, v["rake_exterior"]
    if v.is_brick:
        depth = v["sealant_depth"] + v["rod"] * 1.15
    reach, high = half * 4.6, depth * 1.7
    sk = Sketch(_TWICE_SIZE * 2 ** min(v.steps, 2), v.metric, Box(-reach, 0.0, reach, high))
    sk.top_room, sk.bottom_room, sk.beside = 0.42, 0.78, True
    for x, edge in ((-half, -reach), (half, reach)):
        low = ring(min(x, edge), 0.0, max(x, edge), high)
        sk.fill("masonry", low)
        sk.line((edge, 0.0), (x, 0.0), (x, high))
        break_line(sk, (edge, 0.0), (edge, high))
    if not v.is_brick:
        sk.fill("mortar", ring(-half, depth, half, high))
        sk.line((-half, depth), (half, depth), layer=FINE)
    seal, rod = sealant(sk, -half, half, 0.0, 1, v)
    p = sk.p
    sk.measure_h("joint_width", -half, half, 0.0, -p(0.34), v.show("joint_width"))
    sk.measure_v("sealant_depth", 0.0, v["sealant_depth"], reach, reach + p(0.3), v.show("sealant_depth"))
    if not v.is_brick:
        sk.measure_v("rake_exterior", 0.0, depth, -reach, -reach - p(0.3), v.show("rake_exterior"))
    sk.note(
        "SEALANT, TOOLED CONCAVE; WIDTH-TO-DEPTH 2:1 U.N.O.",
        (half * 0.4, seal[1]),
        side="bottom",
        key_at=half + p(0.35),
    )
    sk.note("BOND SEALANT TO TWO SIDES ONLY", (-half, seal[1]), side="bottom", key_at=-half - p(0.35))
    sk.note("BACKER ROD, COMPRESSED FIT; BOND BREAKER AT BACK OF SEALANT", rod)
    behind = (
        "JOINT CLEAR OF MORTAR; COMPRESSIBLE FILLER WHERE SPECIFIED" if v.is_brick else "MORTAR, RAKED CLEAN"
    )
    sk.note(behind, (half * 0.4, (depth + high) / 2))
    sk.note(
        "PRIMER AND SUBSTRATE PREP. PER SEALANT MFR.",
        (half, v["sealant_depth"] * 0.7),
        side="bottom",
        key_at=half + p(0.75),
    )
    return sk
