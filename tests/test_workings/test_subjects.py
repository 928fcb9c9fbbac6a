"""The registry's list of subjects is what the modules themselves hold."""

import importlib

from workings import registry


def test_every_subject_holds_the_workings_it_is_listed_with():
    for subject, listed in registry.SUBJECTS.items():
        module = importlib.import_module("workings." + subject)
        assert tuple(sorted(working.id for working in module.WORKINGS)) == tuple(sorted(listed)), subject


def test_a_working_belongs_to_one_subject():
    listed = [id for its in registry.SUBJECTS.values() for id in its]
    assert len(listed) == len(set(listed)) and registry.ids() == sorted(listed)
