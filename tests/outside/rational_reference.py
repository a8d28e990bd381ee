#!/usr/bin/env python3
"""Checks the exact numbers against Python's `fractions` and `decimal` (the CPython standard library).

usage: rational_reference.py PROBE        where PROBE is the built num_probe
"""
import random
import subprocess
import sys
from decimal import ROUND_DOWN, ROUND_HALF_UP, ROUND_UP, Decimal, localcontext
from fractions import Fraction
from math import ceil, floor, gcd, lcm

MOST = 2**127 - 1
WAYS = {"nearest": ROUND_HALF_UP, "down": ROUND_DOWN, "up": ROUND_UP}


def show(value):
    if abs(value.numerator) > MOST or value.denominator > MOST:
        return "overflow"
    return str(value)


def some(rng, bits):
    def whole():
        return rng.getrandbits(rng.randint(1, bits))
    return Fraction(rng.choice([1, -1]) * whole(), whole() or 1)


def quantized(value, decimals, way):
    with localcontext() as context:
        context.prec = 400
        out = value.quantize(Decimal(1).scaleb(-decimals), rounding=WAYS[way])
        return f"{abs(out) if out == 0 else out:f}"


def fixed(value, decimals, way):
    scaled = abs(value) * 10**decimals
    whole = {"nearest": floor(scaled + Fraction(1, 2)), "down": floor(scaled), "up": ceil(scaled)}[way]
    text = str(whole).rjust(decimals + 1, "0")
    text = text[:-decimals] + "." + text[-decimals:] if decimals else text
    return ("-" if value < 0 and whole else "") + text


def settled(value, way):
    """The decimal that people see; for a direction, of 15 significant digits."""
    seen = Decimal(repr(value))
    if way != "nearest":
        with localcontext() as context:
            context.prec, context.rounding = 15, ROUND_HALF_UP
            seen = +seen
    return seen


def significant(value, digits, way):
    with localcontext() as context:
        context.prec, context.rounding = digits, WAYS[way]
        out = f"{+settled(value, way):f}"
    if "." in out:
        out = out.rstrip("0").rstrip(".")
    return "0" if out in ("-0", "") else out


def plain(text):
    out = f"{Decimal(text):f}"
    out = out.rstrip("0").rstrip(".") if "." in out else out
    return "0" if out == "-0" else out


def exact(value):
    if 10**12 % value.denominator == 0:
        with localcontext() as context:
            context.prec = 100
            text = plain(str(Decimal(value.numerator) / Decimal(value.denominator)))
        if len(text.strip("-").replace(".", "")) <= 40:
            return text
    return str(value)


def shares(weights, total):
    if not any(weights):
        return [0] * len(weights)
    quotas = [w * total / sum(weights) for w in weights]
    out = [floor(q) for q in quotas]
    order = sorted(range(len(weights)), key=lambda i: (-(quotas[i] - out[i]), i))
    for i in order[: total - sum(out)]:
        out[i] += 1
    return out


def shares_of_one(weights, total):
    held = set()
    while True:
        left = total - len(held)
        rest = sum(w for i, w in enumerate(weights) if i not in held)
        small = {i for i, w in enumerate(weights) if w and i not in held and w * left < rest}
        if not small:
            shared = shares([0 if i in held else w for i, w in enumerate(weights)], left)
            return [1 if i in held else n for i, n in enumerate(shared)]
        held |= small


def ratio(parts):
    top = gcd(*(p.numerator for p in parts))
    bottom = lcm(*(p.denominator for p in parts))
    return [int(p * bottom / top) for p in parts]


def between(parts, least, most):
    small = ratio(parts)
    k = most // sum(small)
    if k and k * sum(small) >= least:
        return f"{' '.join(str(n * k) for n in small)} of {k} error 0"
    best = None
    for total in range(most, max(least, len(parts), 1) - 1, -1):
        drops = shares_of_one(parts, total)
        error = max(abs(Fraction(d, total) * sum(parts) / p - 1) for d, p in zip(drops, parts))
        if best is None or error < best[0]:
            best = (error, drops)
    if best is None:
        return "none of 0 error 0"
    return f"{' '.join(map(str, best[1]))} of 0 error {best[0]}"


