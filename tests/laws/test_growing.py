"""A reading that grew along a history is the one that reading each revision whole gives, problems and all."""

from collections.abc import Mapping

from hypothesis import example, given
from hypothesis import strategies as st

from recipe_track.figures.materials import NotComputable
from recipe_track.figures.totals import Totals
from recipe_track.workspace.assembly import Parser, Reading, assemble, parse
from recipe_track.workspace.growing import nothing_yet
from tests.laws.profiles import examples
from tests.recipes import WORKED

Files = dict[str, bytes]
BASE: Files = {p.relative_to(WORKED).as_posix(): p.read_bytes() for p in sorted(WORKED.rglob("*.toml"))}
DECK, HULL = "models/demo/deck/", "models/demo/hull/"
STIFFENER = b"""form = "stiffener"
length_m = 2.5
girth_mm = 180
centroid_m = [2.0, 0.0, 0.4]
attached = "deck/%s"
layup = [ { material = "biax-800", plies = 2, fibre_mass_fraction = 0.5 } ]
"""
START = {
    **BASE,
    f"{HULL}part.toml": BASE[f"{DECK}part.toml"],
    f"{HULL}side.toml": BASE[f"{DECK}side.toml"],
    f"{DECK}beam.toml": STIFFENER % b"side",
    f"{DECK}beam-aft.toml": STIFFENER % b"coaming",
}
PLACES = [
    DECK + "side.toml",
    DECK + "beam.toml",
    DECK + "beam-aft.toml",
    HULL + "side.toml",
    DECK + "new.toml",
]
SWAPS = [
    (b"biax-800", b"csm-300"), (b"biax-800", b"no-such-fabric"), (b"plies = 2", b"plies = 5"),
    (b"0.05", b"0.15"), (b"deck/side", b"deck/coaming"), (b"deck/coaming", b"deck/nowhere"),
    (b"area_m2", b"length_m"), (b"[panel]", b"[panel"), (b"span_mm = 450", b"span_mm = 4500"), (b"\n", b"\r\n"),
    (b"centroid_m", b'formerly = ["hull/side"]\ncentroid_m'), (b"plies", b"plys"), (b"vinylester", b"gelcoat"),
    (b'"plate"', b'"joint"'), (b'form = "stiffener"', b'form = "plate"'), (b"1", b"2"), (b"{ per_", b"{ no_"),
    (b"pvc-80 =", b"# pvc-80 ="), (b'"core"', b'"coating"'), (b"lamina", b"laminas"), (b"}", b"},"),
]  # fmt: skip
swaps = st.tuples(st.sampled_from([*PLACES, *PLACES, *sorted(START)]), st.sampled_from(SWAPS))
losses = st.sampled_from([*sorted(START), DECK, HULL, "materials/"])
moves = st.tuples(
    st.sampled_from(PLACES), st.sampled_from([*PLACES, DECK + "Odd Name.toml", "models/other/a.toml"])
)
texts = st.tuples(st.sampled_from(PLACES), st.sampled_from([START[path] for path in PLACES[:4]]))
healed = st.just(START)
steps = st.lists(swaps | swaps | swaps | texts | losses | moves | healed, min_size=1, max_size=12)


def after(files: Files, step: object) -> Files:
    """The files of the next revision."""
    match step:
        case dict():
            return dict(step)
        case str():
            return {path: text for path, text in files.items() if not path.startswith(step)}
        case (path, (old, new)):
            return {**files, path: files[path].replace(old, new)} if path in files else files
        case (path, bytes() as text):
            return {**files, path: text}
        case (old, new):
            moved = {new: files[old]} if old in files else {}
            return {**{path: text for path, text in files.items() if path != old}, **moved}
    raise AssertionError(step)


def order(reading: Reading) -> object:
    """The names of what was read, in their order: sums are taken in it."""
    models = reading.snapshot.models.items()
    zones = [
        (name, list(tree.zones), [list(part.zones) for part in tree.parts.values()]) for name, tree in models
    ]
    return zones, list(reading.snapshot.materials)


