"""A shop of its own for every test that asks: app, clock, phones."""

import pytest
from handset import Handset
from trammel import config, procedures, setup
from trammel import people as enrolling


class SetClock:
    """A clock that stands until a test moves it."""

    def __init__(self, seconds=1_773_480_360.0):
        self.seconds = seconds

    def __call__(self):
        return self.seconds

    def forward(self, seconds):
        self.seconds += seconds


@pytest.fixture
def clock():
    return SetClock()


@pytest.fixture
def settings(tmp_path):
    """The settings of the shop; a test that wants others overrides this fixture."""
    return config.read({}, data=tmp_path / "shop", pwa=tmp_path / "pwa")


@pytest.fixture
def app(settings, clock, tmp_path, monkeypatch):
    # What a test needs of procedures it publishes itself; those that come along have tests of their own.
    monkeypatch.setattr(procedures, "PACKED", tmp_path / "no-procedures")
    return setup.init(settings, clock).app


@pytest.fixture
def client(app):
    return app.test_client()


@pytest.fixture
def code_for(app):
    """code_for(NAME, role, …) writes a person into the register and gives the enrolment code."""

    def make(name="Ada Finch", *roles):
        with app.app_context():
            return enrolling.add(name, list(roles) or ["mechanic"])[1]

    return make


@pytest.fixture
def enrolled(app, code_for):
    """enrolled(NAME, role, …) gives a phone with a session."""

    def make(name="Ada Finch", *roles):
        phone = Handset(app.test_client())
        phone.enrol(code_for(name, *roles))
        return phone

    return make


@pytest.fixture
def phone(enrolled):
    return enrolled()
