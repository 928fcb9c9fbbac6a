"""Makes the app's font from the registry package: Latin letters, the weights used, kerning, both figures.

Run it with a Python that has fonttools and brotli (the server's environment does), after `npm ci`:
    python scripts/subset-font.py
"""

from pathlib import Path

from fontTools import subset
from fontTools.ttLib import TTFont
from fontTools.varLib import instancer

HERE = Path(__file__).resolve().parent.parent
PACKAGE = HERE / "node_modules/@fontsource-variable/atkinson-hyperlegible-next"
SOURCE = PACKAGE / "files/atkinson-hyperlegible-next-latin-wght-normal.woff2"
TARGET = HERE / "src/fonts/atkinson-hyperlegible-next.woff2"

LETTERS = {*range(0x20, 0x7F), *range(0xA0, 0x100), *map(ord, "–—‘’“”…‹›⁄−Œœ")}
WEIGHTS = (400, 800)
FEATURES = ["ccmp", "locl", "tnum", "pnum", "kern", "mark", "mkmk"]


def main():
    font = instancer.instantiateVariableFont(TTFont(SOURCE), {"wght": WEIGHTS})
    options = subset.Options(layout_features=FEATURES, hinting=False, flavor="woff2")
    maker = subset.Subsetter(options)
    maker.populate(unicodes=LETTERS)
    maker.subset(font)
    font.flavor = "woff2"
    # The same bytes from the same package, whoever runs this.
    font.recalcTimestamp = False
    font.save(TARGET)
    print(f"{TARGET.relative_to(HERE)}: {TARGET.stat().st_size} bytes")


if __name__ == "__main__":
    main()
