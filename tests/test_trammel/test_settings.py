"""Settings: each documented with its reason, none with a secret that works by itself."""

import stat
from pathlib import Path

import pytest
from trammel import config, create_app, rootkey, setup
from trammel.errors import SetUpError

DEPLOY = Path(__file__).parents[2] / "deploy"


def test_every_setting_has_its_line_in_the_documentation():
    text = (DEPLOY / "settings.md").read_text("utf-8")
    for setting in config.SETTINGS:
        assert f"`{setting.name}`" in text, f"{setting.name} is not in deploy/settings.md"


def test_the_documented_table_is_the_one_that_the_settings_give():
    assert config.table() in (DEPLOY / "settings.md").read_text("utf-8"), (
        "deploy/settings.md holds an old table; `python -m trammel.config` prints the new one"
    )


def test_every_setting_has_a_reason_in_sentences():
    for setting in config.SETTINGS:
        assert setting.what.endswith(".") and setting.reason.endswith("."), setting.name
        assert setting.name == "TRAMMEL_" + setting.field.upper()


def test_the_environment_is_read_and_what_is_given_comes_before_it(tmp_path):
    read = config.read(
        {"TRAMMEL_PORT": "9000", "TRAMMEL_DATA": str(tmp_path), "TRAMMEL_THREADS": " 2 "}, port=9001
    )
    assert (read.port, read.data, read.threads) == (9001, tmp_path, 2)
    assert read.database_url == f"sqlite:///{tmp_path}/trammel.sqlite"
    assert read.public_url == "http://127.0.0.1:9001"


@pytest.mark.parametrize(
    ("name", "value"),
    [("TRAMMEL_PORT", "http"), ("TRAMMEL_PORT", "0"), ("TRAMMEL_PORT", "65536"), ("TRAMMEL_WORKERS", "1.5"),
     ("TRAMMEL_PUBLIC_URL", "trammel.lan"), ("TRAMMEL_PUBLIC_URL", "https://trammel.lan/cards")],
)  # fmt: skip
def test_a_value_that_makes_no_sense_names_the_setting_and_what_is_accepted(name, value):
    with pytest.raises(SetUpError, match=f"{name}: {value} is not accepted here; give ") as caught:
        config.read({name: value})
    assert caught.value.input == name


def test_misspelt_settings_are_found():
    assert config.unknown({"TRAMMEL_PROT": "1", "TRAMMEL_PORT": "1", "PATH": ""}) == ["TRAMMEL_PROT"]


def test_without_a_secret_nothing_starts(tmp_path):
    with pytest.raises(SetUpError, match="trammel init"):
        create_app(config.read({}, data=tmp_path))


def test_a_short_secret_is_refused(tmp_path):
    with pytest.raises(SetUpError, match="shorter than 32"):
        create_app(config.read({}, data=tmp_path, secret="changeme"))


def test_init_makes_a_secret_and_a_root_key_that_only_the_owner_reads(app, settings):
    for path in (settings.secret_file, settings.root_key):
        assert stat.S_IMODE(path.stat().st_mode) == 0o600, path.name
    assert len(settings.secret_file.read_text()) > 40


def test_two_shops_have_two_secrets(tmp_path):
    one, two = (config.read({}, data=tmp_path / name) for name in ("one", "two"))
    made = [setup.init(settings) for settings in (one, two)]
    assert one.require_secret() != two.require_secret()
    assert made[0].kid != made[1].kid


@pytest.mark.parametrize("which", ["secret_file", "root_key"])
def test_a_secret_that_others_can_read_stops_with_the_command_that_mends_it(app, settings, which):
    path = getattr(settings, which)
    path.chmod(0o644)
    with pytest.raises(SetUpError, match=f"chmod 600 {path}"):
        setup.init(settings)


def test_init_again_changes_nothing(app, settings):
    before = {path: path.read_bytes() for path in (settings.secret_file, settings.root_key)}
    again = setup.init(settings)
    assert again.new is False
    assert {path: path.read_bytes() for path in before} == before


def test_a_root_key_of_another_shop_is_refused(app, settings):
    settings.root_key.unlink()
    rootkey.make(settings.root_key)
    with pytest.raises(SetUpError, match="bring the right one back"):
        setup.init(settings)


def test_a_lost_root_key_is_not_replaced_in_silence(app, settings):
    settings.root_key.unlink()
    with pytest.raises(SetUpError, match="bring it back"):
        setup.init(settings)
    assert not settings.root_key.exists()


def test_serving_before_init_says_what_to_run(tmp_path):
    with pytest.raises(SetUpError, match="trammel init"):
        setup.ready(config.read({}, data=tmp_path))


def test_the_migrations_make_exactly_the_tables_of_the_models(app):
    from alembic.autogenerate import compare_metadata
    from alembic.migration import MigrationContext
    from trammel.models import db

    with app.app_context(), db.engine.connect() as connection:
        assert compare_metadata(MigrationContext.configure(connection), db.metadata) == []
