"""Twenty years of one yard as a repository, by one stream of `git fast-import`: revisions, zones, records.

Every revision edits one zone and comes with its change and its decision; each twentieth is a merge of a branch,
each tenth is followed by an observation, each five hundredth edits a material and the prices. Materials and
prices are those of the example; everything else is made here, the same on every machine.
"""

import hashlib
import subprocess
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

LAYERS, YEARS, HULLS = 11, 20, 24
ALPHABET = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
PARTS = ("deck", "hull", "grid", "house")
PROPOSER = "Marit Oosten <marit.oosten@example.org>"
APPROVER = "Aine Corrigan <aine.corrigan@example.org>"
BUILDER = "Joren Veld <joren.veld@example.org>"
FIRST_DAY = datetime(2006, 1, 2, 8, tzinfo=UTC)
PART = """name = "{name}"
process = "infusion"
resin = "vinylester-infusion"
wastage_fraction = {{ reinforcement = 0.10, core = 0.15, resin = 0.05, coating = 0.20, paste = 0.10 }}
line_resin_kg = 7.5
consumables_per_m2 = 13.5
setup_hours = 17.0
"""
MODEL = 'name = "Long-lived craft"\norigin = "transom at the waterline"\nlength_m = 9.8\nbeam_m = 3.2\n'
FABRICS = ("biax-450", "csm-300", "biax-610", "uni-600", "quad-1200", "wr-600")


@dataclass(frozen=True)
class Shape:
    """How long and how wide a history is; `observations` come on top, in one commit a year."""

    revisions: int
    zones: int = 40
    edited: int = 40  # of the zones
    observations: int = 0

    @property
    def name(self) -> str:
        """A folder's name."""
        return f"{self.revisions}-{self.zones}-{self.observations}"


@dataclass
class _Stream:
    """The stream as it grows, and what the last commit of main holds."""

    shape: Shape
    out: list[bytes] = field(default_factory=list)
    files: dict[str, bytes] = field(default_factory=dict)
    mark: int = 0
    main: int = 0
    records: int = 0

    def day(self, revision: int) -> datetime:
        share = (revision + 1) / (self.shape.revisions + 1)
        return FIRST_DAY + timedelta(seconds=int(share * YEARS * 365 * 86400))

    def commit(
        self, author: str, committer: str, when: datetime, message: str, files: Mapping[str, bytes],
        parents: tuple[int, ...], branch: str = "main",
    ) -> int:  # fmt: skip
        self.mark += 1
        stamp = f"{int(when.timestamp())} +0000"
        lines = [f"commit refs/heads/{branch}\nmark :{self.mark}\nauthor {author} {stamp}\n".encode()]
        lines += [f"committer {committer} {stamp}\n".encode(), _data(message.encode())]
        lines += [b"%s :%d\n" % (w, p) for w, p in zip((b"from", b"merge"), parents, strict=False)]
        for path, text in files.items():
            lines.append(f"M 100644 inline {path}\n".encode() + _data(text))
        self.out.append(b"".join(lines) + b"\n")
        if branch == "main":
            self.main = self.mark
            self.files.update(files)
        return self.mark

    def record_id(self, letter: str) -> str:
        self.records += 1
        digits, left = "", self.records * 7919 % 32**6
        for _ in range(6):
            digits, left = ALPHABET[left % 32] + digits, left // 32
        return f"{letter}-{digits}"


def _data(content: bytes) -> bytes:
    return b"data %d\n%s\n" % (len(content), content)


def blob(text: bytes) -> str:
    """The id git gives a text."""
    return hashlib.sha1(b"blob %d\0%s" % (len(text), text), usedforsecurity=False).hexdigest()


def zone_names(shape: Shape) -> list[str]:
    """`part/zone`, as many in each part."""
    return [f"{PARTS[n % len(PARTS)]}/zone-{n:03}" for n in range(shape.zones)]


