"""What the phone's build leaves out of the workings: comments and docstrings, and nothing that runs."""

import ast
import json
import shutil
import subprocess
from pathlib import Path

import workings

SCRIPT = Path(__file__).resolve().parents[2] / "pwa" / "scripts" / "trim-python.mjs"
FILES = sorted(Path(workings.__file__).parent.glob("*.py"))


def without_docstrings(tree):
    """The tree with every docstring and every lone constant taken out of its body."""
    for node in ast.walk(tree):
        body = getattr(node, "body", None)
        if isinstance(body, list):
            node.body = [s for s in body if not (isinstance(s, ast.Expr) and isinstance(s.value, ast.Constant))]
    return ast.dump(tree)


def test_trimmed_workings_are_the_same_statements():
    node = shutil.which("node")
    assert node, "node is not on the PATH; tests/run.py puts one there"
    program = (
        "import { readFileSync } from 'node:fs';"
        f"import {{ trim }} from {json.dumps(SCRIPT.as_uri())};"
        "console.log(JSON.stringify(process.argv.slice(1).map((name) => trim(readFileSync(name, 'utf-8')))));"
    )
    command = [node, "--input-type=module", "-e", program, *FILES]
    ran = subprocess.run(command, capture_output=True, text=True, timeout=60)
    assert ran.returncode == 0, ran.stderr
    trimmed = json.loads(ran.stdout)
    assert len(trimmed) == len(FILES) > 30
    for path, text in zip(FILES, trimmed, strict=True):
        whole = path.read_text(encoding="utf-8")
        assert without_docstrings(ast.parse(text)) == without_docstrings(ast.parse(whole)), path.name
        assert '"""' not in text, path.name
    assert sum(map(len, trimmed)) < 0.9 * sum(len(p.read_text(encoding="utf-8")) for p in FILES)