TRIAL = b"""kind = "trial"
by = "Ada Quay <ada@quay.example>"
on = 2026-01-05
hull = "014"
zone = "deck/side"
text = "It creaks."
observation = "noise"
severity = 4
"""
DECISION = b"""kind = "decision"
by = "Ada Quay <ada@quay.example>"
on = 2026-01-06
about = "T-7K3QX2"
decision = "left-as-is"
"""
STEP = b"""kind = "step"
by = "Ada Quay <ada@quay.example>"
on = 2026-01-03
hull = "014"
part = "hull"
state = "in-mould"
revision = "r1"
commit = "1111111111111111111111111111111111111111"
"""
DEVIATION = b"""kind = "deviation"
by = "Ada Quay <ada@quay.example>"
on = 2026-01-07
type = "nonconformity"
hull = "014"
zone = "hull/side"
text = "one ply short"
layers = [ { line = 3, material = "biax-800", plies = 1, action = "left-out" } ]
"""
WEIGHING = b"""kind = "weighing"
by = "Ada Quay <ada@quay.example>"
on = 2026-01-08
hull = "014"
part = "hull"
mass_kg = 300
state = "trimmed"
"""
RECORDS = {
    "records/2026/T-7K3QX2.toml": TRIAL,
    "records/2026/T-8K3QX2.toml": TRIAL + b'replaces = "T-7K3QX2"\n',
    "records/2025/T-7K3QX2.toml": TRIAL,
    "records/2026/D-7K3QX2.toml": DECISION,
    "records/2026/D-8K3QX2.toml": DECISION.replace(b"T-7", b"T-9"),
    "records/2026/H-7K3QX2.toml": STEP,
    "records/2026/H-8K3QX2.toml": STEP.replace(b"in-mould", b"demoulded") + b'after = "H-7K3QX2"\n',
    "records/2026/N-7K3QX2.toml": DEVIATION,
    "records/2026/W-7K3QX2.toml": WEIGHING,
    "hulls/014.toml": b'model = "demo"\nfirst_release = "r1"\n',
    "hulls/015.toml": b'model = "demo"\nfirst_release = "r1"\nwas = "014"\n',
    "hulls/A.toml": b'model = "demo"\nfirst_release = "r1"\n',
    "hulls/a.toml": b'model = "other"\nfirst_release = "r1"\n',
}
YARD = {**START, "hulls/014.toml": RECORDS["hulls/014.toml"]}
records = st.sampled_from(sorted(RECORDS.items()))
record_losses = st.sampled_from(["records/2026/T-7", "records/", "hulls/014", HULL, "materials/biax-800"])
record_steps = st.lists(
    records | records | records | swaps | texts | moves | record_losses | st.just(YARD),
    min_size=1,
    max_size=12,
)
FIRST, STARTED = "records/2026/T-7K3QX2.toml", "records/2026/H-7K3QX2.toml"
RENAMED = b'formerly = ["deck/nose"]\n' + START[DECK + "side.toml"]  # until the name is taken out again
CORRECTED = STEP.replace(b'part = "hull"', b'part = "deck"') + b'replaces = "H-7K3QX2"\n'
PAST = {"demo": frozenset({"deck/old"})}


def totals(of: Totals, reading: Reading) -> object:
    if reading.problems or "demo" not in reading.snapshot.models:
        return None
    try:
        return of.of(reading.snapshot, "demo")
    except NotComputable as missing:
        return str(missing)


@examples(2)
@given(steps)
@example([(DECK + "side.toml", START[DECK + "beam-aft.toml"])])  # a plate no more, and one stands on it
@example([(DECK + "beam.toml", START[DECK + "beam.toml"].replace(b"plies", b'on = "flanges", plies'))])
def test_a_grown_reading_is_the_one_read_whole(told: list[object]) -> None:
    parser, files = Parser(), START
    growth, kept = nothing_yet(parser), Totals()
    before: Mapping[str, bytes] = {}
    for step in [START, *told]:
        files = after(files, step)
        edited = {path: text for path, text in files.items() if before.get(path) != text}
        growth = growth.grown(edited, before.keys() - files.keys(), parser)
        whole = assemble(parse(dict(sorted(files.items())), parser), with_records=False)
        assert growth.reading == whole
        assert order(growth.reading) == order(whole)
        assert totals(kept, growth.reading) == totals(Totals(), whole)
        before = files


@examples(3)
@given(record_steps)
@example([("records/2026/D-8K3QX2.toml", RECORDS["records/2026/D-8K3QX2.toml"])])  # about nothing
@example([("records/2026/N-7K3QX2.toml", DEVIATION), "materials/biax-800"])  # what it is about is gone
@example(
    [(FIRST, TRIAL), ("records/2027/T-7K3QX2.toml", TRIAL.replace(b"014", b"999").replace(b"2026", b"2027"))]
)  # one id, two files
@example(
    [
        (DECK + "side.toml", RENAMED),
        (FIRST, TRIAL.replace(b"deck/side", b"deck/nose")),
        (DECK + "side.toml", YARD[DECK + "side.toml"]),
    ]
)
@example(
    [(STARTED, STEP), ("records/2026/W-7K3QX2.toml", WEIGHING), ("records/2026/H-9K3QX2.toml", CORRECTED)]
)
def test_records_added_to_a_reading_are_those_of_one_read_whole(told: list[object]) -> None:
    parser, files = Parser(), YARD
    growth = nothing_yet(parser)
    before: Mapping[str, bytes] = {}
    for step in [YARD, *told]:
        files = after(files, step)
        edited = {path: text for path, text in files.items() if before.get(path) != text}
        growth = growth.grown_with_records(edited, before.keys() - files.keys(), parser, PAST)
        whole = assemble(parse(dict(sorted(files.items())), parser), with_records=True, past_zones=PAST)
        assert growth.reading == whole
        assert order(growth.reading) == order(whole)
        assert list(growth.reading.snapshot.records) == list(whole.snapshot.records)
        before = files
