"""The state as found: how far the wheelsets have turned against each other, from measured pins."""

import math

from workings.errors import WorkingError
from workings.running_gear import separation
from workings.working import given_text, in_words

# Where the sines of both crank angles differ by less, both sides say the same.
LEAST_SINES = 0.1
# Below this a step of turn moves no pin by more than the last bit of a distance.
SETTLED = 1e-13
SMALL = 1e-6


class Side:
    """One side of the engine: a rod, two pins, and the axle spacing on that side."""

    def __init__(self, throw, spacing, rod, angle):
        self.throw = throw
        self.spacing = spacing
        self.rod = rod
        self.angle = angle

    def pins(self, turn, rise):
        """(distance, its derivative by turn, by rise) with the rear wheelset turned and raised."""
        rear = self.angle + turn
        dx, dy = separation(self.spacing, self.throw, self.angle, self.throw, rear, rise)
        distance = math.sqrt(dx * dx + dy * dy)
        return distance, self.throw * (dx * math.sin(rear) + dy * math.cos(rear)) / distance, -dy / distance


def least_squares_turn(sides, measured):
    """The turn that fits the measured distances best, nearest zero: Gauss-Newton from zero."""

    def error(turn):
        total = 0.0
        for side, distance in zip(sides, measured):
            total += (side.pins(turn, 0.0)[0] - distance) ** 2
        return total

    turn, now = 0.0, error(0.0)
    for _ in range(100):
        up = down = 0.0
        for side, distance in zip(sides, measured):
            found, slope, _rise = side.pins(turn, 0.0)
            up += (distance - found) * slope
            down += slope * slope
        step = up / down if down else 0.0
        # Half the step until it helps, so that it settles in the first hollow from zero. A small step
        # is taken as it is: so near the bottom the sums no longer tell better from worse.
        for _half in range(40):
            after = error(turn + step)
            if after <= now or abs(step) < SMALL:
                break
            step /= 2
        turn, now = turn + step, after
        if abs(step) < SETTLED:
            break
    return turn


def solve_spacing(throw, angles, measured):
    """(turn, spacing) that give both measured distances exactly, nearest to no turn at all."""
    left, right = angles

    def spacing(angle, distance, turn):
        across = throw * (math.sin(angle + turn) - math.sin(angle))
        square = distance * distance - across * across
        if square <= 0:
            return None, 0.0
        along = math.sqrt(square)
        value = along - throw * (math.cos(angle) - math.cos(angle + turn))
        return value, -across * throw * math.cos(angle + turn) / along - throw * math.sin(angle + turn)

    turn = 0.0
    for _ in range(60):
        a, a_slope = spacing(left, measured[0], turn)
        b, b_slope = spacing(right, measured[1], turn)
        if a is None or b is None or a_slope == b_slope:
            break
        step = (a - b) / (a_slope - b_slope)
        turn -= step
        if abs(turn) > 1:
            break
        if abs(step) < SETTLED:
            return turn, (a + b) / 2
    raise WorkingError(
        "left_pin_distance",
        given_text(measured[0], "length"),
        "distances that go with each other",
        "left_pin_distance: with the right side's {} no axle spacing and turn of the wheels give both; "
        "measure again, or give axle_spacing.".format(in_words(measured[1])),
    )


def as_found(throw, angles, rods, measured, spacings):
    """(turn_error, (left, right) spacing) from the measured distances; spacings None: solve them."""
    if spacings is None:
        if abs(math.sin(angles[0]) - math.sin(angles[1])) < LEAST_SINES:
            raise WorkingError(
                "axle_spacing",
                "nothing",
                "the measured axle spacing",
                "axle_spacing: must be given here; at this crank angle the pins of both sides move alike, so "
                "spacing and turn cannot be told apart.",
            )
        turn, spacing = solve_spacing(throw, angles, measured)
        if spacing <= 0:
            raise WorkingError(
                "left_pin_distance",
                given_text(measured[0], "length"),
                "distances from which an axle spacing above 0 follows",
            )
        spacings = (spacing, spacing)
        return turn, spacings
    if math.sin(angles[0]) ** 2 + math.sin(angles[1]) ** 2 < LEAST_SINES**2:
        raise WorkingError(
            "crank_angle",
            given_text(angles[0], "angle"),
            "an angle off the dead centres",
            "crank_angle: both sides' pins stand at a dead centre here, where their distance tells nothing "
            "of the turn; measure at another crank angle.",
        )
    for name, distance, spacing in (
        ("left_pin_distance", measured[0], spacings[0]),
        ("right_pin_distance", measured[1], spacings[1]),
    ):
        if abs(distance - spacing) > 2 * throw:
            raise WorkingError(
                name,
                given_text(distance, "length"),
                "within two crank throws of the axle spacing, " + in_words(spacing),
            )
    sides = [Side(throw, spacings[k], rods[k], angles[k]) for k in (0, 1)]
    return least_squares_turn(sides, measured), spacings


def chosen_spacings(axle_spacing, left_axle_spacing, right_axle_spacing):
    """(left, right) as given, or None where they are to be found."""
    if left_axle_spacing is None and right_axle_spacing is None:
        return None if axle_spacing is None else (axle_spacing, axle_spacing)
    for name, value, other, other_name in (
        ("left_axle_spacing", left_axle_spacing, right_axle_spacing, "right_axle_spacing"),
        ("right_axle_spacing", right_axle_spacing, left_axle_spacing, "left_axle_spacing"),
    ):
        if other is None:
            raise WorkingError(name, given_text(value, "length"), other_name + " beside it")
    if axle_spacing is not None:
        raise WorkingError(
            "axle_spacing",
            given_text(axle_spacing, "length"),
            "either axle_spacing alone, or left_axle_spacing and right_axle_spacing",
        )
    return left_axle_spacing, right_axle_spacing
