"""Cylinder, stays, boiler, springs and repeated jobs against sources outside the project."""

import outside_check
import outside_checks_boiler
import outside_checks_cylinder
import pytest
import workings_at_random_boiler

CHECKS = outside_checks_boiler.checks() + outside_checks_cylinder.checks()


@pytest.mark.parametrize("check", CHECKS, ids=[f"{c.working}: {c.what} ({c.source})" for c in CHECKS])
def test_the_working_agrees_with(check):
    assert abs(check.found - check.wanted) <= check.within, check


def test_every_working_of_these_subjects_is_checked_from_outside():
    assert {check.working for check in CHECKS} == set(workings_at_random_boiler.ALL)
    assert all(check.read in outside_check.READ for check in CHECKS)
