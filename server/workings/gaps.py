"""Missing numbers: what a key signed about a card and has not arrived (rule 19).

Everything goes by runs and not by numbers: a key that jumps by a million must cost nothing.
"""

from workings import entries as form


def find(card):
    """{kid: runs} of the numbers missing below the highest admitted entry of each key, the accepted ones aside."""
    accepted, out = {}, {}
    for e in card.of_kind("gap-accepted"):
        accepted.setdefault(e.body["key"], []).extend(form.read_runs(e.body["runs"]))
    for kid in card.admitted:
        # What is here is not missing, whether or not it counts.
        rising = card.rising[kid]
        if rising[-1] == len(rising):
            continue
        gone = missing(rising, 1, card.admitted[kid])
        if gone and kid in accepted:
            gone = _without(gone, sorted(accepted[kid]))
        if gone:
            out[kid] = runs_text(gone)
    return out


def missing(numbers, first, last):
    """Runs (first, last) of what rising numbers leave out between first and last."""
    out, at = [], first
    for n in numbers:
        if n > last:
            break
        if n > at:
            out.append((at, n - 1))
        if n >= at:
            at = n + 1
    if at <= last:
        out.append((at, last))
    return out


def at(rising, number):
    """The place of the first of rising numbers that is not below this one."""
    low, high = 0, len(rising)
    while low < high:
        middle = (low + high) // 2
        if rising[middle] < number:
            low = middle + 1
        else:
            high = middle
    return low


def runs_text(runs):
    return ",".join(["%d-%d" % r if r[1] > r[0] else "%d" % r[0] for r in runs])


def _without(runs, taken):
    out = []
    for first, last in runs:
        at = first
        for a, b in taken:
            if b < at or a > last:
                continue
            if a > at:
                out.append((at, a - 1))
            at = b + 1
        if at <= last:
            out.append((at, last))
    return out
