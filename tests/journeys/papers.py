"""A small yard whose every free text is the same words, and what stands on a page, for tests of papers."""

import json
from html.parser import HTMLParser
from pathlib import Path

from recipe_track.cli.main import run
from tests.journeys.gitrepo import GitRepo, environment
from tests.recipes import WORKED

SIDE = "models/demo/deck/side.toml"
TEXTS = (
    '{x}</title></style></textarea><script>alert(1)</script>',
    '{x}" onmouseover="alert(1)" x=\'',
    "{x}<img src=http://e.org/x.png onerror=alert(1)>{{{{ 7*7 }}}}{{% raw %}}",
    "{x} ]]> --> <!-- <svg><a href='javascript:alert(1)'>",
    "=1+1|{x}`code`[l](http://e.org)![i](http://e.org/i.png)**b**",
    "{x}\x1b[31mred\x1b]0;title\x07\x9b2J",
    "{x}\u202egnp.exe\u2066\u200b\ufeff",
    "{x}" + "long" * 2500,
    "[bold red]{x}[/] [link=http://e.org]y[/link] :warning:",
)  # fmt: skip


def toml(text: str) -> str:
    """A TOML string of any text."""
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")


def yard(folder: Path, text: str) -> GitRepo:
    """A repository of two releases, a hull on hold with a deviation, and `text` wherever people write freely."""
    said = toml(text)
    repo = GitRepo.create(folder)
    for path in sorted(WORKED.rglob("*.toml")):
        name = path.relative_to(WORKED).as_posix()
        repo.write(name, with_texts(name, path.read_text(encoding="utf-8"), said))
    first = repo.commit(f"First issue\n\nReason: {' '.join(text.split()) or 'x'}\n")
    repo.tag("demo/r1")
    write_hull(repo, "001", "H-AAAAAA", first, "r1")
    repo.write("records/2026/T-AAAAAA.toml", trial(said))
    repo.commit("Hull and trial")
    side = (repo.root / SIDE).read_text(encoding="utf-8")
    repo.write(SIDE, side.replace("thickness_mm = 20", "thickness_mm = 25"))
    blobs = repo.git("rev-parse", f"{first}:{SIDE}"), repo.git("hash-object", SIDE)
    repo.write("records/2026/C-BBBBBB.toml", change(said, *blobs))
    repo.commit("Thicker core\n\nChange: C-BBBBBB\nReason: x\n")
    repo.write(
        "records/2026/D-CCCCCC.toml", decision(said, repo.git("rev-parse", "HEAD:records/2026/C-BBBBBB.toml"))
    )
    second = repo.commit("Decide", who="ben")
    repo.tag("demo/r2")
    write_hull(repo, "002", "H-BBBBBB", second, "r2")
    repo.write("records/2026/T-DDDDDD.toml", trial(said).replace("severity = 3", "severity = 4"))
    repo.write("records/2026/N-EEEEEE.toml", deviation(said))
    repo.commit("Hull on hold")
    return repo


def with_texts(name: str, content: str, said: str) -> str:
    """A file of the recipe with every free text in it replaced."""
    lines = [line for line in content.split("\n") if not line.startswith(("name =", "source =", "note ="))]
    body = "\n".join(lines)
    if name == "recipe-track.toml":
        return "\n".join(line for line in lines if not line.startswith("yard")).replace(
            "format = 1", f"format = 1\nyard = {said}"
        )
    if name == "prices.toml":
        return body.replace('currency = "EUR"', f"currency = {said}")
    if name.startswith("materials/"):
        supplied = "" if 'kind = "fibre"' in body or 'kind = "resin"' in body else f"supplier = {said}\n"
        return f"name = {said}\nsource = {said}\nnote = {said}\n{supplied}{body}"
    if name.endswith(("model.toml", "part.toml")):
        return f"name = {said}\nnote = {said}\n{body}"
    where = "".join(f"{key} = {said}\n" for key in ("extent", "zero_direction", "seen_from", "drawing"))
    layers = body.replace(
        ' },\n  { material = "pvc', f', note = {said}, tag = {said} }},\n  {{ material = "pvc'
    )
    layers = layers.replace("coverage_fraction = 0.25", f"coverage_fraction = 0.25, extent = {said}")
    return f"name = {said}\nnote = {said}\n{where}{layers}\n[required]\nsource = {said}\nfibre_kg_m2_min = 90.0\n"


def write_hull(repo: GitRepo, number: str, step: str, commit: str, label: str) -> None:
    """A hull with its deck started to a release."""
    repo.write(f"hulls/{number}.toml", f'model = "demo"\nfirst_release = "{label}"\n')
    keys = (
        f'hull = "{number}"\npart = "deck"\nstate = "in-mould"\nrevision = "{label}"\ncommit = "{commit}"\n'
    )
    repo.write(f"records/2026/{step}.toml", f'kind = "step"\n{BY}{keys}')


BY = 'by = "Eve *[x](y)* | `z` <eve@quay.example>"\non = 2026-01-05\n'


def trial(said: str) -> str:
    """An observation in the side deck of hull 001."""
    return (
        f'kind = "trial"\n{BY}hull = "001"\nzone = "deck/side"\ntext = {said}\nconditions = {said}\n'
        f'note = {said}\nobservation = "other"\nseverity = 3\n'
    )


def change(said: str, before: str, after: str) -> str:
    """The change that answers it."""
    texts = f"title = {said}\nreason = {said}\nconsidered = {said}\n"
    edit = f'[[edit]]\npath = "{SIDE}"\nbefore = "{before}"\nafter = "{after}"\n'
    return f'kind = "change"\n{BY}model = "demo"\n{texts}trials = ["T-AAAAAA"]\ncategory = "layup"\n{edit}'


def decision(said: str, decides: str) -> str:
    """Its approval."""
    by = BY.replace("eve@", "ben@")
    return f'kind = "decision"\n{by}about = "C-BBBBBB"\ndecides = "{decides}"\ndecision = "approved"\nnote = {said}\n'


def deviation(said: str) -> str:
    """A departure of hull 002, not decided."""
    return (
        f'kind = "deviation"\n{BY}type = "nonconformity"\nhull = "002"\nzone = "deck/side"\ntext = {said}\n'
        'layers = [ { line = 3, material = "biax-800", plies = 1, action = "left-out" } ]\n'
    )


def call(repo: GitRepo, *args: str) -> int:
    """Run a command in a repository; what it prints is for the test to capture."""
    with environment(repo.env()):
        return run(["-C", str(repo.root), *args])


class Page(HTMLParser):
    """The elements of a page with the names of their attributes, its text, and what it refers to."""

    def __init__(self, html: str) -> None:
        super().__init__(convert_charrefs=True)
        self.shape: list[tuple[str, tuple[str, ...]]] = []
        self.references: list[str] = []
        self.words: list[str] = []
        self.open: list[str] = []
        self.feed(html)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.shape.append((tag, tuple(name for name, _ in attrs)))
        self.references += [value or "" for name, value in attrs if name in ("src", "href", "xlink:href")]
        if tag not in ("meta", "br", "col"):
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag, f"</{tag}> closes something else"

    def handle_data(self, data: str) -> None:
        self.words.append(data)

    def handle_comment(self, data: str) -> None:
        self.shape.append(("comment", ()))

    @property
    def text(self) -> str:
        """All words of the page."""
        return "".join(self.words)
