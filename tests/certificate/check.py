"""Checks the bounds of `rollwright nest --certificate` from the instance file alone.

    python3 check.py INSTANCES.json CERTIFICATES.json

A certificate gives each piece i a price p_i and each roll k a number z_k, and claims that no
layout of roll k holds pieces worth more than z_k. Then R_k rolls hold at most sum z_k R_k, which
must be at least sum d_i p_i, and the least cost of such R_k (a fractional knapsack) is the bound.

Two claims are checked, in whole numbers throughout:

1. no layout is worth more than z_k. Straight cutting in two stages is computed exactly: the best
   pull of each length is a knapsack across the roll in which a kind of piece may be taken as often
   as it is wanted, in the turns it may take; the best roll is a knapsack of pulls. In three stages a
   strip of a pull holds a stack of pieces no wider than the strip: a knapsack along the pull for each
   width and turn, then strips across, then pulls along. Where no two priced pieces fit side by side, in
   any style, one knapsack along, each piece at most as often as it is wanted. Any number of stages, free cutting of
   rectangles, and three stages before that: the certificate's scales weigh sizes across and along, and
   a piece's price is at most the product of its weights however it lies. The most that sizes weigh
   which fit side by side, F, and one behind the other, G, are two knapsacks in one dimension, and no
   packing of the roll is worth more than F * G (Fekete and Schepers 2004, theorem 3; a size occurs at
   most as often as pieces have it). Freely cut pieces keep a gap corner to corner: two are gap / sqrt 2
   apart across or along, rounded down to tenths of a millimetre. Without scales, outlines too, prices must be areas or less.
2. the bound printed follows from prices and z_k.

Prints how many were checked; whatever cannot be checked is named with the reason. Exit code 1
where a bound is wrong. Standard library only; shares nothing with the program.
"""

import json
import sys
from fractions import Fraction
from functools import reduce
from math import gcd, isqrt

UNITS = {"mm": 1000000, "cm": 10000000, "m": 1000000000, "in": 25400000, "ft": 304800000}
MOST_WORK = 60_000_000


class Unchecked(Exception):
    """The reason why a bound is not checked."""


def nm(value):
    """Whole nanometres of a number of millimetres or of text such as `23 15/16 in`."""
    if isinstance(value, str):
        total, pending = Fraction(0), Fraction(0)
        for word in value.split():
            if word in UNITS:
                total, pending = total + pending * UNITS[word], Fraction(0)
            else:
                pending += Fraction(word)
        value, scale = (total + pending * UNITS["mm"]), 1
    else:
        scale = UNITS["mm"]
    exact = Fraction(value) * scale
    return round(exact)


def forms(piece):
    """The sizes (across, along) in which a piece may lie."""
    if "outline" in piece:
        raise Unchecked("outlines")
    size = (nm(piece["width"]), nm(piece["length"]))
    turns = piece.get("turns", [0])
    turns = [0, 90] if turns is None else turns
    return sorted({size if turn % 180 == 0 else size[::-1] for turn in turns})


def plain(piece):
    """A piece whose outline is nothing but its box is a rectangle, as it is for the program."""
    if "outline" not in piece:
        return piece
    across = [nm(x) for x, _ in piece["outline"]]
    along = [nm(y) for _, y in piece["outline"]]
    width, length = max(across) - min(across), max(along) - min(along)
    if area(piece, 0) != width * length:
        return piece
    sides = {"width": Fraction(width, UNITS["mm"]), "length": Fraction(length, UNITS["mm"])}
    return {key: value for key, value in piece.items() if key != "outline"} | sides


def area(piece, gap):
    """The area that a piece takes: a rectangle's with its gap, an outline's own (rounded down)."""
    if "outline" not in piece:
        (w, l) = forms(piece)[0]
        return (w + gap) * (l + gap)
    corners = [(nm(x), nm(y)) for x, y in piece["outline"]]
    pairs = zip(corners, corners[1:] + corners[:1])
    return abs(sum(p[0] * q[1] - p[1] * q[0] for p, q in pairs)) // 2


