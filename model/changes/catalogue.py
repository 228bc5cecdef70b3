"""Every change that a builder can make, as data: what it does to a build, how far it goes, hours, things, cautions.

None carries what it brings: each is solved on the engines at hand. Sizes of steps are common practice, no source,
unless a change says otherwise; so are hours and things.
"""

from __future__ import annotations

from model.changes.present import Change, Edit, Make, Present, all_of, multiplied, scaled, si, word
from model.quantities.uncertain import Uncertain, between

ONE_END = 1e-3
"""End clearance that a careful builder reaches, [m]; common practice, no source."""
NARROW = 0.8e-3
"""Side clearance below which a home-made displacer touches, [m]: quoted for a model engine's displacer
(references: 0.8 mm); common practice, no source."""
QUARTER = 90.0
OFF = 8.0
"""Degrees from a quarter turn up to which a wire crank counts as right; the optimum is flat from 85 to 105, from
memory."""
BOILING = 95.0
"""Water that was boiling a minute ago, [C]; common practice, no source."""
FLAMES = ("candle", "spirit", "gas")
POOR = ("nylon", "ptfe", "wood")
HOT_WORK = ("flame", "hot_parts")


def _displacer_to_the_ends(present: Present) -> Edit | str:
    """Lengthen the throw until about 1 mm is left at the nearer end."""
    throw, beam = present.value("displacer_throw"), present.value("displacer_beam") or 1.0
    ends = [present.value(name) for name in ("end_clearance_hot", "end_clearance_cold")]
    if throw is None:
        return ""
    room = min(end for end in ends if end is not None) - ONE_END
    if room < 0.05 * throw:
        return (
            f"no room: the displacer has {1e3 * (room + ONE_END):.2g} mm at the nearer end, and about 1 mm is needed."
        )
    return present.to("displacer_throw", throw + room / beam)


def _throw_and_shorter_displacer(present: Present) -> Edit | str:
    throw, length = present.value("displacer_throw"), present.value("displacer_length")
    if throw is None or length is None:
        return ""
    more = 0.25 * throw
    if 2 * more > 0.3 * length:
        return "no room: the displacer would lose more than a third of its length."
    longer, shorter = present.to("displacer_throw", throw + more), present.to("displacer_length", length - 2 * more)
    return longer.with_(shorter) if isinstance(longer, Edit) and isinstance(shorter, Edit) else longer


def _taller(times: float) -> Make:
    """Return a longer displacer in a taller cylinder: the end clearances stay."""

    def make(present: Present) -> Edit | str:
        longer = present.times("displacer_length", times) if present.has("displacer_length") else ""
        if not isinstance(longer, Edit):
            return longer
        ends = {name: present.inputs.values[name] for name in ("end_clearance_hot", "end_clearance_cold")}
        return Edit(fields={**longer.fields, **ends}, texts=longer.texts, size=longer.size)

    return make


def _ends_closed(present: Present) -> Edit | str:
    whole = Edit()
    for name in ("end_clearance_hot", "end_clearance_cold"):
        now = present.value(name)
        if now is not None and now > 1.15 * ONE_END:
            made = present.to(name, ONE_END)
            whole = whole.with_(made) if isinstance(made, Edit) else whole
    return whole if whole.fields else "both ends are at about 1 mm already; nearer, it knocks."


def _narrower(present: Present) -> Edit | str:
    now = present.value("side_clearance")
    if now is None or not present.has("side_clearance"):
        return ""
    if now < 1.15 * NARROW:
        return f"the gap is {1e3 * now:.2g} mm on each side already; narrower, a home-made displacer touches."
    return present.to("side_clearance", max(0.6 * now, NARROW))


def _phase(present: Present) -> Edit | str:
    """Re-bend to a quarter turn between the volumes."""
    now, between_cylinders = present.value("phase"), present.value("cylinder_angle") or 0.0
    if now is None:
        return ""
    wanted = si(QUARTER, "phase") - between_cylinders
    if abs(now - wanted) < si(OFF, "phase"):
        return "the crank stands within 8 deg of a quarter turn; from 85 to 105 deg it hardly matters."
    return present.to("phase", wanted)