def zone_text(number: int, version: int) -> bytes:
    """A plate of eleven layers; each version differs in one line or two."""
    rows = ['  { material = "gelcoat-white", thickness_mm = 0.6 },']
    for n in range(LAYERS - 1):
        if n == 4:
            rows.append(
                f'  {{ material = "pvc-80", thickness_mm = {10 + (version * 7 + number) % 41 / 2} }},'
            )
            continue
        fabric = FABRICS[(n + number + (version // 3 if n == version % 9 else 0)) % len(FABRICS)]
        how = ', process = "hand-layup"' if fabric in ("csm-300", "wr-600") else ""
        angle = f", angle_deg = {(0, 45, 90)[version % 3]}" if n == version % 7 else ""
        rows.append(f'  {{ material = "{fabric}"{angle}{how}, plies = {1 + (version + n) % 3} }},')
    head = f'name = "Zone {number}"\nnote = "issue {version}"\narea_m2 = {2 + number % 5}.25\n'
    place = f"centroid_m = [{1 + number % 8}.5, 0.0, {number % 3}.25]\noverlap_fraction = 0.06\n\nlayup = [\n"
    panel = '\n[panel]\nspan_mm = 500\nlength_mm = 1200\nedges = "clamped"\npressure_kpa = 12.0\n'
    minima = '\n[required]\nsource = "calculation of record"\nfibre_kg_m2_min = 0.5\n'
    text = head + place + "\n".join(rows) + "\n]\n" + (panel if number % 2 else "")
    return (text + (minima if number % 4 == 1 else "")).encode()


def _change(title: str, on: date, edits: Mapping[str, tuple[bytes, bytes]]) -> bytes:
    lines = [f'kind = "change"\nby = "{PROPOSER}"\non = {on}\nmodel = "craft"\ntitle = "{title}"']
    lines.append('reason = "the sea trial of the hull before found it too flexible"\ncategory = "layup"')
    for path, (before, after) in edits.items():
        lines.append(f'\n[[edit]]\npath = "{path}"\nbefore = "{blob(before)}"\nafter = "{blob(after)}"')
    return ("\n".join(lines) + "\n").encode()


def _decision(about: str, change: bytes, on: date) -> bytes:
    head = f'kind = "decision"\nby = "{APPROVER}"\non = {on}\nabout = "{about}"\ndecides = "{blob(change)}"\n'
    return (head + 'decision = "approved"\n').encode()


def _observation(hull: int, zone: str, on: date, severity: int) -> bytes:
    return (
        f'kind = "trial"\nby = "{BUILDER}"\non = {on}\nhull = "{hull:03}"\nzone = "{zone}"\n'
        f'text = "It creaks under a foot."\nobservation = "noise"\nseverity = {severity}\n'
    ).encode()


def _first_issue(stream: _Stream, shared: Mapping[str, bytes]) -> None:
    files = dict(shared)
    files["models/craft/model.toml"] = MODEL.encode()
    for part in PARTS:
        files[f"models/craft/{part}/part.toml"] = PART.format(name=part).encode()
    for n, zone in enumerate(zone_names(stream.shape)):
        files[f"models/craft/{zone}.toml"] = zone_text(n, 0)
    for hull in range(HULLS):
        files[f"hulls/{hull:03}.toml"] = b'model = "craft"\nfirst_release = "r1"\n'
    message = "First issue\n\nReason: the craft as it was measured\n"
    stream.commit(APPROVER, APPROVER, FIRST_DAY, message, files, ())


def _edits(stream: _Stream, revision: int) -> dict[str, bytes]:
    """What a revision gives new texts to."""
    if revision % 500 == 250:
        material = stream.files["materials/pvc-80.toml"]
        prices = stream.files["prices.toml"]
        density = 80 + revision // 500
        return {
            "materials/pvc-80.toml": b"\n".join(
                b"density_kg_m3 = %d" % density if row.startswith(b"density_kg_m3") else row
                for row in material.split(b"\n")
            ),
            "prices.toml": b"\n".join(
                b"labour_per_hour = %d.5" % (40 + revision // 500) if row.startswith(b"labour_per") else row
                for row in prices.split(b"\n")
            ),
        }
    number = revision * 7 % stream.shape.edited
    zone = zone_names(stream.shape)[number]
    return {f"models/craft/{zone}.toml": zone_text(number, 1 + revision // stream.shape.edited)}


def _revision(stream: _Stream, revision: int) -> None:
    when = stream.day(revision)
    on, tip = when.date(), stream.main
    edited = {p: t for p, t in _edits(stream, revision).items() if t != stream.files[p]}
    change_id, decision_id = stream.record_id("C"), stream.record_id("D")
    title = f"Stiffer step {revision}"
    change = _change(title, on, {path: (stream.files[path], text) for path, text in edited.items()})
    files = {**edited, f"records/{on.year}/{change_id}.toml": change}
    decided = {f"records/{on.year}/{decision_id}.toml": _decision(change_id, change, on)}
    message = f"{title}\n\nChange: {change_id}\n"
    if revision % 20 == 19:
        side = stream.commit(PROPOSER, PROPOSER, when, message, files, (tip,), branch="side")
        later = when + timedelta(minutes=5)
        stream.commit(APPROVER, APPROVER, later, f"Approve {message}", files | decided, (tip, side))
    else:
        stream.commit(PROPOSER, APPROVER, when, message, files | decided, (tip,))
    if revision % 10 == 9:
        zone = zone_names(stream.shape)[revision % stream.shape.edited]
        seen = {f"records/{on.year}/{stream.record_id('T')}.toml": _observation(0, zone, on, 2)}
        stream.commit(BUILDER, BUILDER, when + timedelta(minutes=9), "Log a noise", seen, (stream.main,))


def _release(stream: _Stream, n: int, when: datetime) -> None:
    stamp = f"{int(when.timestamp()) + 600} +0000"
    head = f"tag craft/r{n}\nfrom :{stream.main}\ntagger {APPROVER} {stamp}\n"
    stream.out.append(head.encode() + _data(f"Release r{n}\n".encode()))


def _observed(stream: _Stream) -> None:
    """The observations on top, as many in each of the last commits."""
    day = FIRST_DAY + timedelta(days=YEARS * 365)
    for year in range(YEARS):
        on = day + timedelta(hours=year)
        many = range(
            stream.shape.observations * year // YEARS, stream.shape.observations * (year + 1) // YEARS
        )
        files = {
            f"records/{on.year}/{stream.record_id('T')}.toml": _observation(
                n % HULLS, zone_names(stream.shape)[n % stream.shape.edited], on.date(), 1
            )
            for n in many
        }
        if files:
            stream.commit(BUILDER, BUILDER, on, "Log a year of service", files, (stream.main,))


def _whole(shape: Shape, shared: Mapping[str, bytes]) -> Iterator[bytes]:
    stream = _Stream(shape)
    _first_issue(stream, shared)
    _release(stream, 1, FIRST_DAY)
    every = max(1, shape.revisions // 40)
    for revision in range(shape.revisions):
        _revision(stream, revision)
        if revision % every == every - 1:
            _release(stream, 2 + revision // every, stream.day(revision))
    _observed(stream)
    yield from stream.out
    yield b"done\n"


def build(shape: Shape, example: Path, target: Path) -> Path:
    """The repository of a shape, checked out; `example` gives materials, prices and settings."""
    names = [
        *sorted(example.glob("materials/*.toml")),
        example / "prices.toml",
        example / "recipe-track.toml",
    ]
    shared = {path.relative_to(example).as_posix(): path.read_bytes() for path in names}
    git = ("git", "-C", str(target), "-c", "gc.auto=0")
    subprocess.run(("git", "init", "-q", "-b", "main", str(target)), check=True)
    stream = b"".join(_whole(shape, shared))
    subprocess.run((*git, "fast-import", "--quiet", "--done"), input=stream, check=True)
    subprocess.run((*git, "branch", "-q", "-D", "side"), check=True, capture_output=True)
    subprocess.run((*git, "repack", "-adq"), check=True)
    subprocess.run((*git, "reset", "-q", "--hard"), check=True)
    return target


def one_more(repo: Path) -> None:
    """One more revision with its change and its decision, as a person would commit it."""
    path = "models/craft/deck/zone-000.toml"
    before = (repo / path).read_bytes()
    after = before.replace(b"area_m2 = 2.25", b"area_m2 = 2.5")
    on = date(2026, 1, 5)
    change = _change("A larger area", on, {path: (before, after)})
    files = {path: after, "records/2026/C-ZZZZZZ.toml": change}
    files["records/2026/D-ZZZZZZ.toml"] = _decision("C-ZZZZZZ", change, on)
    for name, text in files.items():
        (repo / name).parent.mkdir(exist_ok=True)
        (repo / name).write_bytes(text)
    git = (
        "git",
        "-C",
        str(repo),
        "-c",
        "user.name=Aine Corrigan",
        "-c",
        "user.email=aine.corrigan@example.org",
    )
    subprocess.run((*git, "add", *files), check=True)
    author = f"--author={PROPOSER}"
    subprocess.run((*git, "commit", "-q", author, "-m", "A larger area\n\nChange: C-ZZZZZZ\n"), check=True)