def questions(rng):
    """Pairs of a question to the probe and the answer that the reference gives."""
    for turn in range(40000):
        a, b = some(rng, (12, 64, 127)[turn % 3]), some(rng, (12, 64, 127)[turn % 3])
        if turn % 5 == 0:
            b = a + Fraction(1, rng.getrandbits(60) + 1)
            if show(b) == "overflow":
                continue
        yield f"add {a} {b}", show(a + b)
        yield f"sub {a} {b}", show(a - b)
        yield f"mul {a} {b}", show(a * b)
        yield f"div {a} {b}", show(a / b) if b else "overflow"
        yield f"cmp {a} {b}", str((a > b) - (a < b))
        yield f"floor {a}", str(floor(a))
        yield f"ceil {a}", str(ceil(a))
        yield f"round {a}", str((1 if a >= 0 else -1) * floor(abs(a) + Fraction(1, 2)))
        yield f"double {a}", a.numerator / a.denominator   # true division of whole numbers rounds correctly
        decimals, way = rng.randint(0, 12), rng.choice(list(WAYS))
        yield f"fixed {a} {decimals} {way}", fixed(a, decimals, way)
        tidy = Fraction(a.numerator, 2**rng.randint(0, 14) * 5**rng.randint(0, 14))
        if show(tidy) != "overflow":
            yield f"exact {tidy}", exact(tidy)
    for _ in range(20000):
        digits = "".join(rng.choice("0123456789") for _ in range(rng.randint(1, 42)))
        cut = rng.randint(0, len(digits))
        text = digits[:cut] + "." + digits[cut:]
        if rng.random() < 0.3:
            text = digits
        if rng.random() < 0.2:
            text = text[: len(text) // 2] + rng.choice("-+e./x0") + text[len(text) // 2:]
        text = rng.choice(["", "-"]) + text
        yield f"parse {text}", parsed(text)
    for turn in range(30000):
        value = (rng.uniform(-100, 100), round(rng.uniform(0, 50), rng.randint(0, 5)),
                 rng.uniform(-1, 1) * 10.0**rng.randint(-30, 30), rng.randint(0, 2000) / 1000)[turn % 4]
        decimals, way = rng.randint(0, 12), rng.choice(list(WAYS))
        yield f"fixed_double {value!r} {decimals} {way}", quantized(settled(value, way), decimals, way)
        yield f"significant {value!r} {decimals + 1} {way}", significant(value, decimals + 1, way)
        yield f"shortest {value!r}", plain(repr(value))
    for _ in range(3000):
        parts = [Fraction(rng.randint(1, 40), rng.randint(1, 4)) for _ in range(rng.randint(1, 7))]
        words = " ".join(map(str, parts))
        total = rng.randint(0, 120)
        yield f"apportion {total} any {words}", " ".join(map(str, shares(parts, total)))
        each = " ".join(map(str, shares_of_one(parts, total))) if total >= len(parts) else "none"
        yield f"apportion {total} each {words}", each
        yield f"ratio {words}", " ".join(map(str, ratio(parts)))
        least = rng.randint(1, 60)
        most = least + rng.randint(0, 25)
        yield f"between {least} {most} {words}", between(parts, least, most)
    # fourteen parts, up to sixty drops: four times the ratio
    yield "between 50 60 5 4 3 2", "20 16 12 8 of 4 error 0"


def parsed(text):
    """The grammar of numbers told once more: digits, perhaps a point and digits, or a whole number over another."""
    body = text[1:] if text.startswith("-") else text
    top, slash, bottom = body.partition("/")
    head, point, tail = top.partition(".")
    good = head.isascii() and head.isdigit() and (not point or (tail.isascii() and tail.isdigit()))
    if slash:
        good = good and not point and bottom.isascii() and bottom.isdigit() and int(bottom or 0) > 0
    if not good:
        return "error"
    if len((head + tail).lstrip("0")) > 40 or len(bottom.lstrip("0")) > 40:
        return "error"
    if slash and (int(head) > MOST or int(bottom) > MOST):
        return "overflow"
    return show(Fraction(text))


def main():
    if len(sys.argv) != 2:
        sys.exit(__doc__)
    asked = list(questions(random.Random(20260401)))
    got = subprocess.run([sys.argv[1]], input="\n".join(q for q, _ in asked) + "\n", text=True,
                         capture_output=True, check=True).stdout.splitlines()
    if len(got) != len(asked):
        sys.exit(f"{len(asked)} questions, {len(got)} answers")
    wrong = 0
    for (question, want), answer in zip(asked, got):
        same = float.fromhex(answer) == want if isinstance(want, float) else answer == want
        if not same:
            wrong += 1
            if wrong <= 20:
                print(f"{question}\n    reference {want}\n    scruple   {answer}")
    overflows = sum(want == "overflow" for _, want in asked)
    print(f"{len(asked)} questions ({overflows} overflow), {wrong} wrong")
    sys.exit(1 if wrong else 0)


if __name__ == "__main__":
    main()