def _turned(degrees: float) -> Make:
    def make(present: Present) -> Edit | str:
        now = present.value("phase")
        return "" if now is None else present.to("phase", now + si(degrees, "phase"))

    return make


def _smaller_dead_volume(present: Present) -> Edit | str:
    whole = Edit()
    for name in ("dead_volume_cold", "dead_volume_hot"):
        if present.value(name):
            made = present.times(name, 0.3)
            whole = whole.with_(made) if isinstance(made, Edit) else whole
    return whole if whole.fields else "there is no dead volume beside the clearances."


def _wool(present: Present) -> Edit | str:
    """A displacer that is a roll of wool: air goes through it. An alpha: wool in its passage."""
    if present.word("regenerator") not in ("", "none"):
        return "there is a regenerator already."
    if present.build.layout == "alpha":
        bore = present.value("tube_bore")
        filled = present.becomes("regenerator", "steel_wool")
        if bore is None or not isinstance(filled, Edit):
            return ""
        wide, long = 2 * bore, 20e-3
        return Edit(
            fields={**filled.fields, "matrix_diameter": Uncertain(value=wide), "matrix_length": Uncertain(value=long)},
            texts={**filled.texts, "matrix_diameter": f"{2e3 * bore:.2g} mm", "matrix_length": "20 mm"},
            size="20 mm of it, twice as wide as the passage",
        )
    made = present.becomes("displacer_material", "steel_wool")
    if not isinstance(made, Edit):
        return made
    return Edit(
        fields={**made.fields, "regenerator": None}, texts={**made.texts, "regenerator": ""}, size="as wide as it is"
    )


def _larger_disc(present: Present) -> Edit | str:
    rim, disc = present.value("diaphragm_rim"), present.value("diaphragm_disc")
    if rim is None or disc is None:
        return ""
    if disc > 0.72 * rim:
        return "the disc takes three quarters of the rim already; wider, the rubber is too short to give."
    made, stiffer = present.to("diaphragm_disc", min(1.2 * disc, 0.78 * rim)), present.times("diaphragm_stiffness", 1.4)
    return made.with_(stiffer) if isinstance(made, Edit) and isinstance(stiffer, Edit) else made


def _posts(present: Present) -> Edit | str:
    count = present.build.post_count
    if count is None:
        return "" if present.value("posts") in (None, 0.0) else "nobody wrote how many posts there are, or of what."
    if count.value <= 0:
        return "there are no posts."
    if present.word("post_material") in POOR:
        return "the posts carry hardly any heat already."
    return present.becomes("post_material", "nylon")


def _hotter_water(present: Present) -> Edit | str:
    now = present.value("source_temperature")
    if present.word("heat_source") != "water" or now is None:
        return ""
    wanted = si(BOILING, "source_temperature")
    if now > wanted - 2:
        return "the water is as hot as it stays."
    return present.to("source_temperature", wanted)


def _second_wick(present: Present) -> Edit | str:
    source = present.word("heat_source")
    if source == "candle":
        count = present.build.tealights.value if present.build.tealights is not None else 1.0
        # what was typed of the heat goes up with their number
        made = present.to("tealights", count + 1)
        heat = present.build.heat_released
        if isinstance(made, Edit) and heat is not None:
            more = present.times("heat_released", (count + 1) / count)
            return made.with_(more) if isinstance(more, Edit) else made
        return made
    return present.times("heat_released", 1.6) if source in ("spirit", "gas") else ""


def _larger_lens(present: Present) -> Edit | str:
    if present.word("heat_source") != "sun":
        return ""
    return present.times("heat_released", 1.5)


def _more_current(present: Present) -> Edit | str:
    return present.times("heat_released", 1.4) if present.word("heat_source") == "electric" else ""


def _spirit(present: Present) -> Edit | str:
    return present.becomes("heat_source", "spirit") if present.word("heat_source") == "candle" else ""


def _water_for_a_hand(present: Present) -> Edit | str:
    return present.becomes("heat_source", "water") if present.word("heat_source") == "hand" else ""


