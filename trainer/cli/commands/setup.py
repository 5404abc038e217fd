"""`trainer setup`: units, player and bag, asking nothing that was said and guessing nothing that matters."""

from __future__ import annotations

import argparse
import dataclasses
from pathlib import Path
from typing import TYPE_CHECKING, Any

from trainer.cli.conditions import one_of
from trainer.cli.context import Context, Output
from trainer.cli.values import read_text
from trainer.core.conditions import Ball, Seen, Surface
from trainer.core.errors import InputError
from trainer.core.profile import AgeBand, CarryBasis, Hand, KnownCarry, Profile, Sees
from trainer.core.units import UNITS, UnitChoice, parse_quantity, require_range, to_si, unit_named

if TYPE_CHECKING:
    from trainer.exchange.profile_toml import ProfileDraft

UNIT_OPTIONS = {"distance": ("yd", "m"), "speed": ("mph", "km/h", "m/s", "kn"), "temperature": ("C", "F")}


def add_commands(commands: Any) -> None:
    """Add `setup`."""
    parser = commands.add_parser("setup", help="player and bag, from a profile or one known carry")
    add = parser.add_argument
    add("--profile", metavar="FILE", help="a profile as TOML")
    add("--from-carry", metavar="CLUB=CARRY", help='one measured carry in still air, such as "7 iron=150yd"')
    add("--from-belief", metavar="CLUB=CARRY", help="the same, remembered")
    add("--club", metavar="LINE", action="append", default=[], help='put a club right: "7 iron=34deg, 37in, 150yd"')
    add("--without", metavar="CLUB", action="append", default=[], help="leave a club out")
    add("--hand", metavar="HAND", help="right or left")
    add("--ball", metavar="BALL", help="the usual ball: range or playing")
    add("--surface", metavar="SURFACE", help="the usual surface: grass or mat")
    add("--sees", metavar="WHAT", help="what you see: landing or finish")
    add("--seen", metavar="HOW", help="how: eye, flag, laser or device")
    add("--age-band", metavar="BAND", help="under 11, 11-13, 14-15, 16-17 or adult: juniors' limits; no birth date")
    for name, units in UNIT_OPTIONS.items():
        add(f"--{name}-unit", metavar="UNIT", help=" or ".join(units))
    add("--write", metavar="FILE", help="write the profile as TOML, to be edited and read again")
    parser.set_defaults(run=run)


def run(args: argparse.Namespace, context: Context) -> Output:
    """Make or change the player and say what was taken."""
    from trainer.application.evidence.cells import require_flyable
    from trainer.application.setup.proposed_bag import complete
    from trainer.exchange.private_file import write_private
    from trainer.exchange.profile_toml import write_profile

    draft = _draft(args, context)
    known = _known_carry(args, draft.units)
    if known is not None and args.profile is None:
        # A new known carry proposes a new bag; the old one's numbers came from the old carry.
        draft = dataclasses.replace(draft, known_carry=known, clubs=())
    draft = _with_options(args, draft, known)
    profile = _with_clubs(args, complete(draft, known, context.player_alias))
    require_flyable(profile.bag)
    target = None if args.write is None else Path(args.write)
    if target is not None and target.exists():
        raise InputError("the file exists and is never overwritten", str(target), "name another file")
    with context.open_store(write=True) as store:
        record = store.save_profile(profile, context.now)
    if target is not None:
        write_private(target, write_profile(record.profile))
    return _output(record.profile, context)


def _draft(args: argparse.Namespace, context: Context) -> ProfileDraft:
    """What is said so far: the file, else the player as he stands, else nothing."""
    from trainer.exchange.profile_toml import ProfileDraft, read_profile

    if args.profile is not None:
        return read_profile(read_text(Path(args.profile)), args.profile)
    held = _held(context)
    if held is not None:
        fields = {field.name: getattr(held, field.name) for field in dataclasses.fields(held) if field.name != "bag"}
        return ProfileDraft(**fields, clubs=held.bag.clubs, grip_steps_m=held.bag.grip_steps_m)
    return ProfileDraft(alias=None, clubs=(), known_carry=None, units=_led_units(args, UnitChoice()))


def _held(context: Context) -> Profile | None:
    if not context.store_path.exists():
        return None
    with context.open_store(write=False) as store:
        aliases = [player.profile.alias for player in store.players()]
        wanted = context.player_alias
        if not aliases or (wanted is not None and wanted.lower() not in [alias.lower() for alias in aliases]):
            return None
        return store.player(wanted).profile


def _led_units(args: argparse.Namespace, otherwise: UnitChoice) -> UnitChoice:
    """The unit written with the known carry leads; a bare carry leaves the units as they are."""
    text = args.from_carry or args.from_belief or ""
    unit = unit_named(text.rpartition("=")[2].strip().lstrip("0123456789. "))
    if unit not in UNIT_OPTIONS["distance"] or unit == otherwise.distance:
        return otherwise
    return UnitChoice.following(unit)


def _known_carry(args: argparse.Namespace, units: UnitChoice) -> KnownCarry | None:
    if args.from_carry is not None and args.from_belief is not None:
        raise InputError("is the carry measured or remembered?", "--from-belief", "give one of the two options")
    if args.from_carry is None and args.from_belief is None:
        return None
    where = "--from-carry" if args.from_carry is not None else "--from-belief"
    club, equals, carry = (args.from_carry or args.from_belief or "").rpartition("=")
    if not equals or not club.strip():
        raise InputError("a club and its carry are needed", where, 'write it as "7 iron=150yd"')
    carry_m = parse_quantity(carry, "length", units.distance, where)
    require_range(carry_m, to_si(20, "yd"), to_si(350, "yd"), units.distance, "a carry", where)
    basis = CarryBasis.MEASURED if args.from_carry is not None else CarryBasis.REMEMBERED
    return KnownCarry(club.strip(), carry_m, basis)


