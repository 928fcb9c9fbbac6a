"""A check from outside the project: what a working found, and what another source says.

within: how far they may differ (the last printed figure, or what that source's own rounding leaves).
read: "text" read in the source or a true copy; "secondary" as others quote it; "memory" from memory, a check
of plausibility only; "library" worked out by a reference library; "hand" a closed form worked by hand;
"practice" common practice, no source.
"""

from collections import namedtuple

from workings import registry

READ = ("text", "secondary", "memory", "library", "hand", "practice")
Check = namedtuple("Check", "working what source read found wanted within")

INCH, FOOT, POUND, PSI = 0.0254, 0.3048, 0.45359237, 6894.757293168361
HOUR = 3600.0


def run(id, **inputs):
    return registry.run(id, inputs)


def fahrenheit(kelvin):
    return (kelvin - 273.15) * 1.8 + 32