def _shroud(present: Present) -> Edit | str:
    """Foil round the hot end: a flame gives it more, and it loses less."""
    if present.word("heat_source") not in FLAMES:
        return ""
    return Edit(
        factors={"heat_caught": between(1.02, 1.3), "hot_loss_coefficient": between(0.5, 0.9)},
        size="one turn of it, 10 mm off",
    )


def _lagged(present: Present) -> Edit | str:
    if present.word("heat_source") in FLAMES:
        return "felt or foam beside a flame burns; take a foil shroud."
    return Edit(factors={"hot_exposure": between(0.3, 0.7)}, size="10 mm of felt or foam on its side")


def _thicker_ends(present: Present) -> Edit | str:
    whole = Edit()
    for name in ("hot_end_thickness", "cold_end_thickness"):
        if name in present.inputs.values:
            made = present.times(name, 1.8)
            whole = whole.with_(made) if isinstance(made, Edit) else whole
    return whole if whole.fields else "the ends are taken as stiff: nobody wrote a thickness."


def _light_displacer(present: Present) -> Edit | str:
    if present.value("displacer_mass") is None:
        return "its mass is not known: weigh it." if present.has("displacer_mass") else ""
    return present.times("displacer_mass", 0.5)


def _dry(present: Present) -> Edit | str:
    if "piston_clearance" not in present.inputs.values:
        return ""
    return Edit(
        factors={"friction_torque": between(0.7, 1.05), "speed_drag": between(0.3, 0.8)},
        size="degreased, graphite dust",
    )


def _tighter(present: Present) -> Edit | str:
    if "leak_half_time" in present.inputs.values:
        return Edit(factors={"leak_half_time": between(1.5, 6.0)}, size="soap on every joint, then grease or tape")
    return Edit(factors={"gland_clearance": between(0.4, 0.9)}, size="a longer, greased gland")


def _fitted(present: Present) -> Edit | str:
    if "piston_clearance" not in present.inputs.values:
        return ""
    if "leak_half_time" in present.inputs.values:
        return Edit(factors={"leak_half_time": between(1.2, 4.0)})
    return Edit(factors={"piston_clearance": between(0.5, 0.9)})


def _bigger(times: float) -> Make:
    def make(present: Present) -> Edit | str:
        name = "diaphragm_rim" if "diaphragm_rim" in present.inputs.values else "piston_bore"
        if present.build.layout == "beta":
            return "in a beta the piston shares one bore with the displacer: change its throw instead."
        return present.times(name, times)

    return make


