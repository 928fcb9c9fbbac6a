"""Puts the built phone app into the wheel as trammel/pwa, so that one wheel is all that a shop needs."""

from pathlib import Path

from hatchling.builders.hooks.plugin.interface import BuildHookInterface


class PhoneApp(BuildHookInterface):
    def initialize(self, version, build_data):
        built = Path(self.root, "pwa", "dist")
        # An editable install serves pwa/dist where it stands; a copy would only grow stale.
        if version == "editable" or not (built / "index.html").is_file():
            return
        build_data["force_include"][str(built)] = "trammel/pwa"