def _with_options(args: argparse.Namespace, draft: ProfileDraft, known: KnownCarry | None) -> ProfileDraft:
    units = draft.units if known is None or args.profile is not None else _led_units(args, draft.units)
    for name, choices in UNIT_OPTIONS.items():
        text = getattr(args, f"{name}_unit")
        if text is None:
            continue
        unit = unit_named(text)
        if unit not in choices:
            raise InputError(f"'{text}' is no unit for this", f"--{name}-unit", f"use {' or '.join(choices)}")
        units = UnitChoice.following(unit) if name == "distance" else dataclasses.replace(units, **{name: unit})
    return dataclasses.replace(
        draft,
        units=units,
        hand=one_of(Hand, args.hand, "--hand") or draft.hand,
        ball=one_of(Ball, args.ball, "--ball") or draft.ball,
        surface=one_of(Surface, args.surface, "--surface") or draft.surface,
        sees=one_of(Sees, args.sees, "--sees") or draft.sees,
        seen=one_of(Seen, args.seen, "--seen") or draft.seen,
        age_band=one_of(AgeBand, args.age_band, "--age-band") or draft.age_band,
    )


def _with_clubs(args: argparse.Namespace, profile: Profile) -> Profile:
    """The profile with the lines of `--club` and `--without` put right."""
    clubs = {club.name: club for club in profile.bag.clubs}
    for name in args.without:
        del clubs[profile.bag.club(name, "--without").name]
    for line in args.club:
        club = _club(line, profile.units)
        clubs[club.name] = club
    if not clubs:
        raise InputError("no club is left in the bag", "--without", "keep at least one")
    ordered = tuple(sorted(clubs.values(), key=lambda club: club.loft_rad))
    return dataclasses.replace(profile, bag=dataclasses.replace(profile.bag, clubs=ordered))


def _club(line: str, units: UnitChoice) -> Any:
    from trainer.core.bag import Club
    from trainer.exchange.profile_toml import require_club_name

    where = "--club"
    name, _, rest = line.partition("=")
    parts = [part.strip() for part in rest.split(",")]
    if len(parts) != 3 or not name.strip():
        raise InputError(f"'{line}' is not a club", where, 'write it as "7 iron=34deg, 37in, 150yd"')
    loft_rad = parse_quantity(parts[0], "angle", "deg", where)
    length_m = parse_quantity(parts[1], "length", None, where)
    carry_m = parse_quantity(parts[2], "length", units.distance, where)
    require_range(loft_rad, to_si(5, "deg"), to_si(70, "deg"), "deg", "a loft", where)
    require_range(length_m, 0.7, 1.3, "in", "a length", where)
    require_range(carry_m, 10.0, 320.0, units.distance, "a carry", where)
    return Club(require_club_name(name.strip(), where), loft_rad, length_m, carry_m)


def _output(profile: Profile, context: Context) -> Output:
    from trainer.application.views.folding import folded
    from trainer.application.views.words import bag_text, mapping_lines

    known, units = profile.known_carry, profile.units
    took = {
        "player": profile.alias,
        "hand": f"{profile.hand}-handed",
        "units": f"{units.distance}, {units.speed}, °{units.temperature}",
        "usual": f"{profile.ball} ball from {profile.surface}",
        "seen": f"where the ball {'lands' if profile.sees is Sees.LANDING else 'stops'}, by {profile.seen}",
        "known": f"{known.club} {units.shown_distance(known.carry_m)}, {known.basis}",
        "ages": "not said: a plan's own hold" if profile.age_band is None else str(profile.age_band),
    }
    text = "\n".join(
        [
            mapping_lines(took),
            "",
            bag_text(profile.bag, units),
            "",
            *folded("Carries are still-air, stock full swings, worked out from the known one by impact and flight."),
            *folded(
                'Put a line right with --club "7 iron=34deg, 37in, 150yd", or --write a file, edit it, read it back.'
            ),
        ]
    )
    return Output(text, {**took_data(profile), "store": str(context.store_path)})


def took_data(profile: Profile) -> dict[str, Any]:
    """The profile as JSON-ready data."""
    known = profile.known_carry
    return {
        "player": profile.alias,
        "hand": str(profile.hand),
        "units": {name: getattr(profile.units, name) for name in UnitChoice.__dataclass_fields__},
        "ball": str(profile.ball),
        "surface": str(profile.surface),
        "sees": str(profile.sees),
        "seen": str(profile.seen),
        "age_band": None if profile.age_band is None else str(profile.age_band),
        "known_carry": {"club": known.club, "carry_m": known.carry_m, "basis": str(known.basis)},
        "grip_steps_m": list(profile.bag.grip_steps_m),
        "clubs": [
            {
                "club": club.name,
                "loft_deg": club.loft_deg,
                "length_m": club.length_m,
                "stock_carry_m": club.stock_carry_m,
            }
            for club in profile.bag.clubs
        ],
        "flags": [
            {"flag": flag.name, "distance_m": flag.distance_m, "bearing_deg": flag.bearing_rad / UNITS["deg"].factor}
            for flag in profile.flags
        ],
    }
