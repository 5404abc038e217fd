"""What a player might type or a profile hold, for the property tests."""

from __future__ import annotations

from hypothesis import strategies as st

from trainer.core.bag import Bag, Cell, Club, Swing
from trainer.core.conditions import Ball, Seen, Surface
from trainer.core.profile import AgeBand, CarryBasis, Hand, KnownCarry, Profile, RangeFlag, Sees
from trainer.core.units import UnitChoice, to_si
from trainer.exchange.cell_text import kept_grip_down

UNIT_CHOICES = (
    UnitChoice(),
    UnitChoice.following("m"),
    UnitChoice("yd", "km/h", "C", "cm", "m"),
    UnitChoice("m", "kn", "F", "in", "ft"),
)
units = st.sampled_from(UNIT_CHOICES)
sees = st.sampled_from(Sees)


@st.composite
def numbers(draw: st.DrawFn, low: int, high: int) -> str:
    """A plain decimal as it is typed."""
    whole = draw(st.integers(low, high))
    decimals = draw(st.sampled_from(("", "", "", ".0", ".5", ".25", ".123", ".0071")))
    return f"{whole}{decimals}"


lengths = st.sampled_from(("", "m", "yd"))


@st.composite
def _distances(draw: st.DrawFn) -> str:
    carry = draw(numbers(5, 300))
    total = f"{int(carry.split('.')[0]) + draw(st.integers(0, 60))}"
    unit = draw(lengths)
    form = draw(st.sampled_from(("{c}{u}", "{c}{u}/{t}{u}", "/{t}{u}", "{c}{u}/")))
    return form.format(c=carry, t=total, u=unit)


@st.composite
def _placed(draw: st.DrawFn) -> list[str]:
    """A number for the distance, the side, or both."""
    flag = st.builds("{}{}{}{}".format, st.sampled_from(("red", "big-oak", "F150", "grün")), st.sampled_from("+-−"),
                     numbers(0, 90), lengths)  # fmt: skip
    side = st.builds("{}{}{}".format, numbers(0, 90), lengths, st.sampled_from("lrLR"))
    distance = draw(st.one_of(_distances(), flag))
    return draw(st.sampled_from(([distance], [distance, draw(side)], [draw(side)])))


_zoned = st.one_of(
    st.builds(lambda key: [f"z{key}"], st.integers(1, 9)),
    st.lists(st.sampled_from(("short", "Pin", "LONG")), min_size=1, max_size=1),
    st.sampled_from(("short left", "STRAIGHT Pin", "long right", "left")).map(str.split),
)  # fmt: skip
_measures = (
    st.builds("^{}{}".format, numbers(0, 60), st.sampled_from(("", "m", "ft"))),
    st.builds("hang={}".format, numbers(1, 11)),
    st.builds("speed={}{}".format, numbers(30, 90), st.sampled_from(("", "mph", "m/s", "km/h"))),
    st.builds("launch={}{}".format, numbers(-4, 60), st.sampled_from(("", "deg"))),
    st.builds("spin={}".format, numbers(0, 14999)),
)


@st.composite
def typed_shots(draw: st.DrawFn) -> str:
    """A line that is a shot, in any order and either case."""
    tokens = list(draw(st.one_of(_placed(), _zoned, st.just(["-"]), st.just(["x"]))))
    tokens += [draw(measure) for measure in _measures if draw(st.booleans())]
    if "x" not in tokens and draw(st.booleans()):
        tokens.append("X")
    tokens += [f"#{tag}" for tag in draw(st.sets(st.sampled_from(("closer", "a-1", "low", "9")), max_size=3))]
    return " ".join(draw(st.permutations(tokens)))


grips = st.integers(0, 1016).map(lambda tenths_mm: kept_grip_down(tenths_mm * 1e-4))

CLUBS = (
    Club("driver", to_si(10.5, "deg"), 1.15, 200.0),
    Club("7 iron", to_si(33, "deg"), 0.94, to_si(150, "yd")),
    Club("pitching wedge", to_si(46, "deg"), 0.9, to_si(118.5, "yd")),
    Club("old faithful", to_si(60, "deg"), 0.88, 62.0),
)
BAG = Bag(CLUBS)
cells = st.builds(Cell, st.sampled_from([club.name for club in CLUBS]), grips, st.sampled_from(Swing))


def _decimal(low: float, high: float, unit: str, decimals: int = 2) -> st.SearchStrategy[float]:
    """Values that are plain decimals in `unit`, as SI."""
    scale = 10**decimals
    return st.integers(int(low * scale), int(high * scale)).map(lambda n: to_si(float(f"{n / scale}"), unit))


@st.composite
def bags(draw: st.DrawFn) -> Bag:
    names = draw(st.lists(st.sampled_from(("driver", "3 wood", "7 iron", "9 iron", "sand wedge", "my own")),
                          min_size=1, max_size=6, unique=True))  # fmt: skip
    carries = sorted(
        draw(st.lists(_decimal(12, 340, "yd", 1), min_size=len(names), max_size=len(names))), reverse=True
    )
    clubs = tuple(
        Club(name, draw(_decimal(5.5, 70, "deg")), draw(_decimal(0.7, 1.29, "m", 3)), carry)
        for name, carry in zip(names, carries, strict=True)
    )
    steps = sorted(draw(st.sets(grips, min_size=1, max_size=4)) | {0.0})
    return Bag(clubs, tuple(steps))


_names = st.lists(st.sampled_from(("red", "blue", "big-oak", "f150")), unique=True, max_size=4)


@st.composite
def profiles(draw: st.DrawFn) -> Profile:
    """Profiles whose quantities are plain decimals in some unit."""
    bag = draw(bags())
    flags = tuple(
        RangeFlag(name, draw(_decimal(6, 399, "yd", 1)), draw(_decimal(-90, 90, "deg", 1))) for name in draw(_names)
    )
    alias = draw(st.text(st.characters(categories=("L", "N", "P")), min_size=1, max_size=40))
    return Profile(
        alias=alias,
        bag=bag,
        known_carry=KnownCarry(
            draw(st.sampled_from([club.name for club in bag.clubs])),
            draw(_decimal(10, 320, "m", 1)),
            draw(st.sampled_from(CarryBasis)),
        ),
        units=draw(units),
        hand=draw(st.sampled_from(Hand)),
        ball=draw(st.sampled_from(Ball)),
        surface=draw(st.sampled_from(Surface)),
        sees=draw(sees),
        seen=draw(st.sampled_from(Seen)),
        flags=flags,
        pin_depth_m=draw(_decimal(1, 50, "yd", 1)),
        pin_width_m=draw(_decimal(1, 50, "m", 1)),
        age_band=draw(st.sampled_from((None, *AgeBand))),
    )