CATALOGUE: tuple[Change, ...] = (
    Change(key="piston_throw_longer", words="longer piston throw", make=scaled("piston_throw", 1.25),
           farther=(scaled("piston_throw", 1.6),), hours=1.0,
           needs="another crank pin hole or a new bend"),
    Change(key="piston_throw_shorter", words="shorter piston throw", make=scaled("piston_throw", 0.8),
           farther=(scaled("piston_throw", 0.6),), hours=1.0,
           needs="another crank pin hole or a new bend",
           source="trade: the first remedy where the compression is too high for the heat"),
    Change(key="hot_throw_longer", words="longer hot throw", make=scaled("hot_throw", 1.25), hours=1.5,
           needs="another crank pin hole"),
    Change(key="displacer_throw_longer", words="longer displacer throw, to 1 mm at the ends",
           short="longer displacer throw",
           make=_displacer_to_the_ends, hours=1.0, needs="another crank pin hole or a new bend",
           source="trade: leave about 1 mm at each end"),
    Change(key="displacer_throw_and_shorter", words="longer throw with a shorter displacer",
           short="longer throw, cut displacer",
           make=_throw_and_shorter_displacer, hours=2.5, needs="knife or saw, another crank pin hole"),
    Change(key="ends_closed", words="end clearances of 1 mm", short="ends at 1 mm", make=_ends_closed, hours=1.0,
           needs="a longer rod end, or a thin disc on each end", source="trade: about 1 mm"),
    Change(key="gap_narrower", words="narrower gap round the displacer",
           short="narrower displacer gap", make=_narrower, hours=2.0,
           needs="card or foil wrapped round the displacer"),
    Change(key="gap_wider", words="wider gap round the displacer",
           short="wider displacer gap", make=scaled("side_clearance", 1.5),
           farther=(scaled("side_clearance", 2.2),), hours=1.5,
           needs="sandpaper, knife"),
    Change(key="displacer_longer", words="longer displacer in a taller cylinder",
           short="longer displacer", make=_taller(1.4),
           farther=(_taller(2.0),), hours=4.0,
           needs="another can or ring, another displacer", cautions=("cut_tin",)),
    Change(key="displacer_lighter", words="lighter displacer", make=_light_displacer, hours=3.0,
           needs="foam, balsa or a thin can"),
    Change(key="wool", words="steel wool as regenerator",
           short="steel wool", make=_wool, hours=2.0, needs="fine steel wool, free of oil",
           cautions=("steel_wool",)),
    Change(key="phase_quarter", words="crank re-bent to a quarter turn",
           short="crank at a quarter turn", make=_phase, hours=0.5,
           needs="pliers, a photo"),
    Change(key="phase_more", words="10 deg more between the cranks", short="cranks farther apart", make=_turned(10.0),
           farther=(_turned(20.0),), hours=0.5, needs="pliers"),
    Change(key="phase_less", words="10 deg less between the cranks",
           short="cranks nearer together", make=_turned(-10.0),
           farther=(_turned(-20.0),), hours=0.5, needs="pliers"),
    Change(key="passage", words="wider, shorter passage",
           make=all_of(scaled("tube_bore", 1.4), scaled("tube_length", 0.6)), hours=2.0, needs="a larger drill"),
    Change(key="dead_volume", words="fill the dead volume",
           short="dead volume filled", make=_smaller_dead_volume, hours=1.0,
           needs="card, cork or filler that stands the heat"),
    Change(key="piston_bigger", words="bigger power piston", short="bigger piston", make=_bigger(1.25),
           farther=(_bigger(1.6),), hours=5.0,
           needs="another cylinder and piston"),
    Change(key="piston_smaller", words="smaller power piston", short="smaller piston", make=_bigger(0.8),
           farther=(_bigger(0.6),), hours=5.0,
           needs="another cylinder and piston", source="trade: after a shorter throw"),
    Change(key="rubber_thinner", words="thinner or slacker rubber",
           short="softer rubber", make=scaled("diaphragm_stiffness", 0.4), hours=1.0,
           needs="a balloon or glove that was worn soft", cautions=("latex", "rubber_flame")),
    Change(key="disc_larger", words="larger disc on the rubber", short="larger disc", make=_larger_disc, hours=0.5,
           needs="stiff card, glue"),
    Change(key="gland", words="polished rod, gland reamed and greased", short="rod and gland eased",
           make=multiplied("the displacer's share of the friction halved", friction_torque=between(0.6, 0.95)),
           hours=1.0, needs="metal polish, a drill of the rod's size, a trace of grease"),
    Change(key="bearings", words="ball bearings on the shaft", short="ball bearings",
           make=multiplied("the shaft's share of the friction gone", friction_torque=between(0.55, 0.95),
                           speed_drag=between(0.7, 1.0)), hours=3.0, needs="two small bearings, washed free of grease"),
    Change(key="aligned", words="crank straightened, rods lined up", short="crank straightened",
           make=multiplied("what binds", friction_torque=between(0.5, 1.0)), hours=1.0, needs="pliers, patience"),
    Change(key="dry", words="piston and shaft dry instead of oiled", short="dry, not oiled",
           make=_dry,
           hours=0.5, needs="spirit to wash it, soft pencil", cautions=("spirit",)),
    Change(key="tighter", words="joints sealed again", short="joints sealed", make=_tighter, hours=1.0,
           needs="soapy water, grease, tape"),
    Change(key="piston_fitted", words="piston lapped to its bore", short="piston lapped", make=_fitted, hours=4.0,
           needs="lapping paste, time"),
    Change(key="wheel_heavier", words="heavier wheel", make=scaled("wheel_mass", 2.0), hours=0.5,
           needs="weights at the rim, glued and tied", cautions=("wheel",)),
    Change(key="ends_stiffer", words="thicker ends that do not flex",
           short="thicker ends", make=_thicker_ends, hours=3.0,
           needs="thicker plate", cautions=("hot_parts",)),
    Change(key="wall_thinner", words="thinner wall between hot and cold",
           short="thinner wall", make=scaled("wall_thickness", 0.5), hours=4.0,
           needs="another can or tube", cautions=("cut_tin",)),
    Change(key="posts", words="nylon posts and screws",
           short="nylon posts", make=_posts, hours=1.0, needs="nylon screws",
           source="trade: an engine lasted a quarter of an hour instead of moments after its posts became plastic"),
    Change(key="shroud", words="foil shroud round the hot end",
           short="foil shroud", make=_shroud, hours=0.3, needs="kitchen foil, wire",
           cautions=HOT_WORK, source="trade: a foil shroud gained 10 % of power; its range is common practice"),
    Change(key="lagged", words="hot end lagged", make=_lagged, hours=0.5, needs="felt or foam",
           cautions=("hot_parts",)),
    Change(key="second_wick", words="a second wick or a larger flame",
           short="second wick", make=_second_wick, hours=0.2,
           needs="another tea-light, a wider wick", cautions=("flame", "wax", "hot_parts")),
    Change(key="spirit_lamp", words="spirit lamp in place of the candle", short="spirit lamp", make=_spirit, hours=0.5,
           needs="a spirit lamp on a metal tray", cautions=("spirit", "flame", "hot_parts")),
    Change(key="hotter_water", words="water just off the boil",
           short="water off the boil", make=_hotter_water, hours=0.1, needs="a kettle",
           cautions=("hot_water",)),
    Change(key="water_not_hand", words="hot water in place of a hand",
           short="hot water, no hand", make=_water_for_a_hand, hours=0.1,
           needs="a mug", cautions=("hot_water",)),
    Change(key="larger_lens", words="a larger lens or mirror",
           short="larger lens", make=_larger_lens, hours=0.5, needs="a lens or mirror",
           cautions=("lens", "hot_parts")),
    Change(key="more_current", words="more current through the heater",
           short="more current", make=_more_current, hours=0.2,
           needs="a supply that is made for it", cautions=("electric", "hot_parts")),
    Change(key="ice", words="ice on the cold end", make=word("cold_side", "ice"), hours=0.1,
           needs="ice, a rim that keeps water out", cautions=("ice",)),
    Change(key="fan", words="a fan on the cold end",
           short="fan on the cold end", make=word("cold_side", "fan"), hours=0.3, needs="a small fan"),
    Change(key="jacket", words="water jacket on the cold end",
           short="water jacket", make=word("cold_side", "jacket"), hours=3.0,
           needs="a cup round the cold end, cold water"),
    Change(key="fins", words="fins on the cold end", short="fins", make=word("cold_side", "fins"), hours=3.0,
           needs="sheet, clamps", cautions=("cut_tin",)),
)  # fmt: skip
"""In the order of the engine: drive, chamber, piston, friction, seals, heat, cold."""
PRESSURE = (
    "pressure",
    "pump it up",
    "refused: cans, jars, bottles and plastic burst without warning. The mean pressure stays at that of the room.",
)
"""Key, words and reason of what is never advised."""
PARTNERS: tuple[tuple[str, str], ...] = (
    ("piston_throw_longer", "wheel_heavier"), ("piston_throw_longer", "displacer_throw_longer"),
    ("piston_throw_longer", "second_wick"), ("piston_throw_longer", "ice"), ("piston_bigger", "wheel_heavier"),
    ("piston_bigger", "ice"), ("piston_bigger", "second_wick"), ("piston_bigger", "hotter_water"),
    ("gap_narrower", "displacer_throw_and_shorter"), ("piston_throw_shorter", "aligned"), ("tighter", "aligned"),
    ("ice", "hotter_water"), ("piston_throw_shorter", "tighter"), ("wool", "displacer_throw_longer"),
)  # fmt: skip
"""Changes that may help only together."""


__all__ = ["CATALOGUE", "PARTNERS", "PRESSURE"]
