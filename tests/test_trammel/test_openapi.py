"""The description at /api/openapi.json, held true by asking the server what it describes."""

import pytest
import schemathesis
from handset import Handset
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis.errors import Unsatisfiable
from schemathesis import GenerationMode
from schemathesis.checks import not_a_server_error
from schemathesis.specs.openapi.checks import (
    content_type_conformance,
    negative_data_rejection,
    response_headers_conformance,
    response_schema_conformance,
    status_code_conformance,
    unsupported_method,
)
from trammel import config, setup
from trammel import people as enrolling

HELD = (
    not_a_server_error,
    status_code_conformance,
    content_type_conformance,
    response_headers_conformance,
    response_schema_conformance,
    unsupported_method,
    negative_data_rejection,
)


@pytest.fixture(scope="module")
def shop(tmp_path_factory):
    """One shop for all examples, with so much patience that no example is held up by another."""
    folder = tmp_path_factory.mktemp("described")
    app = setup.init(config.read({}, data=folder / "shop", pwa=folder / "pwa", refused_tries=10000)).app
    with app.app_context():
        code = enrolling.add("Lena Ward", ["lead"])[1]
    phone = Handset(app.test_client())
    phone.enrol(code)
    phone.push(phone.note())
    app.phone = phone
    return app


@pytest.fixture(scope="module")
def described(shop):
    return schemathesis.openapi.from_wsgi("/api/openapi.json", shop)


BOUNDED = settings(
    max_examples=8,
    deadline=None,
    derandomize=True,
    database=None,
    phases=[Phase.explicit, Phase.generate],
    suppress_health_check=list(HealthCheck),
)
MODES = (GenerationMode.POSITIVE, GenerationMode.NEGATIVE)


def test_the_server_answers_as_it_is_described(shop, described):
    wrong = []
    for operation in (result.ok() for result in described.get_all_operations()):
        for mode in MODES:
            strategy = operation.as_strategy(generation_mode=mode)

            @BOUNDED
            @given(case=strategy)
            def ask(case):
                case.call_and_validate(headers=shop.phone.headers, checks=list(HELD))

            try:
                ask()
            except Unsatisfiable:
                # Nothing wrong can be asked of an endpoint that takes nothing.
                assert mode is GenerationMode.NEGATIVE
            except Exception as problem:  # noqa: BLE001 - gathered, to tell every endpoint at once
                wrong.append(f"{operation.label} ({mode.value}): {problem}")
    assert wrong == [], "\n\n".join(wrong)


def test_every_endpoint_is_described_with_its_errors_and_what_it_is_for(shop):
    spec = shop.test_client().get("/api/openapi.json").json
    described = {
        (path.replace("{", "<").replace("}", ">"), method.upper())
        for path, methods in spec["paths"].items()
        for method in methods
        if method != "parameters"
    }
    served = {
        (rule.rule, method)
        for rule in shop.url_map.iter_rules()
        for method in rule.methods - {"HEAD", "OPTIONS"}
        if rule.rule.startswith("/api/") and rule.rule != "/api/openapi.json"
    }
    assert described == served
    for path, methods in spec["paths"].items():
        for method, told in methods.items():
            if method != "parameters":
                assert told["summary"], (path, method)


def test_the_description_says_where_a_session_is_needed_and_it_is(shop):
    spec = shop.test_client().get("/api/openapi.json").json
    open_to_all = {"/api/health", "/api/enrol", "/api/session/challenge", "/api/session", "/api/units",
                   "/api/workings"}  # fmt: skip
    for path, methods in spec["paths"].items():
        for method, told in methods.items():
            if method == "parameters":
                continue
            assert ("security" in told) is (path not in open_to_all), (path, method)
            if path not in open_to_all:
                address = path.replace("{digest}", "a" * 43).replace("{card}", "c").replace("{place}", "p")
                answer = shop.test_client().open(
                    address, method=method.upper(), json={} if method == "post" else None
                )
                assert answer.status_code == 401, (path, method)
                assert "401" in told["responses"]
