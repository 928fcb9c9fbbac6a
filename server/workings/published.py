"""Published limits and constants, each with where it stands and how it was read.

read: "text" (in the source itself or a true copy of it), "secondary" (as others quote it) or "memory"
(look it up before relying on it). told() is what a person sees among a working's sources.
"""

READ = {
    "text": "read in its text",
    "secondary": "as quoted by others, not read in the source",
    "memory": "from memory: look it up before relying on it",
}
INCH, PSI = 0.0254, 6894.757293168361


def fahrenheit(degrees):
    """Degrees Fahrenheit in kelvins."""
    return (degrees - 32) / 1.8 + 273.15


class Published:
    """One published value in base SI (None where the rule has no number), and where it stands."""

    def __init__(self, value, what, source, section, edition, read):
        self.value = value
        self.what = what
        self.source = source
        self.section = section
        self.edition = edition
        self.read = read

    def told(self):
        return "{} {} ({}): {}; {}.".format(
            self.source, self.section, self.edition, self.what, READ[self.read]
        )


def cfr(value, section, what):
    """A limit of the steam locomotive inspection standards of the United States."""
    return Published(value, what, "49 CFR", section, "64 FR 62865 of 1999, edition of 2015", "text")
