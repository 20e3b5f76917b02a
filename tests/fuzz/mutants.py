"""How a file is damaged: bytes, lines, tokens, numbers and words, as slips, merges and hostile hands do it."""

import re
from collections.abc import Callable, Sequence
from math import isfinite
from random import Random

TOKENS: tuple[bytes, ...] = tuple(
    token.encode()
    for token in (
        "{", "}", "[", "]", "[[", "]]", '"', '"""', "'", "'''", "=", " = ", ",", ".", "#", "\n", "\r\n", "\r", "\t", " ",
        "\ufeff", "\x00", "\x1b[2J", "\\", "\\u0041", "\\x41", "\\e", "“", "”", "é", "\u202e", "-", "+", "_", ":", "%",
        "<<<<<<< ours\n", "||||||| base\n", "=======\n", ">>>>>>> theirs\n", "[layup]\n", "[[mass]]\n", "[panel]\n",
        "{ random = false, share = 1.0 }", "{ material = ", "layup = [\n", "a.b.c = 1\n", "a = {\n", '"" = 1\n',
    )
)  # fmt: skip
VALUES: tuple[bytes, ...] = tuple(
    value.encode()
    for value in (
        "0", "-1", "1", "2", "0.5", "1e-9", "1e12", "1e308", "-1e308", "1e999", "nan", "inf", "-0.0", "1,5", "045", ".5",
        "12 mm", "1_000", "1000", "1001", "0xFF", "0x" + "F" * 9000, "9" * 5000, "true", "false", "yes", "none", "",
        '""', '"x"', '"deck/deck-support"', '"r7"', '"' + "x" * 300 + '"', "[]", "{}", "[[[[]]]]", "[0.0, 0.0, 0.0]",
        "[" * 60 + "]" * 60, "{ a = " * 50 + "1" + " }" * 50, "2026-03-10", "2026-13-40", "07:30", "1979-05-27T07:32:00Z",
        "{ infusion = 0.6 }", "[{ angle_deg = 45, share = 1.0 }]", '"T-7K3QX2"', '"plate"', '"joint"', '"stiffener"',
    )
)  # fmt: skip
ASSIGNED = re.compile(rb"=[ \t]*([^,\n}#]*)")
WORD = re.compile(rb"[A-Za-z_][\w-]*")
NUMBER = re.compile(rb"-?\d+(?:\.\d+)?")
Mutation = Callable[[Random, bytes, Sequence[bytes]], bytes]


def mutate(random: Random, data: bytes, others: Sequence[bytes]) -> bytes:
    """The data with one to five mutations; `others` are files to take pieces from."""
    for _ in range(random.choice((1, 1, 1, 2, 2, 3, 5))):
        data = random.choice(MUTATIONS)(random, data, others)
    return data[:100_000]


def _span(random: Random, data: bytes, longest: int) -> tuple[int, int]:
    start = random.randint(0, len(data))
    return start, min(len(data), start + random.randint(0, longest))


def _cut(random: Random, data: bytes, _: Sequence[bytes]) -> bytes:
    start, end = _span(random, data, random.choice((1, 2, 8, 80)))
    return data[:start] + data[end:]


def _truncated(random: Random, data: bytes, _: Sequence[bytes]) -> bytes:
    return data[: random.randint(0, len(data))]


def _flipped(random: Random, data: bytes, _: Sequence[bytes]) -> bytes:
    at, _end = _span(random, data, 1)
    return data[:at] + bytes([random.randrange(256)]) + data[at + 1 :]


def _token_put_in(random: Random, data: bytes, _: Sequence[bytes]) -> bytes:
    at, end = _span(random, data, random.choice((0, 0, 1, 4)))
    return data[:at] + random.choice(TOKENS) * random.choice((1, 1, 1, 2, 50)) + data[end:]


def _repeated(random: Random, data: bytes, _: Sequence[bytes]) -> bytes:
    start, end = _span(random, data, random.choice((4, 60, 300)))
    return data[:end] + data[start:end] * random.choice((1, 2, 30)) + data[end:]


def _spliced(random: Random, data: bytes, others: Sequence[bytes]) -> bytes:
    other = random.choice(others)
    start, end = _span(random, other, 200)
    at, to = _span(random, data, random.choice((0, 40, 400)))
    return data[:at] + other[start:end] + data[to:]


def _lines_moved(random: Random, data: bytes, others: Sequence[bytes]) -> bytes:
    lines = data.split(b"\n")
    at = random.randrange(len(lines))
    line = lines.pop(at) if random.random() < 0.7 else random.choice(random.choice(others).split(b"\n"))
    for _ in range(random.choice((0, 1, 1, 2, 20))):
        lines.insert(random.randint(0, len(lines)), line)
    return b"\n".join(lines)


def _exchanged(
    pattern: re.Pattern[bytes], group: int, pick: Callable[[Random, bytes, Sequence[bytes]], bytes]
) -> Mutation:
    """A mutation that puts something else in the place of one match."""

    def exchange(random: Random, data: bytes, others: Sequence[bytes]) -> bytes:
        found = list(pattern.finditer(data))
        if not found:
            return data
        match = random.choice(found)
        new = pick(random, match[group], others)
        return data[: match.start(group)] + new + data[match.end(group) :]

    return exchange


def _any_value(random: Random, _: bytes, others: Sequence[bytes]) -> bytes:
    taken = ASSIGNED.findall(random.choice(others))
    return random.choice(taken) if taken and random.random() < 0.4 else random.choice(VALUES)


def _any_word(random: Random, word: bytes, others: Sequence[bytes]) -> bytes:
    if random.random() < 0.4:
        at = random.randrange(len(word))
        return word[:at] + word[at + 1 :] + random.choice((b"", word[at : at + 1]))
    return random.choice(WORD.findall(random.choice(others)) or [word])


def _other_number(random: Random, number: bytes, _: Sequence[bytes]) -> bytes:
    value = float(number) * random.choice((0.0, -1.0, 0.1, 0.9, 1.1, 10.0, 1e3, 1e6, 1e-6, 1e9))
    return repr(int(value) if isfinite(value) and random.random() < 0.5 else value).encode()


MUTATIONS: tuple[Mutation, ...] = (
    _cut, _truncated, _flipped, _token_put_in, _token_put_in, _repeated, _spliced, _lines_moved, _lines_moved,
    _exchanged(ASSIGNED, 1, _any_value), _exchanged(ASSIGNED, 1, _any_value), _exchanged(WORD, 0, _any_word),
    _exchanged(NUMBER, 0, _other_number), _exchanged(NUMBER, 0, _other_number), _exchanged(NUMBER, 0, _other_number),
)  # fmt: skip
