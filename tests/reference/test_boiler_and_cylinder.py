"""Cylinder, stays, boiler, springs and repeated jobs against sources outside the project."""

import outside_checks_boiler
import pytest

CHECKS = outside_checks_boiler.checks()


@pytest.mark.parametrize("check", CHECKS, ids=[f"{c.working}: {c.what} ({c.source})" for c in CHECKS])
def test_the_working_agrees_with(check):
    assert abs(check.found - check.wanted) <= check.within, check


def test_every_working_of_these_subjects_is_checked_from_outside():
    assert {check.working for check in CHECKS} == set(outside_checks_boiler.WORKINGS)
    assert all(check.read in outside_checks_boiler.READ for check in CHECKS)