def apart(cutting):
    """How far two pieces are apart across or along at least."""
    gap = nm(cutting.get("gap") or 0)
    if cutting["style"] == "straight":
        return gap
    near, tenth = isqrt(gap * gap // 2), UNITS["mm"] // 10
    return near if near < tenth else near // tenth * tenth


def usable(roll, cutting):
    """Usable size with one gap more, so that every piece brings its own."""
    gap = apart(cutting)
    across = nm(roll["width"]) - 2 * nm(cutting.get("edge_trim") or 0) + gap
    if roll["length"] is None:
        return across, None
    return across, nm(roll["length"]) - nm(cutting.get("square_cut") or 0) + gap


def best_pulls(width, kinds, lengths, scale):
    """For each pull length the most that fits across: at most `demand` of each kind."""
    best = {}
    room = width // scale
    for length in lengths:
        row = [0] * (room + 1)
        for price, demand, sizes in kinds:
            widths = [-(-w // scale) for w, l in sizes if l <= length]
            if not widths or price == 0:
                continue
            for _ in range(min(demand, room // min(widths))):
                new = row[:]
                for w in widths:
                    for at in range(w, room + 1):
                        worth = row[at - w] + price
                        if worth > new[at]:
                            new[at] = worth
                if new == row:
                    break
                row = new
        best[length] = row[room]
    return best


def best_roll(length, pulls, scale):
    """The most that pulls hold along a roll."""
    room = length // scale
    value = [0] * (room + 1)
    for at in range(1, room + 1):
        most = value[at - 1]
        for pull, worth in pulls:
            step = -(-pull // scale)
            if step <= at and value[at - step] + worth > most:
                most = value[at - step] + worth
        value[at] = most
    return value[room]


def check_two_stages(instance, prices, most):
    cutting = instance["cutting"]
    gap = nm(cutting.get("gap") or 0)
    kinds = []
    for piece, price in zip(instance["pieces"], prices):
        sizes = [(w + gap, l + gap) for w, l in forms(piece)]
        kinds.append((price, piece["quantity"], sizes))
    limit = cutting.get("pull_limit")
    limit = None if limit is None else nm(limit) + gap
    lengths = sorted({l for _, _, sizes in kinds for _, l in sizes if limit is None or l <= limit})
    across = reduce(gcd, [w for _, _, sizes in kinds for w, _ in sizes])
    along = reduce(gcd, lengths)
    for roll, entry in zip(instance["rolls"], most):
        width, length = usable(roll, cutting)
        work = len(lengths) * (width // across) * sum(
            min(d, max(1, width // min(w for w, _ in sizes))) for _, d, sizes in kinds)
        work += 0 if length is None else length // along * len(lengths)
        if work > MOST_WORK:
            raise Unchecked("too large for this script")
        best = best_pulls(width, kinds, lengths, across)
        if length is None:
            per = nm(entry["per"])
            for pull, worth in best.items():
                if worth * per > entry["worth"] * pull:
                    raise ValueError(f"a pull of {pull} nm is worth {worth}: more than claimed")
        else:
            worth = best_roll(length, list(best.items()), along)
            if worth > entry["worth"]:
                raise ValueError(f"roll {roll['id']} holds {worth}, more than {entry['worth']}")


def check_alone(instance, prices, most):
    """Whether no two priced pieces lie side by side, and then that no roll holds more along."""
    cutting = instance["cutting"]
    gap = apart(cutting)
    limit = cutting.get("pull_limit")
    limit = None if limit is None else nm(limit) + gap
    rooms = [usable(roll, cutting) for roll in instance["rolls"]]
    kinds = []
    for piece, price in zip(instance["pieces"], prices):
        if price == 0 or piece["quantity"] == 0:
            continue
        if "outline" in piece or piece.get("turns", [0]) is None:
            return False
        lies = [(w + gap, l + gap) for w, l in forms(piece)]
        lies = [(w, l) for w, l in lies if (limit is None or l <= limit) and any(
            w <= width and (length is None or l <= length) for width, length in rooms)]
        if not lies:
            return False
        kinds.append((price, piece["quantity"], lies))
    narrow = sorted(w for _, demand, lies in kinds
                    for w in [min(w for w, _ in lies)] * min(demand, 2))
    if not narrow or sum(narrow[:2]) <= max(width for width, _ in rooms) and len(narrow) > 1:
        return False
    step = reduce(gcd, [l for _, _, lies in kinds for _, l in lies])
    for (width, length), roll, entry in zip(rooms, instance["rolls"], most):
        there = [(price, demand, min(l for w, l in lies if w <= width))
                 for price, demand, lies in kinds if any(w <= width for w, _ in lies)]
        if length is None:
            per = nm(entry["per"])
            if any(price * per > entry["worth"] * l for price, _, l in there):
                raise ValueError(f"a piece on roll {roll['id']} is worth more than claimed")
            continue
        room = length // step
        if room * sum(demand.bit_length() for _, demand, _ in there) > MOST_WORK:
            raise Unchecked("too large for this script")
        row = [0] * (room + 1)
        for price, demand, l in there:
            left, part = min(demand, length // l), 1
            while left:
                part = min(part, left)
                shift, gain = part * (l // step), part * price
                row = row[:shift] + [max(a, b + gain) for a, b in zip(row[shift:], row)]
                left, part = left - part, 2 * part
        if row[room] > entry["worth"]:
            raise ValueError(f"roll {roll['id']} holds {row[room]}, more than {entry['worth']}")
    return True


def stacks(kinds, room, along):
    """For each strip width, the most that a stack is worth on every length up to `room` steps."""
    sizes = sorted({(w, l, number) for number, (_, _, all_) in enumerate(kinds) for w, l in all_})
    value, strips = [0] * (room + 1), {}
    for w, l, number in sizes:
        price, demand, _ = kinds[number]
        step = l // along
        for _ in range(min(demand, room // step) if price else 0):
            new = value[:]
            for at in range(step, room + 1):
                new[at] = max(new[at], value[at - step] + price)
            if new == value:
                break
            value = new
        strips[w] = value
    return strips


def check_three_stages(instance, prices, most):
    cutting = instance["cutting"]
    gap = nm(cutting.get("gap") or 0)
    kinds = []
    for piece, price in zip(instance["pieces"], prices):
        kinds.append((price, piece["quantity"], [(w + gap, l + gap) for w, l in forms(piece)]))
    across = reduce(gcd, [w for _, _, sizes in kinds for w, _ in sizes])
    along = reduce(gcd, [l for _, _, sizes in kinds for _, l in sizes])
    limit = cutting.get("pull_limit")
    for roll, entry in zip(instance["rolls"], most):
        width, length = usable(roll, cutting)
        if length is None:
            raise Unchecked("prices that are no areas, three stages and rolls without end")
        pull = length if limit is None else min(length, nm(limit) + gap)
        room, wide = pull // along, width // across
        if room * wide * 2 * len(kinds) > MOST_WORK:
            raise Unchecked("too large for this script")
        strips = [(w // across, value) for w, value in stacks(kinds, room, along).items()]
        pulls, before = [], 0
        for l in range(1, room + 1):
            row = [0] * (wide + 1)
            for at in range(1, wide + 1):
                row[at] = max([row[at - 1]] + [row[at - w] + v[l] for w, v in strips if w <= at])
            if row[wide] > before:
                before = row[wide]
                pulls.append((l * along, before))
        worth = best_roll(length, pulls, along)
        if worth > entry["worth"]:
            raise ValueError(f"roll {roll['id']} holds {worth}, more than {entry['worth']}")


def heaviest(weights, copies, room):
    """The most that sizes weigh which fit in a room, each at most so many times."""
    step = reduce(gcd, weights)
    room = room // step
    work = sum(min(copies[size], room * step // size).bit_length() for size in weights) * room
    if work > 5 * MOST_WORK:
        raise Unchecked("too large for this script")
    row = [0] * (room + 1)
    for size, weight in weights.items():
        left, part = min(copies[size], room * step // size), 1
        while left and weight > 0:
            part = min(part, left)
            shift, gain = part * (size // step), part * weight
            row = row[:shift] + [max(a, b + gain) for a, b in zip(row[shift:], row)]
            left, part = left - part, 2 * part
    return row[room]


def check_scales(instance, prices, most, scales):
    """Prices are products of weights, and what fits in each direction weighs no more than claimed."""
    cutting = instance["cutting"]
    gap = apart(cutting)
    # Scales are told by sizes with the whole gap.
    less = nm(cutting.get("gap") or 0) - gap
    limit = cutting.get("pull_limit")
    limit = None if limit is None else nm(limit) + gap
    rooms = [usable(roll, cutting) for roll in instance["rolls"]]

    if cutting["style"] == "free" and any(p.get("turns", [0]) is None for p in instance["pieces"]):
        raise ValueError("scales are given, but pieces may lie at any angle")

    def fits(width, length):
        inside = any(width <= w and (l is None or length <= l) for w, l in rooms)
        return inside and (limit is None or length <= limit)

    weights = [{nm(size) - less: weight for size, weight in scales[side]} for side in ("across", "along")]
    copies = [dict.fromkeys(side, 0) for side in weights]
    for piece, price in zip(instance["pieces"], prices):
        lies = [(w + gap, l + gap) for w, l in forms(piece) if fits(w + gap, l + gap)]
        for side in (0, 1):
            for size in {form[side] for form in lies}:
                copies[side][size] += piece["quantity"]
        if any(price > weights[0][w] * weights[1][l] for w, l in lies):
            raise ValueError(f"the price of {piece['id']} is more than the product of its weights")
    known = {}
    for (width, length), roll, entry in zip(rooms, instance["rolls"], most):
        for side, room in ((0, width), (1, length)):
            if room is not None and (side, room) not in known:
                known[side, room] = heaviest(weights[side], copies[side], room)
        if length is None:
            # Along a roll without end nothing has to fit: the heaviest size for its length counts.
            length = nm(entry["per"])
            along = max(Fraction(weight, size) for size, weight in weights[1].items()) * length
        else:
            along = known[1, length]
        if known[0, width] * along > entry["worth"]:
            raise ValueError(f"roll {roll['id']} may hold {known[0, width] * along}, more than claimed")


def check_area(instance, prices, most):
    """Prices at most in proportion to area, and each roll worth at least its own area."""
    cutting = instance["cutting"]
    gap = apart(cutting)
    for roll, entry in zip(instance["rolls"], most):
        width, length = usable(roll, cutting)
        length = nm(entry["per"]) if length is None else length
        for piece, price in zip(instance["pieces"], prices):
            if price * width * length > entry["worth"] * area(piece, gap):
                raise Unchecked("prices that are no areas, and no scales beside them")


def cost(instance, roll):
    if instance["objective"] == "price":
        return Fraction(str(roll.get("price", 1)))
    return Fraction(1)


def bound(instance, prices, most):
    """The bound that follows from prices and worths."""
    worth = sum(p["quantity"] * price for p, price in zip(instance["pieces"], prices))
    if worth <= 0:
        return Fraction(0)
    cutting = instance["cutting"]
    if instance["objective"] == "length":
        pulls = -(-worth * nm(most[0]["per"]) // most[0]["worth"])
        askew = cutting["style"] == "free" and any(
            piece.get("turns", [0]) is None for piece in instance["pieces"])
        if not askew and not any("outline" in piece for piece in instance["pieces"]):
            # Rectangles can be pushed to the front, so the length is a sum of sides (and gaps).
            gap = apart(cutting)
            step = reduce(gcd, [l + gap for p in instance["pieces"] for _, l in forms(p)])
            pulls = -(-pulls // step) * step
        front = nm(cutting.get("square_cut") or 0) - apart(cutting)
        return Fraction(pulls + front, UNITS["mm"])
    rolls = [(cost(instance, r), m["worth"], r.get("available"))
             for r, m in zip(instance["rolls"], most) if m["worth"] > 0]
    rolls.sort(key=lambda r: r[0] / r[1])
    spent = Fraction(0)
    for price, holds, available in rolls:
        if available is None or available * holds >= worth:
            spent += price * Fraction(worth, holds)
            break
        worth -= available * holds
        spent += price * available
    # Whole rolls cost a sum of prices, so the bound may go up to the least one that can be.
    costs = [cost(instance, r) for r in instance["rolls"] if r.get("available") != 0]
    step = Fraction(reduce(gcd, [int(c * 1000000) for c in costs]), 1000000)
    return least_sum([int(c / step) for c in costs], -(-spent // step)) * step if step else spent


def least_sum(prices, least):
    """The least sum of prices, each taken any number of times, that is not below `least`."""
    most = least + max(prices)
    if most > 1000000:
        return least
    reached = [True] + [False] * most
    for price in filter(None, prices):
        for total in range(price, most + 1):
            reached[total] = reached[total] or reached[total - price]
    return next(total for total in range(least, most + 1) if reached[total])


def check(instance, certificate):
    if certificate["prices"] is None:
        raise Unchecked(f"rests on {certificate['basis']}, not on prices")
    names = [piece["id"] for piece in instance["pieces"]]
    if names != [entry["piece"] for entry in certificate["prices"]]:
        raise ValueError("the prices are for other pieces")
    prices = [entry["price"] for entry in certificate["prices"]]
    most = certificate["most"]
    if min(prices) < 0:
        raise ValueError("a price is negative")
    follows = bound(instance, prices, most)
    printed = Fraction(str(certificate["bound"]))
    if printed > follows:
        raise ValueError(f"bound {printed} is given, but {follows} follows")
    cutting = instance["cutting"]
    if certificate.get("scales") is None and check_alone(instance, prices, most):
        return
    if cutting["style"] == "straight" and cutting.get("stages") == 2:
        check_two_stages(instance, prices, most)
        return
    if certificate.get("scales") is not None:
        check_scales(instance, prices, most, certificate["scales"])
        return
    try:
        check_area(instance, prices, most)
    except Unchecked:
        if cutting["style"] != "straight" or cutting.get("stages") != 3:
            raise
        check_three_stages(instance, prices, most)


def main(instances, certificates):
    with open(instances, encoding="utf-8") as file:
        instances = json.load(file, parse_float=Fraction)
    instances = instances if isinstance(instances, list) else [instances]
    with open(certificates, encoding="utf-8") as file:
        certificates = {c["name"]: c for c in json.load(file)}
    checked, unchecked, wrong = 0, 0, 0
    for instance in instances:
        name = instance["name"]
        if name not in certificates:
            continue
        instance["pieces"] = [plain(piece) for piece in instance["pieces"]]
        try:
            check(instance, certificates[name])
            checked += 1
        except Unchecked as reason:
            unchecked += 1
            print(f"unchecked {name}: {reason}")
        except ValueError as what:
            wrong += 1
            print(f"WRONG {name}: {what}")
    print(f"checked {checked}, unchecked {unchecked}, wrong {wrong}")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
